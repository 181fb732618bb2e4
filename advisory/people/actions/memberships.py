"""Changing who does what in an organisation; somebody always leads it."""

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.enums import LEADING_ROLE, ROLES_OF, Role
from advisory.people.models import Membership, Organisation, Person
from advisory.people.rules import Permission


def change_role(*, membership: Membership, role: Role, by: Person) -> Membership:
    """Give a member another role.

    Raises
    ------
    Refused
        If the organisation has no such role, or nobody would be left to lead it.
    """
    rules.require(by, Permission.MANAGE_ORGANISATION, membership.organisation)
    with transaction.atomic():
        organisation = _locked(membership)
        member = Membership.objects.get(pk=membership.pk)
        check_role(organisation, role)
        if member.role == role:
            return member
        _check_somebody_leads_without(member)
        before, member.role = member.role, role
        member.save(update_fields=["role"])
        audit.record("change_role", member, by=by, before=before, after=role)
    return member


def remove_member(*, membership: Membership, by: Person) -> None:
    """End a membership: one's own, or as who leads the organisation anybody's.

    Raises
    ------
    Refused
        If nobody would be left to lead the organisation.
    """
    if not rules.may(by, Permission.KEEP_ACCOUNT, membership.person):
        rules.require(by, Permission.MANAGE_ORGANISATION, membership.organisation)
    with transaction.atomic():
        organisation = _locked(membership)
        member = Membership.objects.filter(pk=membership.pk).first()
        if member is None:  # another was quicker; it is as was asked for
            return
        _check_somebody_leads_without(member)
        audit.record(
            "remove_member", organisation, by=by, person=member.person_id, role=member.role
        )
        member.delete()


def check_role(organisation: Organisation, role: str) -> None:
    """Refuse a role that this kind of organisation doesn't have."""
    if role not in ROLES_OF[organisation.kind_of]:
        raise Refused(_("Choose one of the roles offered."), field="role")


def _locked(membership: Membership) -> Organisation:
    """Let nobody else change who leads this organisation until the transaction ends."""
    return Organisation.objects.select_for_update().get(pk=membership.organisation_id)


def _check_somebody_leads_without(member: Membership) -> None:
    leading = LEADING_ROLE[member.organisation.kind_of]
    if member.role != leading:
        return
    others = Membership.objects.filter(
        organisation=member.organisation_id, role=leading, person__is_active=True
    ).exclude(pk=member.pk)
    if not others.exists():
        raise Refused(
            _("Somebody must lead it. Give another member the role “%(role)s” first.")
            % {"role": leading.label},
            field="role",
            code="last_to_lead",
        )
