"""Reads that more than one caller needs."""

from dataclasses import dataclass

from allauth.account.models import EmailAddress

from advisory.people.enums import Role
from advisory.people.models import Membership, Organisation, Person


@dataclass(frozen=True)
class AtWork:
    """The organisations in which a person works, for the navigation."""

    workshops: tuple[Organisation, ...]
    clubs_as_officer: tuple[Organisation, ...]


def at_work(person: Person) -> AtWork:
    """Return where this person works, in one query."""
    rows = Membership.objects.filter(person=person).select_related("organisation")
    workshops = {m.organisation for m in rows if m.role in (Role.MANAGER, Role.FITTER)}
    clubs = {m.organisation for m in rows if m.role == Role.TECHNICAL_OFFICER}
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
