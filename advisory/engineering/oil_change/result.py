"""What comes out: the interval, its limits, and what would move it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from advisory.engineering.oil_change.case import Filtration, OilChangeCase

LimitName = Literal["dirt", "ageing", "calendar", "running-in", "workshop"]


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit, in the measures in which it counts; None where it doesn't.

    Parameters
    ----------
    distance : float or None
        Distance [m].
    running_time : float or None
        Running time [s].
    months : float or None
        Months.
    """

    distance: float | None = None
    running_time: float | None = None
    months: float | None = None


@dataclass(frozen=True, slots=True)
class Alternative:
    """The same unit with another kind of filter.

    Parameters
    ----------
    filtration : str
        Kind of filter; its own filter is as described, another one as ``ASSUMPTIONS`` has it.
    distance : float
        Distance [m].
    limited_by : str
        The limit that comes first.
    """

    filtration: Filtration
    distance: float
    limited_by: LimitName


@dataclass(frozen=True, slots=True)
class OilChangeInterval:
    """When to change the oil: at the distance, the running time or the months, whichever first.

    Parameters
    ----------
    case : OilChangeCase
        What it was computed for.
    distance : float
        Distance [m].
    running_time : float
        Running time [s].
    months : float
        Months.
    limited_by : str
        The limit that comes first for this car. Where the annual distance isn't known, distance and
        months can't be compared: then it is the one of the distance, but the workshop's where its
        months are fewer than ours.
    limits : mapping
        Each limit by its name; None where it does not apply.
    filter_change_distance : float or None
        Distance [m] after which the filter's element is full; None without a filter or where its
        capacity isn't known.
    compare : tuple of Alternative
        The same unit with each kind of filter.
    use_factor : float
        Dirt over a distance against the reference case [-].
    permitted_concentration : float
        Dirt in the oil at which dirt asks for a change [kg/m3].
    distance_breather_filtered : float
        Distance with a filter on the breather [m].
    distance_cooler : float
        Distance with the oil 10 K cooler [m].
    """

    case: OilChangeCase
    distance: float
    running_time: float
    months: float
    limited_by: LimitName
    limits: Mapping[LimitName, Limit | None]
    filter_change_distance: float | None
    compare: tuple[Alternative, ...]
    use_factor: float
    permitted_concentration: float
    distance_breather_filtered: float
    distance_cooler: float


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that a person should be told about a result.

    Parameters
    ----------
    code : str
        What it says.
    values : mapping
        The figures for its sentence, in SI units; words where the key says so.
    """

    code: str
    values: Mapping[str, float | str]
