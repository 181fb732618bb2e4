"""Reads that more than one caller needs."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from allauth.account.models import EmailAddress
from django.db.models import QuerySet
from django.utils import timezone

from advisory.people import rules
from advisory.people.enums import LEADING_ROLE, ConsentScope, Role
from advisory.people.models import Consent, Invitation, Membership, Organisation, Person
from advisory.people.rules import Permission
from advisory.people.words import WHAT_IT_SHOWS


@dataclass(frozen=True)
class AtWork:
    """The organisations in which a person works, for the navigation."""

    workshops: tuple[Organisation, ...]
    clubs_as_officer: tuple[Organisation, ...]


def at_work(person: Person) -> AtWork:
    """Return where this person works, in one query."""
    rows = Membership.objects.filter(person=person).select_related("organisation")
    return work_among((row.role, row.organisation) for row in rows)


def work_among(roles: Iterable[tuple[str, Organisation]]) -> AtWork:
    """Sort the organisations in which somebody has roles into where they work, by name."""
    told = list(roles)
    workshops = {place for role, place in told if role in (Role.MANAGER, Role.FITTER)}
    clubs = {place for role, place in told if role == Role.TECHNICAL_OFFICER}
    return AtWork(
        workshops=tuple(sorted(workshops, key=lambda row: row.name)),
        clubs_as_officer=tuple(sorted(clubs, key=lambda row: row.name)),
    )


def has_verified_address(person: Person) -> bool:
    """Say whether this person has shown that an address is theirs."""
    return bool(EmailAddress.objects.filter(user=person, verified=True).exists())


def owns_address(person: Person, email: str) -> bool:
    """Say whether this person has shown that this address is theirs."""
    return bool(
        EmailAddress.objects.filter(user=person, verified=True, email__iexact=email).exists()
    )


def memberships_of(person: Person) -> QuerySet[Membership]:
    """Return where this person belongs, and as what."""
    rows = Membership.objects.filter(person=person)
    return rows.select_related("organisation").order_by("organisation__name")


def members_seen_by(person: Person, organisation: Organisation) -> QuerySet[Membership]:
    """Return the members whose names this person reads: all, or only who leads."""
    rows = Membership.objects.filter(organisation=organisation).select_related("person")
    if not rules.may(person, Permission.VIEW_MEMBERS, organisation):
        rows = rows.filter(role=LEADING_ROLE[organisation.kind_of])
    return rows.order_by("person__name", "person__email")


def letters_of(organisation: Organisation) -> QuerySet[Invitation]:
    """Return the invitations that still wait to be accepted."""
    return Invitation.objects.filter(
        organisation=organisation,
        accepted_at=None,
        withdrawn_at=None,
        expires_at__gt=timezone.now(),
    ).select_related("invited_by")


def invitation_by(token: str) -> Invitation | None:
    """Return the invitation that a letter's secret belongs to."""
    rows = Invitation.objects.select_related("organisation", "invited_by")
    return rows.filter(digest=digest_of(token)).first()


def digest_of(token: str) -> str:
    """Return what is kept of a letter's secret: nobody who reads the table can use it."""
    return hashlib.sha256(token.encode()).hexdigest()


@dataclass(frozen=True)
class ConsentInWords:
    """A consent, and what it shows in plain words."""

    consent: Consent
    shows: str


def consents_of(person: Person) -> list[ConsentInWords]:
    """Return everything this person ever consented to, the newest first."""
    rows = Consent.objects.filter(person=person).select_related("organisation")
    return [ConsentInWords(row, str(WHAT_IT_SHOWS[ConsentScope(row.scope)])) for row in rows]
