"""The days by which distances are reached with a chance of 10, 50 and 90 %."""

from __future__ import annotations

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.usage_forecast import assumptions as assumed
from advisory.engineering.usage_forecast.belief import YEAR, Belief, believe
from advisory.engineering.usage_forecast.fleet import DEFAULT_FLEET, Fleet
from advisory.engineering.usage_forecast.uses import Days, Uses

QUANTILES = (0.1, 0.5, 0.9)
_UNLIKELY = 0.01  # a kind with less than this chance is left out
_TOGETHER = 50_000  # reckoned at once, so that memory stays small


def days_reached(uses: Uses, metres: Floats, fleet: Fleet = DEFAULT_FLEET) -> FloatArray:
    """Estimate the days on which cars will have come to a distance each.

    Parameters
    ----------
    uses : Uses
        What is known of the use of n cars.
    metres : array_like, shape (n,)
        The distance of each [m], on the count of its readings.
    fleet : Fleet
        What is known of their like.

    Returns
    -------
    ndarray, shape (n, 3)
        P10 <= P50 <= P90, as ordinal days, nan beyond `HORIZON` days from the last reading; the
        day of the last reading where the distance was reached by then.

    Examples
    --------
    >>> from advisory.engineering.usage_forecast.uses import Use
    >>> may = 739_007  # 1 May 2024
    >>> car = Use((may,), (0.0,), may, expected_annual=4_000e3)
    >>> found = days_reached(Uses.of([car]), [1_000e3])
    >>> bool(30 < found[0, 1] - may < 120)
    True
    """
    far = np.atleast_1d(require("metres", metres, unit="m"))
    return days_reached_by(believe(uses, fleet), np.arange(uses.n), far)


def days_reached_by(belief: Belief, cars: Days, metres: FloatArray) -> FloatArray:
    """Estimate the days on which some cars will have come to some distance, any of them often.

    Parameters
    ----------
    belief : Belief
        What is believed of the cars.
    cars : ndarray, shape (m,)
        Places of cars.
    metres : ndarray, shape (m,)
        A distance for each [m].

    Returns
    -------
    ndarray, shape (m, 3)
        As `days_reached`.

    Notes
    -----
    The distance by a day is taken as gamma distributed, with the mean and variance that follow from
    the yearly distance, the clustering of trips and that years differ; a car that goes off the road
    comes to it later by so long. The gamma distribution is read by its cube root, which is all but
    normal: to 0.01 in the chance.

    References
    ----------
    E. B. Wilson, M. M. Hilferty, Proc. Natl. Acad. Sci. 17 (1931) 684-688 (from memory).
    """
    parts = [
        _days_reached(belief, cars[at : at + _TOGETHER], metres[at : at + _TOGETHER])
        for at in range(0, len(cars), _TOGETHER)
    ]
    return np.concatenate(parts) if parts else np.empty((0, len(QUANTILES)))


def _days_reached(belief: Belief, cars: Days, metres: FloatArray) -> FloatArray:
    last = belief.uses.last_days[cars]
    need = metres - belief.uses.last_metres[cars]
    found = np.repeat(last[:, None].astype(float), len(QUANTILES), axis=1)
    ahead = np.flatnonzero(need > 0)
    if not len(ahead):
        return found
    chance = _Chance(belief, cars[ahead], need[ahead])
    none, far = np.zeros(len(ahead), dtype=np.int64), np.full(len(ahead), assumed.HORIZON + 1)
    middle = chance.reaches(0.5, none, far)
    early = chance.reaches(0.1, none, middle)
    late = chance.reaches(0.9, middle - 1, far)
    days = np.stack([early, middle, late], axis=1)
    found[ahead] = np.where(days > assumed.HORIZON, np.nan, last[ahead, None] + days)
    return found


class _Chance:
    """The chance that cars have come so far, by the days after their last readings."""

    def __init__(self, belief: Belief, cars: Days, need: FloatArray) -> None:
        self.belief = belief
        self.cars = cars
        self.last = belief.uses.last_days[cars]
        self.need = need
        self.kinds = [
            (kind, np.flatnonzero(chance > _UNLIKELY))
            for kind, chance in enumerate(belief.chance[:, cars])
        ]
        kept = np.where(belief.chance[:, cars] > _UNLIKELY, belief.chance[:, cars], 0.0)
        self.weights = kept / kept.sum(axis=0)

    def reaches(self, chance: float, low: Days, high: Days) -> Days:
        """Return the first days after `low` by which the chance is reached; `high` if none is."""
        low, high = low.copy(), high.copy()
        places = np.arange(len(low))
        while len(places := places[high[places] - low[places] > 1]):
            half = (low[places] + high[places]) // 2
            reached = self.by(places, half) >= chance
            high[places] = np.where(reached, half, high[places])
            low[places] = np.where(reached, low[places], half)
        return high

    def by(self, places: Days, days: Days) -> FloatArray:
        """Return the chance by so many days after the last reading."""
        off = -np.expm1(-assumed.OFF_ROAD_A_YEAR * days / YEAR)
        later = np.maximum(days - assumed.OFF_ROAD_DAYS, 0)
        straight, held_up = self._driving(places, days), np.zeros(len(places))
        some = np.flatnonzero(later > 0)
        if len(some):
            held_up[some] = self._driving(places[some], later[some])
        chance: FloatArray = (1.0 - off) * straight + off * held_up
        return chance

    def _driving(self, places: Days, days: Days) -> FloatArray:
        last = self.last[places]
        use = self.belief.in_use.between(self.cars[places], last, last + days)
        total = np.zeros(len(places))
        for kind in range(len(self.weights)):
            weight = self.weights[kind, places]
            likely = np.flatnonzero(weight)
            if len(likely):
                one = places[likely]
                total[likely] += weight[likely] * self._of_kind(kind, one, use[kind, likely])
        return total

    def _of_kind(self, kind: int, places: Days, use: FloatArray) -> FloatArray:
        from scipy.special import ndtr  # here, so that importing the package stays quick

        cars = self.cars[places]
        annual, shape = self.belief.mean[kind, cars], self.belief.shape[cars]
        mean = np.maximum(annual * use, 1e-3)
        # a year is good or bad as a whole, years are so by turns
        years = annual**2 * assumed.YEARS_DIFFER**2 * np.minimum(use, use * use)
        variance = self.belief.fleet.clustering * mean + years + mean**2 / shape
        k = mean**2 / variance
        chance: FloatArray = ndtr(
            3.0 * np.sqrt(k) * (1.0 - 1.0 / (9.0 * k) - np.cbrt(self.need[places] / mean))
        )
        return chance


def too_wide(days_to_middle: float, days_between: float) -> bool:
    """Say whether a forecast is of no use to plan by.

    Parameters
    ----------
    days_to_middle : float
        From the last reading to the P50 day.
    days_between : float
        From the P10 to the P90 day.

    Returns
    -------
    bool
        Whether it spans more than `WIDE_DAYS` and more than `WIDE_SHARE` of the time to its middle.
    """
    return days_between > max(assumed.WIDE_DAYS, assumed.WIDE_SHARE * days_to_middle)
