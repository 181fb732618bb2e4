"""Distances of a whole fleet's units by any day, from what was read of its cars."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.reports.columns import Column

Places = NDArray[np.int64]
# Days of a car stand under its place times this: no day is as great.
A_CAR = 1 << 22


@dataclass(frozen=True)
class Knots:
    """Distances of many cars at their readings, by car and day."""

    key: Places  # place of the car * A_CAR + day
    metres: Column
    shown: Column
    stretch: Places

    def at(self, car: Places, days: Column, shown: Column) -> Column:
        """Return the distance of each car by each day, or when a number was shown on it."""
        if not self.key.size:
            return np.full(days.shape, np.nan)
        wanted = car * A_CAR + days.astype(np.int64)
        after = np.searchsorted(self.key, wanted, side="right")
        last = self.key.size - 1
        before, following = np.clip(after - 1, 0, last), np.clip(after, 0, last)
        has_before = (after > 0) & (self.key[before] // A_CAR == car)
        has_after = (after <= last) & (self.key[following] // A_CAR == car)
        gap = (self.key[following] - self.key[before]).astype(np.float64)
        joined = has_before & has_after & (self.stretch[before] == self.stretch[following])
        share = np.where(joined, (wanted - self.key[before]) / np.where(joined, gap, 1.0), 0.0)
        way = self.metres[following] - self.metres[before]
        found = np.where(
            has_before,
            self.metres[before] + np.where(joined, share * way, 0.0),
            np.where(has_after, self.metres[following], np.nan),
        )
        # several numbers on the day: the one that is named stands
        same_day = has_before & (self.key[before] == wanted)
        doubtful = same_day & ~np.isnan(shown) & (self.shown[before] != shown)
        for i in np.flatnonzero(doubtful):
            first = np.searchsorted(self.key, wanted[i], side="left")
            match = np.flatnonzero(self.shown[first : after[i]] == shown[i])
            if match.size:
                found[i] = self.metres[first + match[0]]
        return np.asarray(found)


@dataclass(frozen=True)
class Stays:
    """Units' stays in cars; with the cars' knots they tell each unit's own distance."""

    unit: Places  # places in the fleet, rising
    car: Places
    begin: Column
    begin_metres: Column
    end: Column  # of a stay that lasts: infinite
    end_metres: Column
    knots: Knots

    def first_day(self, units: int) -> Column:
        """Return the day on which each unit came into its first car; NaN for one that never did."""
        first = np.full(units, np.inf)
        np.minimum.at(first, self.unit, self.begin)
        return np.where(np.isinf(first), np.nan, first)

    def distance(self, unit: Places, days: Column) -> Column:
        """Return each unit's own distance [m] by the end of each day; NaN where it isn't known."""
        starts = np.searchsorted(self.unit, unit, side="left")
        number = np.searchsorted(self.unit, unit, side="right") - starts
        asked = np.repeat(np.arange(unit.size), number)
        offset = np.arange(asked.size) - np.repeat(np.cumsum(number) - number, number)
        stay = starts[asked] + offset
        by = days[asked]
        there = self.knots.at(self.car[stay], np.minimum(by, 4e6), np.full(by.shape, np.nan))
        stop = np.where(by >= self.end[stay], self.end_metres[stay], there)
        way = np.maximum(stop - self.begin_metres[stay], 0.0)
        begun = by >= self.begin[stay]
        total = np.bincount(asked, weights=np.where(begun, way, 0.0), minlength=unit.size)
        any_begun = np.bincount(asked, weights=begun, minlength=unit.size) > 0
        return np.where(any_begun, total, np.nan)
