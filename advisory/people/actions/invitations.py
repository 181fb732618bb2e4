"""Inviting by letter: only who holds the letter and owns the address it went to gets in."""

import secrets
from datetime import timedelta

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.actions.memberships import check_role
from advisory.people.enums import Role
from advisory.people.models import Invitation, Membership, Organisation, Person
from advisory.people.queries import digest_of, owns_address
from advisory.people.rules import Permission
from advisory.people.signals import invitation_made

# set for this service: long enough for a letter that waits over a holiday
HOLDS_FOR = timedelta(days=14)
# set for this service: more than a workshop or club needs, less than somebody who spams wants
MOST_IN_A_DAY = 20


def invite_member(
    *, organisation: Organisation, email: str, role: Role, by: Person
) -> tuple[Invitation, str]:
    """Invite whoever owns an address; return the invitation and its token.

    The token is known here alone, and goes out with `invitation_made`; only its digest is kept. An
    invitation to the same address that still waits is taken back: the last letter is the one that
    counts.

    Raises
    ------
    Refused
        If the address is none, or belongs to a member, or too many letters went out today.
    """
    rules.require(by, Permission.MANAGE_ORGANISATION, organisation)
    email = email.strip().lower()
    try:
        validate_email(email)
    except ValidationError as error:
        raise Refused(_("Enter the whole address, such as name@example.org."), field="email") from (
            error
        )
    check_role(organisation, role)
    token = secrets.token_urlsafe(32)
    now = timezone.now()
    with transaction.atomic():
        Organisation.objects.select_for_update().get(pk=organisation.pk)
        _check_may_be_invited(organisation, email)
        _waiting(organisation).filter(email=email).update(withdrawn_at=now)
        invitation = Invitation.objects.create(
            organisation=organisation,
            email=email,
            role=role,
            digest=digest_of(token),
            invited_by=by,
            expires_at=now + HOLDS_FOR,
        )
        audit.record("invite_member", invitation, by=by, email=email, role=role)
        invitation_made.send(sender=Invitation, invitation=invitation, token=token)
    return invitation, token


def withdraw_invitation(*, invitation: Invitation, by: Person) -> None:
    """Take back an invitation that was not accepted yet.

    Raises
    ------
    Refused
        If it was accepted meanwhile.
    """
    rules.require(by, Permission.MANAGE_ORGANISATION, invitation.organisation)
    with transaction.atomic():
        waiting = Invitation.objects.select_for_update().get(pk=invitation.pk)
        if waiting.accepted_at is not None:
            raise Refused(
                _("It was accepted meanwhile. Remove the member instead."), code="accepted"
            )
        if waiting.withdrawn_at is None:
            waiting.withdrawn_at = timezone.now()
            waiting.save(update_fields=["withdrawn_at"])
            audit.record("withdraw_invitation", waiting, by=by)


def accept_invitation(*, token: str, by: Person) -> Membership:
    """Enter an organisation with the letter that was sent to one's own, verified address.

    Raises
    ------
    Refused
        If the letter no longer counts, or was sent to somebody else.
    """
    with transaction.atomic():
        invitation = (
            Invitation.objects.select_for_update(of=("self",))
            .select_related("organisation")
            .filter(digest=digest_of(token))
            .first()
        )
        if invitation is None:
            raise Refused(_("There is no such invitation. Ask for a new one."), code="unknown")
        _check_counts(invitation, by)
        membership, created = Membership.objects.get_or_create(
            person=by, organisation=invitation.organisation, defaults={"role": invitation.role}
        )
        if not created:
            raise Refused(
                _("You belong to %(organisation)s already, as %(role)s.")
                % {
                    "organisation": invitation.organisation,
                    "role": membership.get_role_display(),
                },
                code="member",
            )
        invitation.accepted_at = timezone.now()
        invitation.accepted_by = by
        invitation.save(update_fields=["accepted_at", "accepted_by"])
        audit.record("accept_invitation", invitation, by=by, role=invitation.role)
    return membership


def _waiting(organisation: Organisation) -> QuerySet[Invitation]:
    return Invitation.objects.filter(organisation=organisation, accepted_at=None, withdrawn_at=None)


def _check_may_be_invited(organisation: Organisation, email: str) -> None:
    members = Membership.objects.filter(organisation=organisation).select_related("person")
    if any(owns_address(member.person, email) for member in members):
        raise Refused(
            _("This address belongs to a member already. Change their role instead."),
            field="email",
            code="member",
        )
    since = timezone.now() - timedelta(days=1)
    if (
        Invitation.objects.filter(organisation=organisation, created_at__gte=since).count()
        >= MOST_IN_A_DAY
    ):
        raise Refused(
            _("%(count)s invitations went out within a day; no more go today. Go on tomorrow.")
            % {"count": MOST_IN_A_DAY},
            code="too_many",
        )


def _check_counts(invitation: Invitation, by: Person) -> None:
    """Refuse a letter that no longer counts, or that is another's."""
    if invitation.withdrawn_at is not None:
        raise Refused(_("This invitation was taken back. Ask for a new one."), code="withdrawn")
    if not by.is_active or not owns_address(by, invitation.email):
        raise Refused(
            _(
                "This invitation was sent to another address than yours. Sign in with the account"
                " of that address, or ask to be invited at the one you use here."
            ),
            code="other_address",
        )
    if invitation.accepted_at is not None:
        raise Refused(_("This invitation was used already."), code="accepted")
    if invitation.expires_at <= timezone.now():
        raise Refused(_("This invitation has run out. Ask for a new one."), code="expired")
