"""The share of a year's use that falls between two days, by the kind of car."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

import numpy as np

from advisory.engineering.arguments import FloatArray
from advisory.engineering.usage_forecast.uses import Days, Uses

_EPOCH = np.datetime64("0001-01-01") - np.timedelta64(1, "D")

MonthShares = tuple[float, ...]


def year_of(day: int) -> int:
    """Return the calendar year of a day, within those that a calendar has."""
    return date.fromordinal(max(min(day, date.max.toordinal()), 1)).year


class Season:
    """Use by the end of each day, by kind, from one first of January on.

    Parameters
    ----------
    kinds : tuple of tuple of 12 floats
        Share of a year's distance by month, of each kind of car.
    first_year, last_year : int
        The years it must hold.
    """

    def __init__(self, kinds: tuple[MonthShares, ...], first_year: int, last_year: int) -> None:
        self.first = date(max(first_year, 1), 1, 1).toordinal()
        days = np.arange(self.first, date(min(last_year, 9999), 12, 31).toordinal() + 1)
        self.by_month = _days_by_month(self.first, len(days))
        self.kinds = np.asarray(kinds)
        self.upto: FloatArray = self.kinds @ self.by_month

    def by(self, days: Days) -> FloatArray:
        """Return the use by the end of days, shape (kinds, days)."""
        found: FloatArray = self.upto[:, self.places(days)]
        return found

    def places(self, days: Days) -> Days:
        """Return where days stand; those beyond its last count as that."""
        found: Days = np.clip(days - self.first + 1, 0, self.upto.shape[1] - 1)
        return found


@lru_cache(maxsize=8)
def _days_by_month(first: int, count: int) -> FloatArray:
    """Return how much of each month has gone by, by the end of each day, all years together."""
    dates = _EPOCH + np.arange(first, first + count).astype("timedelta64[D]")
    months = dates.astype("datetime64[M]")
    lengths = ((months + 1).astype("datetime64[D]") - months.astype("datetime64[D]")).astype(float)
    gone = np.zeros((12, count + 1))
    gone[months.astype(int) % 12, np.arange(1, count + 1)] = 1.0 / lengths
    np.cumsum(gone, axis=1, out=gone)
    gone.setflags(write=False)
    return gone


@lru_cache(maxsize=16)
def season_of(kinds: tuple[MonthShares, ...], first_year: int, last_year: int) -> Season:
    """Return the season of some kinds over some years; the last few are kept."""
    return Season(kinds, first_year, last_year)


class InUse:
    """The use of cars by the calendar, without the days on which they are laid up.

    Parameters
    ----------
    season : Season
        The use of a car that is never laid up.
    uses : Uses
        The cars with their lay-ups.
    """

    def __init__(self, season: Season, uses: Uses) -> None:
        self.season = season
        self.uses = uses
        self._counts = np.bincount(uses.lay_up_cars, minlength=uses.n)
        self._firsts = np.cumsum(self._counts) - self._counts

    @property
    def lost(self) -> FloatArray:
        """The use that falls into the lay-ups of each car, were it not for them, by kind."""
        still = self.season.by(self.uses.lay_up_to) - self.season.by(self.uses.lay_up_from - 1)
        cars = self.uses.lay_up_cars
        return np.array([np.bincount(cars, one, self.uses.n) for one in still])

    def between(self, cars: Days, after: Days, until: Days) -> FloatArray:
        """Return the share of a year's use after one day to the end of another.

        Parameters
        ----------
        cars, after, until : ndarray, shape (m,)
            Places of the cars, and the days.

        Returns
        -------
        ndarray, shape (kinds, m)
        """
        gone = self.season.by(until) - self.season.by(after)
        if not len(self.uses.lay_up_cars):
            return gone
        lay_ups = self._counts[cars]
        asked = np.repeat(np.arange(len(cars)), lay_ups)
        if not len(asked):
            return gone
        nth = np.arange(len(asked)) - np.repeat(np.cumsum(lay_ups) - lay_ups, lay_ups)
        spell = self._firsts[cars[asked]] + nth
        begin = np.maximum(self.uses.lay_up_from[spell] - 1, after[asked])
        end = np.minimum(self.uses.lay_up_to[spell], until[asked])
        stood = np.flatnonzero(end > begin)
        still = self.season.by(end[stood]) - self.season.by(begin[stood])
        for kind, lost in enumerate(still):
            gone[kind] -= np.bincount(asked[stood], lost, minlength=len(cars))
        return np.maximum(gone, 0.0)
