"""One unit's circumstances, and many of them as columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.errors import OutOfRange

Filtration = Literal["none", "strainer", "bypass", "full-flow"]
Roads = Literal["sealed", "mixed", "unsealed"]
ServiceClass = Literal["engine", "small-unit", "gearbox"]

FILTRATIONS: tuple[Filtration, ...] = get_args(Filtration)
ROADS: tuple[Roads, ...] = get_args(Roads)
SERVICE_CLASSES: tuple[ServiceClass, ...] = get_args(ServiceClass)


@dataclass(frozen=True, kw_only=True, slots=True)
class OilChangeCase:
    """A unit, its filter and how its car is used. None is "not known".

    Parameters
    ----------
    filtration : {"none", "strainer", "bypass", "full-flow"}
        Kind of filter.
    sump_volume : float
        Oil in the unit [m3], above 0 to 0.5.
    mean_speed : float
        Mean speed of the car [m/s], above 0 to 100: turns distance into running time.
    efficiency : float, optional
        Share that the filter holds back in one pass [-], 0 to 1.
    filter_flow : float, optional
        Flow through the filter [m3/s].
    dirt_capacity : float, optional
        Dirt that an element holds [kg]. 0 is an element that is used up.
    residue_fraction : float
        Share of the old oil that stays behind at a drain [-], 0 to 0.9.
    roads : {"sealed", "mixed", "unsealed"}
        Roads that the car mostly uses.
    breather_filtered : bool
        Whether the unit breathes through a filter.
    sump_temperature_c : float
        Temperature of the oil on a warm run [degC], 0 to 150.
    short_run_share : float
        Share of the distance in runs too short to warm the oil [-], 0 to 1.
    distance_since_rebuild : float, optional
        Distance since the rebuild when this fill goes in [m]. Not known: taken as run in.
    annual_distance : float, optional
        Distance in a year [m]. It decides which limit comes first, and changes none.
    workshop_distance : float, optional
        Distance of the workshop's instruction [m].
    workshop_months : float, optional
        Months of the workshop's instruction.
    service_class : {"engine", "small-unit", "gearbox"}
        "engine" is an engine, and whatever shares its oil. "small-unit" is a supercharger, a pump
        or a drive with oil of its own. "gearbox" is a gearbox, an axle, a final drive.
    """

    filtration: Filtration
    sump_volume: float
    mean_speed: float
    efficiency: float | None = None
    filter_flow: float | None = None
    dirt_capacity: float | None = None
    residue_fraction: float = 0.1
    roads: Roads = "sealed"
    breather_filtered: bool = False
    sump_temperature_c: float = 80.0
    short_run_share: float = 0.0
    distance_since_rebuild: float | None = None
    annual_distance: float | None = None
    workshop_distance: float | None = None
    workshop_months: float | None = None
    service_class: ServiceClass = "engine"


@dataclass(frozen=True)
class Columns:
    """Many cases, one array for each field; what is not known is NaN."""

    filtration: NDArray[np.str_]
    sump_volume: FloatArray
    mean_speed: FloatArray
    efficiency: FloatArray
    filter_flow: FloatArray
    dirt_capacity: FloatArray
    residue_fraction: FloatArray
    roads: NDArray[np.str_]
    breather_filtered: NDArray[np.bool_]
    sump_temperature_c: FloatArray
    short_run_share: FloatArray
    distance_since_rebuild: FloatArray
    annual_distance: FloatArray
    workshop_distance: FloatArray
    workshop_months: FloatArray
    gearbox: NDArray[np.bool_]
    small_unit: NDArray[np.bool_]


def columns(cases: Sequence[OilChangeCase]) -> Columns:
    """Turn cases into columns, and refuse what lies out of range.

    Parameters
    ----------
    cases : sequence of OilChangeCase
        The cases.

    Returns
    -------
    Columns
        One array a field, of the length of ``cases``.

    Raises
    ------
    OutOfRange
        If any figure of any case lies outside its range, or a word is not one of its choices.

    References
    ----------
    None: bookkeeping.

    Examples
    --------
    >>> table = columns([OilChangeCase(filtration="none", sump_volume=4e-3, mean_speed=14.0)])
    >>> table.dirt_capacity.tolist()
    [nan]
    """

    def words(name: str, choices: Sequence[str]) -> NDArray[np.str_]:
        given = [getattr(case, name) for case in cases]
        for word in given:
            if word not in choices:
                raise OutOfRange(name, f"one of {', '.join(choices)}", word)
        return np.array(given, dtype=np.str_)

    def numbers(name: str, **limits: Any) -> FloatArray:
        given: list[float | None] = [getattr(case, name) for case in cases]
        require(name, np.array([v for v in given if v is not None], dtype=np.float64), **limits)
        return np.array([np.nan if v is None else v for v in given], dtype=np.float64)

    service_class = words("service_class", SERVICE_CLASSES)
    return Columns(
        filtration=words("filtration", FILTRATIONS),
        sump_volume=numbers("sump_volume", above=0.0, at_most=0.5, unit="m3"),
        mean_speed=numbers("mean_speed", above=0.0, at_most=100.0, unit="m/s"),
        efficiency=numbers("efficiency", at_least=0.0, at_most=1.0),
        filter_flow=numbers("filter_flow", at_least=0.0, unit="m3/s"),
        dirt_capacity=numbers("dirt_capacity", at_least=0.0, unit="kg"),
        residue_fraction=numbers("residue_fraction", at_least=0.0, at_most=0.9),
        roads=words("roads", ROADS),
        breather_filtered=np.array([case.breather_filtered for case in cases], dtype=np.bool_),
        sump_temperature_c=numbers("sump_temperature_c", at_least=0.0, at_most=150.0, unit="degC"),
        short_run_share=numbers("short_run_share", at_least=0.0, at_most=1.0),
        distance_since_rebuild=numbers("distance_since_rebuild", at_least=0.0, unit="m"),
        annual_distance=numbers("annual_distance", at_least=0.0, unit="m"),
        workshop_distance=numbers("workshop_distance", above=0.0, unit="m"),
        workshop_months=numbers("workshop_months", above=0.0, unit="months"),
        gearbox=service_class == "gearbox",
        small_unit=service_class == "small-unit",
    )
