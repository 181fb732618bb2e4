"""What an oil choice is asked about: bearings, oils, washers, the feed pipe, the temperatures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final, Literal, TypeAlias

from advisory.engineering.errors import OutOfRange
from advisory.engineering.viscosity import DENSITY_RANGE, TEMPERATURE_RANGE_C

State: TypeAlias = Literal["built", "now", "limit"]
STATES: Final[tuple[State, ...]] = ("built", "now", "limit")
"""The clearances at which oils are judged: as built, as measured since, at the wear limit."""


@dataclass(frozen=True, kw_only=True)
class ChoiceBearing:
    """A journal bearing of a unit, with its running clearances; None is not known.

    Parameters
    ----------
    key : str
        By which the caller knows it.
    diameter, length : float
        Of the journal, and of the bearing along it [m].
    load : float
        Steady [N].
    speed : float
        Of the journal against bearing and load [rev/s].
    surface_roughness : float
        Combined rms [m].
    built, now, limit : float or None
        Running clearance, DIAMETRAL: as built, as measured since, at the wear limit [m].
    """

    key: str
    diameter: float
    length: float
    load: float
    speed: float
    surface_roughness: float
    built: float | None = None
    now: float | None = None
    limit: float | None = None


@dataclass(frozen=True, kw_only=True)
class ChoiceOil:
    """An oil to choose from.

    Parameters
    ----------
    key : str
        By which the caller knows it.
    kinematic_viscosity_40, kinematic_viscosity_100 : float
        [m2/s].
    density_15 : float
        [kg/m3].
    multigrade : bool
        It shears in a film.
    """

    key: str
    kinematic_viscosity_40: float
    kinematic_viscosity_100: float
    density_15: float
    multigrade: bool = False

    @property
    def computable(self) -> bool:
        """Whether it is an oil of the relations used here."""
        low, high = DENSITY_RANGE
        thins = 0.0 < self.kinematic_viscosity_100 < self.kinematic_viscosity_40
        return thins and low <= self.density_15 <= high


@dataclass(frozen=True, kw_only=True)
class ChoicePipe:
    """The pipe that feeds the unit, round.

    Parameters
    ----------
    bore, length : float
        Inside diameter, and length [m].
    pressure : float or None
        From end to end; None where nobody knows it, and no flow is stated [Pa].
    stands_full : bool
        Whether oil stands in it from the last run, as where it runs down from a tank.
    """

    bore: float
    length: float
    pressure: float | None
    stands_full: bool = False


@dataclass(frozen=True, kw_only=True)
class ChoiceWasher:
    """A thrust washer.

    Parameters
    ----------
    key : str
        By which the caller knows it.
    inner_diameter, outer_diameter : float
        Of the face that bears [m].
    load : float
        Along the shaft [N].
    speed : float
        Of the shaft [rev/s].
    material : str
        A `BearingMaterial`'s word, empty where it is not known.
    """

    key: str
    inner_diameter: float
    outer_diameter: float
    load: float
    speed: float
    material: str = ""


@dataclass(frozen=True, kw_only=True)
class OilChoiceCase:
    """All that an oil choice rests on.

    Parameters
    ----------
    bearings, oils, washers : sequence
        Kept in their order; without bearings nothing is judged hot, without oils nothing at all.
    pipe : ChoicePipe or None
        None where nobody knows it.
    cold_c, warm_c, hot_c : float
        Temperature of the oil in the sump: at a cold start, on a usual warm run, on a hard run on
        a hot day [degC].
    forced_oil : bool
        Whether oil is pressed into the bearings.
    pumped : bool
        Whether it must be drawn by a pump, or only flow back to what dips into it.
    """

    bearings: Sequence[ChoiceBearing]
    oils: Sequence[ChoiceOil]
    washers: Sequence[ChoiceWasher]
    pipe: ChoicePipe | None
    cold_c: float
    warm_c: float
    hot_c: float
    forced_oil: bool
    pumped: bool

    def __post_init__(self) -> None:
        low, high = TEMPERATURE_RANGE_C
        if not low <= self.cold_c <= self.warm_c <= self.hot_c <= high:
            raise OutOfRange(
                "hot_c",
                f"{low:g} to {high:g} degC, cold below warm below hot",
                (self.cold_c, self.warm_c, self.hot_c),
            )

    @property
    def states(self) -> tuple[State, ...]:
        """The clearances of which at least one bearing's is known."""
        return tuple(
            state
            for state in STATES
            if any(getattr(bearing, state) is not None for bearing in self.bearings)
        )

    def as_record(self) -> dict[str, Any]:
        """Return it as plain values, to be kept."""
        record = asdict(self)
        for name in ("bearings", "oils", "washers"):
            record[name] = list(record[name])
        return record


def case_from_record(record: Mapping[str, Any]) -> OilChoiceCase:
    """Read what `OilChoiceCase.as_record` gave.

    Parameters
    ----------
    record : mapping
        The plain values.

    Returns
    -------
    OilChoiceCase

    Raises
    ------
    TypeError, KeyError
        For the record of a version that knew other things.

    Examples
    --------
    >>> case = OilChoiceCase(
    ...     bearings=(), oils=(), washers=(), pipe=None, cold_c=0.0, warm_c=80.0, hot_c=90.0,
    ...     forced_oil=True, pumped=True,
    ... )
    >>> case_from_record(case.as_record()) == case
    True
    """
    return OilChoiceCase(
        **{
            **record,
            "bearings": tuple(ChoiceBearing(**row) for row in record["bearings"]),
            "oils": tuple(ChoiceOil(**row) for row in record["oils"]),
            "washers": tuple(ChoiceWasher(**row) for row in record["washers"]),
            "pipe": None if record["pipe"] is None else ChoicePipe(**record["pipe"]),
        }
    )
