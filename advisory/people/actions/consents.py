"""An owner's word to a workshop or a club, given and taken back."""

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.enums import SCOPES_OF, ConsentScope
from advisory.people.models import Consent, Organisation, Person
from advisory.people.rules import Permission
from advisory.people.signals import consent_changed


def give_consent(*, organisation: Organisation, scope: ConsentScope, by: Person) -> Consent:
    """Let an organisation see what `scope` says of one's own, from now on.

    Where another scope stands, that one ends at the same moment; where the same stands already, it
    goes on as it is.

    Raises
    ------
    Refused
        If this kind of organisation is never given that scope.
    """
    rules.require(by, Permission.KEEP_ACCOUNT, by)
    rules.require(by, Permission.FIND_ORGANISATION, organisation)
    if scope not in SCOPES_OF[organisation.kind_of]:
        raise Refused(_("Choose one of the ways offered."), field="scope")
    with transaction.atomic():
        # one at a time for each person, so that two presses don't make two rows
        Person.objects.select_for_update().get(pk=by.pk)
        standing = Consent.objects.filter(
            person=by, organisation=organisation, withdrawn_at=None
        ).first()
        if standing is not None and standing.scope == scope:
            return standing
        now = timezone.now()
        if standing is not None:
            standing.withdrawn_at = now
            standing.save(update_fields=["withdrawn_at"])
        consent = Consent.objects.create(
            person=by, organisation=organisation, scope=scope, given_at=now
        )
        audit.record(
            "give_consent",
            consent,
            by=by,
            organisation=organisation.pk,
            scope=scope,
            instead_of=standing and standing.scope,
        )
        _tell(consent)
    return consent


def withdraw_consent(*, consent: Consent, by: Person) -> Consent:
    """Take one's word back; from this moment nothing more is shown or sent on its strength."""
    rules.require(by, Permission.KEEP_ACCOUNT, consent)
    with transaction.atomic():
        standing = Consent.objects.select_for_update().get(pk=consent.pk)
        if standing.withdrawn_at is None:
            standing.withdrawn_at = timezone.now()
            standing.save(update_fields=["withdrawn_at"])
            audit.record(
                "withdraw_consent",
                standing,
                by=by,
                organisation=standing.organisation_id,
                scope=standing.scope,
            )
            _tell(standing)
    return standing


def _tell(consent: Consent) -> None:
    transaction.on_commit(
        lambda: consent_changed.send(sender=Consent, consent=consent), robust=True
    )
