"""Designs for owners whose unit no workshop here built: invented, but typical of their kind.

Sizes are those of a middling unit and serve only until somebody measures. Limits follow the rules
of the trade, each marked with where it comes from; the maker's handbook and the workshop stand
above them.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass

from advisory.register.actions.positions import PositionData
from advisory.register.enums import BearingMaterial, PositionKind, UnitKind
from advisory.register.models import Design, Position

INCH = 0.0254
MM = 1e-3

# Running clearance of white metal for each unit of diameter: 0.00075 to 0.0015 in per inch as
# built (common practice, no source); looked into above 0.002 and stopped at 0.003, which is twice
# the most as built (set by us, no source). Bronze bushes are taken alike.
CLEARANCE_AS_BUILT = (0.00075, 0.0015)
CLEARANCE_LOOK_INTO = 0.002
CLEARANCE_STOP = 0.003
# End float of a floating thrust washer: new 0.05 to 0.25 mm, looked into above 0.30 mm, stopped at
# 0.40 mm (common practice, no source).
END_FLOAT = (0.05 * MM, 0.25 * MM, 0.30 * MM, 0.40 * MM)
# A seal track worn deeper than 0.02 mm is looked into, at 0.05 mm the seal is shifted or the track
# sleeved (common practice, no source).
TRACK_WEAR = (0.0, 0.01 * MM, 0.02 * MM, 0.05 * MM)

SOURCES: Mapping[str, str] = {
    "running clearance as built": "common practice, no source",
    "running clearance to look into and to stop at": "set by us, no source",
    "end float": "common practice, no source",
    "wear of a seal track": "common practice, no source",
    "sizes, speeds and loads": "invented, typical of the kind",
}


@dataclass(frozen=True)
class StarterDesign:
    """A design that everybody may use."""

    kind: UnitKind
    name: str
    description: str
    positions: tuple[PositionData, ...]
    version: int = 1
    speed_ratio: float = 1.0
    engine_speed: float | None = None


def _journal(
    name: str, diameter: float, length: float, load: float, material: BearingMaterial
) -> PositionData:
    least, most = (share * diameter for share in CLEARANCE_AS_BUILT)
    return PositionData(
        kind=PositionKind.JOURNAL_BEARING,
        name=name,
        diameter=diameter,
        length=length,
        material=material,
        surface_roughness=0.8e-6,
        load=load,
        as_built_least=least,
        as_built_most=most,
        look_into_above=CLEARANCE_LOOK_INTO * diameter,
        wear_limit=CLEARANCE_STOP * diameter,
    )


def _washer(name: str, diameter: float) -> PositionData:
    least, most, look_into, stop = END_FLOAT
    return PositionData(
        kind=PositionKind.THRUST_WASHER,
        name=name,
        diameter=diameter,
        material=BearingMaterial.BRONZE,
        as_built_least=least,
        as_built_most=most,
        look_into_above=look_into,
        wear_limit=stop,
    )


def _seal(name: str, diameter: float) -> PositionData:
    least, most, look_into, stop = TRACK_WEAR
    return PositionData(
        kind=PositionKind.LIP_SEAL,
        name=name,
        diameter=diameter,
        as_built_least=least,
        as_built_most=most,
        look_into_above=look_into,
        wear_limit=stop,
    )


_ABOVE = (
    "A starting point for a unit that no workshop here built. Sizes are typical, not measured;"
    " limits are common practice in the trade. The maker's handbook and a workshop that knows the"
    " unit stand above them."
)
_TIN = BearingMaterial.TIN_WHITE_METAL

STARTER_DESIGNS = (
    StarterDesign(
        kind=UnitKind.ENGINE,
        name="Engine with white-metal mains",
        description=f"Four cylinders, three white-metal main bearings, water jacket. {_ABOVE}",
        engine_speed=2200 / 60,
        positions=(
            _journal("Front main", 1.75 * INCH, 2.0 * INCH, 3200.0, _TIN),
            _journal("Centre main", 1.75 * INCH, 2.25 * INCH, 4100.0, _TIN),
            _journal("Rear main", 1.75 * INCH, 2.5 * INCH, 3600.0, _TIN),
            _washer("Crankshaft thrust washer", 2.6 * INCH),
            _seal("Front oil seal", 1.65 * INCH),
            PositionData(
                kind=PositionKind.FEED_PIPE,
                name="External oil pipe",
                diameter=8 * MM,
                length=0.6,
            ),
            PositionData(kind=PositionKind.WATER_JACKET, name="Cylinder jacket"),
        ),
    ),
    StarterDesign(
        kind=UnitKind.SUPERCHARGER,
        name="Supercharger with its own oil feed",
        description=f"Two rotors, driven by the engine, oil by an external pipe. {_ABOVE}",
        speed_ratio=1.25,
        engine_speed=2600 / 60,
        positions=(
            PositionData(
                kind=PositionKind.FEED_PIPE,
                name="Oil feed pipe",
                diameter=4.8 * MM,
                length=0.45,
            ),
            _journal("Drive-end bearing, upper rotor", 1.375 * INCH, 1.25 * INCH, 620.0, _TIN),
            _journal("Drive-end bearing, lower rotor", 1.375 * INCH, 1.25 * INCH, 620.0, _TIN),
            _journal("Far-end bearing, upper rotor", 1.25 * INCH, 1.0 * INCH, 480.0, _TIN),
            _journal("Far-end bearing, lower rotor", 1.25 * INCH, 1.0 * INCH, 480.0, _TIN),
            _washer("Floating thrust washer, upper rotor", 2.1 * INCH),
            _washer("Floating thrust washer, lower rotor", 2.1 * INCH),
            _seal("Drive-end oil seal", 1.5 * INCH),
            PositionData(kind=PositionKind.COVER_PLATE, name="Rear cover"),
        ),
    ),
    StarterDesign(
        kind=UnitKind.GEARBOX,
        name="Gearbox with bronze thrust washers",
        description=f"Sliding-mesh gearbox, oiled by splash from its own sump. {_ABOVE}",
        engine_speed=2200 / 60,
        positions=(
            _journal("Layshaft bush, front", 0.875 * INCH, 1.25 * INCH, 1500.0,
                     BearingMaterial.BRONZE),
            _journal("Layshaft bush, rear", 0.875 * INCH, 1.25 * INCH, 1500.0,
                     BearingMaterial.BRONZE),
            _washer("Layshaft thrust washer, front", 1.75 * INCH),
            _washer("Layshaft thrust washer, rear", 1.75 * INCH),
            _seal("Output oil seal", 1.5 * INCH),
        ),
    ),
)  # fmt: skip


def sync_starter_designs() -> int:
    """Add the starter designs that are not there yet, and return how many.

    Units stand on those that are there, so they are left alone: a starter that changes gets a new
    version here, and no unit's design changes behind its owner's back.
    """
    added = 0
    for starter in STARTER_DESIGNS:
        design, new = Design.objects.get_or_create(
            workshop=None,
            name=starter.name,
            version=starter.version,
            defaults={
                "kind": starter.kind,
                "description": starter.description,
                "speed_ratio": starter.speed_ratio,
                "engine_speed": starter.engine_speed,
            },
        )
        if new:
            added += 1
            Position.objects.bulk_create(
                Position(design=design, order=order, **asdict(position))
                for order, position in enumerate(starter.positions, start=1)
            )
    return added
