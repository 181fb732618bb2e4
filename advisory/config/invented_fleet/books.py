"""The organisations of an invented fleet: clubs, workshops with their people and designs."""

from dataclasses import dataclass

from advisory.config.invented_fleet.names import person_name, workshop_name
from advisory.people.enums import OrganisationKind, Role
from advisory.people.models import Membership, Organisation, Person
from advisory.register.enums import BearingMaterial, PositionKind, UnitKind, WorkKind
from advisory.register.models import Design, MaintenanceInstruction, Position

CARS_A_WORKSHOP = 2_500
CARS_A_CLUB = 20_000
MM = 1e-3
# By pattern: what it is, its oil as designed (m3), its places.
PATTERNS: tuple[tuple[UnitKind, str, float, tuple[PositionKind, ...]], ...] = (
    (
        UnitKind.ENGINE,
        "Four-bearing engine",
        5.0e-3,
        (PositionKind.JOURNAL_BEARING, PositionKind.JOURNAL_BEARING, PositionKind.WATER_JACKET),
    ),
    (
        UnitKind.SUPERCHARGER,
        "Vane blower",
        1.2e-3,
        (
            PositionKind.JOURNAL_BEARING,
            PositionKind.THRUST_WASHER,
            PositionKind.LIP_SEAL,
            PositionKind.FEED_PIPE,
        ),
    ),
    (UnitKind.GEARBOX, "Crash gearbox", 1.8e-3, (PositionKind.LIP_SEAL,)),
    (
        UnitKind.WATER_PUMP,
        "Bush pump",
        0.1e-3,
        (PositionKind.JOURNAL_BEARING, PositionKind.WATER_JACKET),
    ),
)


@dataclass(frozen=True)
class Workshop:
    """A workshop, who signs there, and its designs in the order of the patterns."""

    row: Organisation
    signer: Person
    designs: tuple[Design, ...]
    positions: tuple[tuple[Position, ...], ...]


@dataclass(frozen=True)
class Books:
    """All organisations of the fleet."""

    clubs: tuple[Organisation, ...]
    workshops: tuple[Workshop, ...]


def open_books(cars: int, seed: int) -> Books:
    """Add the clubs and workshops that so many cars need."""
    clubs = []
    for number in range(max(cars // CARS_A_CLUB, 1)):
        club = Organisation.objects.create(
            kind=OrganisationKind.CLUB, name=f"Wide Fell Motor Club {seed}-{number + 1}"
        )
        _join(club, number, seed, Role.TECHNICAL_OFFICER, "officer")
        clubs.append(club)
    workshops = [_workshop(number, seed) for number in range(max(cars // CARS_A_WORKSHOP, 1))]
    return Books(tuple(clubs), tuple(workshops))


def _join(organisation: Organisation, number: int, seed: int, role: Role, what: str) -> Person:
    person = Person.objects.create(
        email=f"{what}-{seed}-{number}@fleet.example", name=person_name(7 * number + 3)
    )
    person.set_unusable_password()
    person.save()
    Membership.objects.create(person=person, organisation=organisation, role=role)
    return person


def _workshop(number: int, seed: int) -> Workshop:
    row = Organisation.objects.create(
        kind=OrganisationKind.WORKSHOP, name=workshop_name(number, seed)
    )
    signer = _join(row, number, seed, Role.MANAGER, "bench")
    designs, positions = [], []
    for kind, name, sump, places in PATTERNS:
        design = Design.objects.create(
            workshop=row, kind=kind, name=name, sump_volume=sump, engine_speed=50.0
        )
        designs.append(design)
        positions.append(
            tuple(
                _position(design, order, place) for order, place in enumerate(places, start=1)
            )
        )  # fmt: skip
    # every second one says something of its own
    if number % 2:
        MaintenanceInstruction.objects.create(
            design=designs[0], work=WorkKind.OIL_CHANGE, distance=1_600e3, months=12, text="Warm."
        )
        MaintenanceInstruction.objects.create(
            design=designs[1], work=WorkKind.END_FLOAT, hours=100 * 3600.0, months=24
        )
    return Workshop(row, signer, tuple(designs), tuple(positions))


def _position(design: Design, order: int, kind: PositionKind) -> Position:
    sizes: dict[str, object] = {}
    if kind == PositionKind.JOURNAL_BEARING:
        sizes = {
            "diameter": 38.1 * MM,
            "length": 38.1 * MM,
            "material": BearingMaterial.TIN_WHITE_METAL,
            "as_built_least": 0.038 * MM,
            "as_built_most": 0.064 * MM,
            "wear_limit": 0.115 * MM,
        }
    if kind == PositionKind.THRUST_WASHER:
        sizes = {
            "diameter": 52 * MM,
            "material": BearingMaterial.BRONZE,
            "as_built_least": 0.10 * MM,
            "as_built_most": 0.15 * MM,
            "wear_limit": 0.25 * MM,
        }
    return Position.objects.create(
        design=design, order=order, kind=kind, name=f"{kind.label} {order}", **sizes
    )
