"""Registering a workshop or a club, and changing what others read of it."""

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.actions.checking import check, one_line
from advisory.people.enums import LEADING_ROLE, OrganisationKind
from advisory.people.models import NAME_TAKEN, Membership, Organisation, Person
from advisory.people.queries import has_verified_address
from advisory.people.rules import Permission

WRITTEN = ("kind", "name", "email", "phone")


def create_organisation(
    *, kind: OrganisationKind, name: str, by: Person, email: str = "", phone: str = ""
) -> Organisation:
    """Register a workshop or a club; whoever does so leads it.

    Anybody with a verified address may: it opens nothing. A workshop sees only units that it built
    itself, a club only what owners consent to.

    Raises
    ------
    Refused
        If the name is taken, something is missing, or the person's address is not verified.
    """
    if not by.is_active or not has_verified_address(by):
        raise Refused(
            _("Confirm your e-mail address first: open the link in the mail we sent to it."),
            code="unverified",
        )
    organisation = Organisation(
        kind=kind, name=one_line(name), email=email.strip().lower(), phone=one_line(phone)
    )
    check(organisation, only=WRITTEN, whole_is="name")
    with transaction.atomic():
        _save(organisation)
        Membership.objects.create(
            person=by, organisation=organisation, role=LEADING_ROLE[organisation.kind_of]
        )
        audit.record("create_organisation", organisation, by=by, kind=kind, name=organisation.name)
    return organisation


def change_organisation(
    *, organisation: Organisation, by: Person, name: str, email: str = "", phone: str = ""
) -> Organisation:
    """Change what others read of an organisation.

    Raises
    ------
    Refused
        If the name is taken or something is missing.
    """
    rules.require(by, Permission.MANAGE_ORGANISATION, organisation)
    with transaction.atomic():
        changed = Organisation.objects.select_for_update().get(pk=organisation.pk)
        before = {"name": changed.name, "email": changed.email, "phone": changed.phone}
        changed.name, changed.email, changed.phone = (
            one_line(name),
            email.strip().lower(),
            one_line(phone),
        )
        check(changed, only=WRITTEN, whole_is="name")
        _save(changed)
        audit.record("change_organisation", changed, by=by, before=before)
    return changed


def _save(organisation: Organisation) -> None:
    """Write the row; two who take the same name at the same moment are told like anybody else."""
    try:
        with transaction.atomic():
            organisation.save()
    except IntegrityError as error:
        raise Refused(str(NAME_TAKEN), field="name") from error
