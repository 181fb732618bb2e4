"""Reads that more than one caller needs."""

from dataclasses import dataclass

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
