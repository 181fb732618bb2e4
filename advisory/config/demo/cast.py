"""The scenario's people, workshops and club."""

from dataclasses import dataclass, field
from typing import Any

from advisory.config.demo import files
from advisory.people import actions
from advisory.people.enums import ConsentScope, OrganisationKind, Role
from advisory.people.models import Organisation, Person

# Of the demo alone, printed when it starts; it listens on this machine only.
PASSWORD = "white-metal-and-thin-oil"  # noqa: S105
PREFERENCES = (
    "zone",
    "small_length_unit",
    "distance_unit",
    "volume_unit",
    "temperature_unit",
)


@dataclass
class Cast:
    """Who is who, by the scenario's keys."""

    people: dict[str, Person] = field(default_factory=dict)
    organisations: dict[str, Organisation] = field(default_factory=dict)
    managers: dict[str, Person] = field(default_factory=dict)


def add_cast() -> Cast:
    """Sign everybody up, found the organisations, fill the roles, and ask the owners' consents."""
    cast = Cast()
    listed = files.read("organisations.json")
    for kind, key in ((OrganisationKind.WORKSHOP, "workshops"), (OrganisationKind.CLUB, "clubs")):
        for entry in listed[key]:
            _found(cast, entry, kind)
    for entry in files.read("owners.json"):
        _add_owner(cast, entry)
    return cast


def _person(cast: Cast, entry: dict[str, Any]) -> Person:
    person = actions.add_person(
        email=entry["email"],
        name=entry["name"],
        by=None,
        password=PASSWORD,
        **{name: entry[name] for name in PREFERENCES if name in entry},
    )
    cast.people[entry["key"]] = person
    return person


def _found(cast: Cast, entry: dict[str, Any], kind: OrganisationKind) -> None:
    first, *others = entry["people"]
    founder = _person(cast, first)
    organisation = actions.create_organisation(
        by=founder,
        kind=kind,
        name=entry["name"],
        email=entry["email"],
        phone=entry.get("phone", ""),
    )
    cast.organisations[entry["key"]] = organisation
    cast.managers[entry["key"]] = founder
    for other in others:
        _join(cast, organisation, founder, _person(cast, other), Role(other["role"]))


def _join(
    cast: Cast, organisation: Organisation, founder: Person, person: Person, role: Role
) -> None:
    _invitation, token = actions.invite_member(
        organisation=organisation, email=person.email, role=role, by=founder
    )
    actions.accept_invitation(token=token, by=person)


def _add_owner(cast: Cast, entry: dict[str, Any]) -> None:
    owner = _person(cast, entry)
    club = cast.organisations["furrow"]
    _join(cast, club, cast.managers["furrow"], owner, Role.MEMBER)
    if entry["club_consent"]:
        actions.give_consent(organisation=club, scope=ConsentScope(entry["club_consent"]), by=owner)
    if entry["workshop_consent"]:
        for key in ("tollgate", "lowmill"):
            actions.give_consent(
                organisation=cast.organisations[key], scope=ConsentScope.RECORDS, by=owner
            )
