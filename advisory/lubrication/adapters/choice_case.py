"""The choice of a unit's oil: from what is known of it to the case that is computed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from advisory.engineering.oil_choice import (
    ChoiceBearing,
    ChoiceOil,
    ChoicePipe,
    ChoiceWasher,
    OilChoiceCase,
    assumed,
    computable,
)
from advisory.engineering.viscosity import TEMPERATURE_RANGE_C, TYPICAL_DENSITY
from advisory.lubrication.adapters.assumed import GEARBOX_TEMPERATURE_C, SUMP_TEMPERATURE_C
from advisory.lubrication.adapters.interval import GEARED, KELVIN
from advisory.lubrication.choice.ground import BearingGround, ChoiceGround
from advisory.lubrication.enums import Feed
from advisory.lubrication.models import Lubricant
from advisory.register.enums import PositionKind

_GRAVITY = 9.80665  # m/s2
# what must be known of a bearing before anything can be said of it
_SIZES = ("diameter", "length", "load")
# oil that runs or is thrown to where it is wanted needs no pump
_UNPUMPED = frozenset({Feed.SPLASH, Feed.GRAVITY, Feed.TOTAL_LOSS})


@dataclass(frozen=True)
class LeftOut:
    """A bearing, a washer or an oil of which nothing can be said, and what is missing."""

    name: str
    missing: tuple[str, ...]


@dataclass(frozen=True)
class AskedOtherwise:
    """What a reader puts in the place of what is known; temperatures in degC, pressure in Pa."""

    cold_c: float | None = None
    warm_c: float | None = None
    pressure: float | None = None

    def __bool__(self) -> bool:
        return (self.cold_c, self.warm_c, self.pressure) != (None, None, None)


@dataclass(frozen=True)
class ChoiceCase:
    """The case to compute; `assumed` are codes of what was taken because nobody knows."""

    case: OilChoiceCase
    assumed: tuple[str, ...]
    left_out: tuple[LeftOut, ...]
    names: Mapping[str, str]


def choice_case(ground: ChoiceGround, asked: AskedOtherwise | None = None) -> ChoiceCase:
    """Return the case of a unit; what is not known is taken on the careful side, or left out."""
    asked = asked or AskedOtherwise()
    taken: list[str] = [] if ground.design.workshop_id else ["starter_design"]
    bearings, left_out = _bearings(ground, taken)
    washers, washers_left_out = _washers(ground, taken)
    cold_c, warm_c, hot_c = _temperatures(ground, asked, taken)
    feed = feed_of(ground)
    if feed == Feed.UNKNOWN:
        taken.append("feed")
    elif feed != Feed.PRESSURE:
        taken.append("unforced")
    gears_dip = ground.design.kind in GEARED and feed == Feed.OWN_SUMP
    case = OilChoiceCase(
        bearings=bearings,
        oils=choice_oils(ground.lubricants),
        washers=washers,
        pipe=_pipe(ground, feed, asked, taken),
        cold_c=cold_c,
        warm_c=warm_c,
        hot_c=hot_c,
        forced_oil=feed == Feed.PRESSURE,
        pumped=not (feed in _UNPUMPED or gears_dip),
    )
    names = {str(p.pk): p.name for p in ground.positions} | {
        choice_key(oil): oil.name for oil in ground.lubricants
    }
    left_out = [*left_out, *washers_left_out, *oils_left_out(ground.lubricants)]
    return ChoiceCase(case, tuple(taken), tuple(left_out), names)


def choice_key(oil: Lubricant) -> str:
    """Return by what an oil is known in a choice: a generic one by its code."""
    return oil.code or f"can-{oil.pk}"


def choice_oils(lubricants: Sequence[Lubricant]) -> tuple[ChoiceOil, ...]:
    """Return the oils that can be computed, in the order given."""
    oils = (_oil(row) for row in lubricants)
    return tuple(oil for oil in oils if oil.computable)


def oils_left_out(lubricants: Sequence[Lubricant]) -> list[LeftOut]:
    """Return the oils whose figures no relation here holds for."""
    return [LeftOut(row.name, ("oil",)) for row in lubricants if not _oil(row).computable]


def _oil(row: Lubricant) -> ChoiceOil:
    return ChoiceOil(
        key=choice_key(row),
        kinematic_viscosity_40=row.kinematic_viscosity_40,
        kinematic_viscosity_100=row.kinematic_viscosity_100,
        density_15=row.density_15,
        multigrade=row.multigrade,
    )


def _bearings(
    ground: ChoiceGround, taken: list[str]
) -> tuple[tuple[ChoiceBearing, ...], list[LeftOut]]:
    kept: list[ChoiceBearing] = []
    left_out = []
    since = any(bearing.measured is not None for bearing in ground.bearings)
    for bearing in ground.bearings:
        missing, made = _bearing(ground, bearing, since=since, taken=taken)
        if made is None:
            left_out.append(LeftOut(bearing.position.name, missing))
        else:
            kept.append(made)
    return tuple(kept), left_out


def _bearing(
    ground: ChoiceGround, bearing: BearingGround, *, since: bool, taken: list[str]
) -> tuple[tuple[str, ...], ChoiceBearing | None]:
    position = bearing.position
    speed = ground.speed_at(position)
    built = bearing.as_built if bearing.as_built is not None else position.as_built_most
    now = bearing.measured.value if bearing.measured is not None else built
    missing = [name for name in _SIZES if not getattr(position, name)]
    if not speed:
        missing.append("speed")
    if built is None and now is None and position.wear_limit is None:
        missing.append("clearance")
    if missing or speed is None:
        return tuple(missing), None
    made = ChoiceBearing(
        key=str(position.pk),
        diameter=position.diameter or 0.0,
        length=position.length or 0.0,
        load=position.load or 0.0,
        speed=speed,
        surface_roughness=position.surface_roughness or assumed("roughness_not_known"),
        built=built,
        now=now if since else None,
        limit=position.wear_limit,
    )
    if not computable(made):
        return ("beyond",), None
    if bearing.as_built is None and built is not None:
        _note(taken, "clearance_built")
    if position.wear_limit is None:
        _note(taken, "clearance_limit")
    if not position.surface_roughness:
        _note(taken, "surface_roughness")
    return (), made


def _washers(
    ground: ChoiceGround, taken: list[str]
) -> tuple[tuple[ChoiceWasher, ...], list[LeftOut]]:
    kept: list[ChoiceWasher] = []
    left_out: list[LeftOut] = []
    for position in ground.of_kind(PositionKind.THRUST_WASHER):
        missing = [name for name in ("diameter", "load") if not getattr(position, name)]
        speed = ground.speed_at(position)
        if not speed:
            missing.append("speed")
        if missing or speed is None:
            left_out.append(LeftOut(position.name, tuple(missing)))
            continue
        _note(taken, "washer_inner")
        outer = position.diameter or 0.0
        kept.append(
            ChoiceWasher(
                key=str(position.pk),
                inner_diameter=assumed("washer_inner_share") * outer,
                outer_diameter=outer,
                load=position.load or 0.0,
                speed=speed,
                material=position.material,
            )
        )
    return tuple(kept), left_out


def _temperatures(
    ground: ChoiceGround, asked: AskedOtherwise, taken: list[str]
) -> tuple[float, float, float]:
    low, high = TEMPERATURE_RANGE_C
    arrangement = ground.oil.arrangement
    warm = asked.warm_c
    if warm is None and arrangement is not None and arrangement.sump_temperature is not None:
        warm = arrangement.sump_temperature - KELVIN
    if warm is None:
        taken.append("sump_temperature")
        geared = ground.design.kind in GEARED
        warm = GEARBOX_TEMPERATURE_C if geared else SUMP_TEMPERATURE_C
    warm = min(max(warm, low), high)
    cold = assumed("cold_start") if asked.cold_c is None else asked.cold_c
    return min(max(cold, low), warm), warm, min(warm + assumed("hot_margin"), high)


def _pipe(
    ground: ChoiceGround, feed: Feed, asked: AskedOtherwise, taken: list[str]
) -> ChoicePipe | None:
    bore, length = pipe_sizes(ground)
    if bore is None or length is None:
        taken.append("pipe")
        return None
    pressure = asked.pressure
    if pressure is None:
        pressure = pressure_of(feed)
        taken.append(
            {Feed.PRESSURE: "pressure_forced", Feed.GRAVITY: "pressure_gravity"}.get(
                feed, "pressure"
            )
        )
    return ChoicePipe(bore=bore, length=length, pressure=pressure, stands_full=feed == Feed.GRAVITY)


def feed_of(ground: ChoiceGround) -> Feed:
    """Return how the oil comes: as the owner says, else as designed."""
    told = ground.oil.arrangement.feed if ground.oil.arrangement else Feed.UNKNOWN
    return Feed(ground.design.oil_feed or Feed.UNKNOWN) if told == Feed.UNKNOWN else Feed(told)


def pipe_sizes(ground: ChoiceGround) -> tuple[float | None, float | None]:
    """Return bore and length of the feed pipe: of the arrangement, else as designed."""
    arrangement = ground.oil.arrangement
    designed = ground.of_kind(PositionKind.FEED_PIPE)
    bore = arrangement.feed_pipe_bore if arrangement else None
    length = arrangement.feed_pipe_length if arrangement else None
    if designed:
        bore = bore or designed[0].diameter
        length = length or designed[0].length
    return bore or None, length or None


def pressure_of(feed: Feed) -> float | None:
    """Return the pressure at a feed pipe that is taken where nobody says another."""
    if feed == Feed.PRESSURE:
        return assumed("forced_pressure")
    if feed == Feed.GRAVITY:
        return TYPICAL_DENSITY * _GRAVITY * assumed("gravity_head")
    return None


def with_oils(case: OilChoiceCase, oils: Sequence[ChoiceOil]) -> OilChoiceCase:
    """Return the case with further oils beside its own."""
    there = {oil.key for oil in case.oils}
    return replace(case, oils=(*case.oils, *(oil for oil in oils if oil.key not in there)))


def _note(taken: list[str], code: str) -> None:
    if code not in taken:
        taken.append(code)
