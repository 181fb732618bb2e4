"""When a car will have covered a distance, from few and irregular readings.

The yearly distance is a gamma distribution: what the owner guesses, or a stated default, is its
beginning, and each stretch between two readings adds its evidence, the older the less. Trips come
in clusters, so that the distance in a spell scatters more than its mean alone would tell. Use
follows the season; a car that is laid up covers nothing. Days are proleptic ordinals, distances
metres.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from scipy.special import gammaincc

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.errors import OutOfRange

#: Share of a year's distance by month, January first: a car that is mostly laid up from late
#: October to early April.
MONTH_SHARES = (0.01, 0.01, 0.03, 0.09, 0.15, 0.16, 0.16, 0.15, 0.13, 0.07, 0.02, 0.02)

#: Yearly distance where nobody has guessed one [m]; long, so that work falls due early.
DEFAULT_ANNUAL_DISTANCE = 5_000e3

#: How much an owner's guess counts, and the default: the shape of a gamma distribution, which is
#: one over the square of the coefficient of variation (50 % and 80 %).
GUESS_SHAPE = 4.0
DEFAULT_SHAPE = 1.6

#: Variance of the distance in a spell over its mean [m]: trips come in clusters, years differ. Set
#: so that on simulated cars four in five true days fall between the 10 % and the 90 % day.
CLUSTERING = 1_000e3

#: Evidence counts half after so many days [d].
EVIDENCE_HALVES = 4 * 365.25

#: The farthest ahead that a day is named [d].
HORIZON = 3653

#: A lay-up without an end is taken to end on the next first of this month, and not before today.
BACK_IN_USE_MONTH = 4

_QUANTILES = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class Assumption:
    """One figure that was set rather than derived, and where it comes from."""

    name: str
    value: str
    source: str


ASSUMPTIONS = (
    Assumption(
        "month shares",
        "97 % of a year's distance from March to November",
        "common practice, no source: most such cars are laid up from late October to early April",
    ),
    Assumption(
        "yearly distance where none is guessed",
        "5000 km",
        "set by us on the careful side, no source",
    ),
    Assumption("spread of an owner's guess, of the default", "50 %, 80 %", "set by us, no source"),
    Assumption(
        "variance over mean of the distance",
        "1000 km",
        "set so that on simulated cars four in five fall between the 10 % and the 90 % day",
    ),
    Assumption("evidence counts half after", "4 years", "set by us, no source"),
    Assumption("a lay-up without an end lasts to", "1 April", "common practice, no source"),
)


@dataclass(frozen=True)
class Use:
    """What is known of a car's use.

    Parameters
    ----------
    days : tuple of int
        Days of the readings, ascending; at least one.
    metres : tuple of float
        Distance at each [m], counted on one stretch, never falling.
    today : int
        The day of asking.
    lay_ups : tuple of (int, int or None)
        First and last day of each lay-up; None where it still lasts.
    expected_annual : float, optional
        Yearly distance as the owner guesses it [m].

    Raises
    ------
    OutOfRange
        Without a reading, for days out of order, or distances that fall.
    """

    days: tuple[int, ...]
    metres: tuple[float, ...]
    today: int
    lay_ups: tuple[tuple[int, int | None], ...] = ()
    expected_annual: float | None = None

    def __post_init__(self) -> None:
        if not self.days or len(self.days) != len(self.metres):
            raise OutOfRange("metres", "one for each of at least one day", len(self.metres))
        if np.any(np.diff(self.days) < 0):
            raise OutOfRange("days", "ascending", self.days)
        if not np.all(np.diff(self.metres) >= 0):
            raise OutOfRange("metres", "never falling", self.metres)
        if self.expected_annual is not None:
            require("expected_annual", self.expected_annual, above=0.0, unit="m")


@dataclass(frozen=True)
class AnnualDistance:
    """What is believed of a car's yearly distance.

    Parameters
    ----------
    mean : float
        Its mean [m].
    shape : float
        Shape of its gamma distribution: how much is known.
    """

    mean: float
    shape: float


@dataclass(frozen=True)
class ForecastDays:
    """The days by which a distance is reached with a chance of 10, 50 and 90 %.

    None stands for more than ten years after the last reading.
    """

    p10: int | None
    p50: int | None
    p90: int | None


def annual_distance(use: Use) -> AnnualDistance:
    """Estimate the yearly distance of a car.

    Parameters
    ----------
    use : Use
        What is known of its use.

    Returns
    -------
    AnnualDistance
        Mean and shape.

    Notes
    -----
    A first reading alone gives the guess, or the default.

    References
    ----------
    A. Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.6: gamma prior and Poisson data
    with exposure (from memory). Counts stand here for distance over `CLUSTERING`.

    Examples
    --------
    >>> may = date(2023, 5, 1).toordinal()
    >>> driven = annual_distance(Use((may, may + 365), (0.0, 3_000e3), may + 365))
    >>> 3_000e3 < driven.mean < 3_600e3
    True
    """
    guessed = use.expected_annual is not None
    mean = use.expected_annual if use.expected_annual is not None else DEFAULT_ANNUAL_DISTANCE
    shape = GUESS_SHAPE if guessed else DEFAULT_SHAPE
    rate = shape / mean
    first, last = use.days[0], use.days[-1]
    if last > first:
        travelled = _exposure(use, first, last - first)
        at = np.asarray(use.days) - first
        years = np.diff(np.concatenate(([0.0], travelled))[at])
        metres = np.diff(np.asarray(use.metres, dtype=np.float64))
        weights = 0.5 ** ((last - np.asarray(use.days[1:])) / EVIDENCE_HALVES)
        shape += float(np.sum(weights * metres)) / CLUSTERING
        rate += float(np.sum(weights * years)) / CLUSTERING
    return AnnualDistance(mean=shape / rate, shape=shape)


def expected_distance(use: Use, day: int) -> float:
    """Estimate the distance of a car by a day after its last reading.

    Parameters
    ----------
    use : Use
        What is known of its use.
    day : int
        The day, not before the last reading.

    Returns
    -------
    float
        Distance [m], on the count of the readings.

    Raises
    ------
    OutOfRange
        For a day before the last reading.
    """
    ahead = day - use.days[-1]
    if not ahead >= 0:
        raise OutOfRange("day", f"at least {use.days[-1]}", day)
    if ahead == 0:
        return use.metres[-1]
    return use.metres[-1] + annual_distance(use).mean * float(
        _exposure(use, use.days[-1], ahead)[-1]
    )


def day_reached(use: Use, metres: float) -> ForecastDays:
    """Estimate the day on which a car will have covered a distance.

    Parameters
    ----------
    use : Use
        What is known of its use.
    metres : float
        The distance [m], on the count of the readings.

    Returns
    -------
    ForecastDays
        Never before the last reading, and p10 <= p50 <= p90. The last reading's own day where the
        distance was reached by then.

    Notes
    -----
    The distance by a day is taken as gamma distributed, with the mean and variance that follow from
    the yearly distance and the clustering of trips.

    Examples
    --------
    >>> may = date(2024, 5, 1).toordinal()
    >>> found = day_reached(Use((may,), (0.0,), may, expected_annual=4_000e3), 1_000e3)
    >>> date.fromordinal(found.p50).month in (6, 7, 8)
    True
    """
    need = float(require("metres", metres)) - use.metres[-1]
    last = use.days[-1]
    if need <= 0:
        return ForecastDays(last, last, last)
    annual = annual_distance(use)
    chance = _chance_reached(annual, _exposure(use, last, HORIZON), need)
    found = [int(np.searchsorted(chance, quantile)) for quantile in _QUANTILES]
    p10, p50, p90 = (last + 1 + place if place < HORIZON else None for place in found)
    return ForecastDays(p10, p50, p90)


def lay_up_ends(from_day: int, until_day: int | None, today: int) -> int:
    """Say on which day a lay-up ends, or is taken to end.

    Parameters
    ----------
    from_day : int
        Its first day.
    until_day : int or None
        Its last day where it is known.
    today : int
        The day of asking.

    Returns
    -------
    int
        Last day of the lay-up.

    Examples
    --------
    >>> autumn = date(2024, 11, 3).toordinal()
    >>> date.fromordinal(lay_up_ends(autumn, None, autumn + 30)).isoformat()
    '2025-04-01'
    """
    if until_day is not None:
        return until_day
    began = date.fromordinal(from_day)
    year = began.year if began.month < BACK_IN_USE_MONTH else began.year + 1
    return max(date(year, BACK_IN_USE_MONTH, 1).toordinal(), today)


def _exposure(use: Use, after: int, days: int) -> FloatArray:
    """Add up the share of a year's use by the end of each of the days that follow one."""
    calendar = np.arange(after + 1, after + days + 1)
    first = np.datetime64("0001-01-01") - np.timedelta64(1, "D")
    dates = first + calendar.astype("timedelta64[D]")
    months = dates.astype("datetime64[M]")
    lengths = ((months + 1).astype("datetime64[D]") - months.astype("datetime64[D]")).astype(float)
    shares = np.asarray(MONTH_SHARES)[months.astype(int) % 12] / lengths
    for from_day, until_day in use.lay_ups:
        ends = lay_up_ends(from_day, until_day, use.today)
        shares[(calendar >= from_day) & (calendar <= ends)] = 0.0
    return np.cumsum(shares)


def _chance_reached(annual: AnnualDistance, exposure: FloatArray, need: float) -> FloatArray:
    mean = annual.mean * exposure
    chance = np.zeros_like(mean)
    moving = mean > 0
    shape = mean[moving] / (CLUSTERING + mean[moving] / annual.shape)
    chance[moving] = gammaincc(shape, need * shape / mean[moving])
    return np.maximum.accumulate(chance)
