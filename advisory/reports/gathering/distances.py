"""Distances of a whole fleet's units by any day: as `usage` reckons them, many at a time.

Where a car has one instrument and each reading follows the one before believably, which is nearly
all of them, the distance at each reading is a running sum over all cars at once. The others go
through `usage`, car by car. Both give the same; the tests hold them to it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.engineering import odometer as counting
from advisory.engineering.odometer.plausible import (
    FARTHEST,
    FARTHEST_PER_FURTHER_YEAR,
    ROUND_AT_MOST,
)
from advisory.people.enums import DistanceUnit
from advisory.register.models import Car, Fitting, Odometer
from advisory.reports.columns import (
    Column,
    PlaceOf,
    Reader,
    code_of,
    day,
    distinct,
    flag_of,
    in_order,
)
from advisory.usage.models import Reading
from advisory.usage.queries import car_uses_of

Places = NDArray[np.int64]
# Days of a car stand under its place times this: no day is as great.
_A_CAR = 1 << 22
# A small instrument goes round so often that two readings of a day may have gone round between.
_FEW_DIGITS = 4


@dataclass(frozen=True)
class Knots:
    """Distances of many cars at their readings, by car and day."""

    key: Places  # place of the car * _A_CAR + day
    metres: Column
    shown: Column
    stretch: Places

    def at(self, car: Places, days: Column, shown: Column) -> Column:
        """Return the distance of each car by each day, or when a number was shown on it."""
        if not self.key.size:
            return np.full(days.shape, np.nan)
        wanted = car * _A_CAR + days.astype(np.int64)
        after = np.searchsorted(self.key, wanted, side="right")
        last = self.key.size - 1
        before, following = np.clip(after - 1, 0, last), np.clip(after, 0, last)
        has_before = (after > 0) & (self.key[before] // _A_CAR == car)
        has_after = (after <= last) & (self.key[following] // _A_CAR == car)
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


def stays_of(units: PlaceOf, reader: Reader) -> Stays:
    """Read the stays of units and the readings of their cars, in a constant number of queries."""
    stays = reader.read(
        Fitting.objects.all(),
        "unit_id",
        units,
        car="car_id",
        begin=day("from_date"),
        begin_shown="from_reading",
        end=day("until_date"),
        end_shown="until_reading",
        pk="pk",
    )
    order = in_order(stays["place"], stays["begin"], stays["pk"])
    stays = {name: column[order] for name, column in stays.items()}
    cars = PlaceOf(distinct(stays["car"].astype(np.int64)))
    car = cars(stays["car"])
    knots = _knots(cars, reader)
    begin_metres = knots.at(car, stays["begin"], stays["begin_shown"])
    lasts = np.isnan(stays["end"])
    ends = np.where(lasts, 4e6, stays["end"])
    end_metres = knots.at(car, ends, np.where(lasts, np.nan, stays["end_shown"]))
    return Stays(
        unit=stays["place"],
        car=car,
        begin=stays["begin"],
        begin_metres=begin_metres,
        end=np.where(lasts, np.inf, stays["end"]),
        end_metres=end_metres,
        knots=knots,
    )


def _knots(of: PlaceOf, reader: Reader) -> Knots:
    cars = of.keys
    instruments = reader.read(
        Odometer.objects.all(),
        "car_id",
        of,
        pk="pk",
        unit=code_of("unit", DistanceUnit),
        digits="digits",
        replaced=day("fitted_on"),
    )
    by_key = np.argsort(instruments["pk"])
    readings = reader.read(
        Reading.objects.all(),
        "odometer_id",
        PlaceOf(instruments["pk"][by_key]),
        day=day("date"),
        shown="shown",
        confirmed=flag_of("confirmed"),
        round=flag_of("went_round"),
    )
    told = [
        reader.read(
            Fitting.objects.filter(**{f"{end}_reading__isnull": False}),
            "car_id",
            of,
            day=day(f"{end}_date"),
            shown=f"{end}_reading",
        )
        for end in ("from", "until")
    ]
    nothing = [np.zeros(each["place"].size) for each in told]
    place = _joined(instruments["place"][by_key][readings["place"]], *(e["place"] for e in told))
    days = _joined(readings["day"], *(each["day"] for each in told))
    shown = _joined(readings["shown"], *(each["shown"] for each in told))
    confirmed = _joined(readings["confirmed"], *nothing)
    went_round = _joined(readings["round"], *nothing)

    # what a car's instrument is; where it has none, or several, it is reckoned by itself
    at = instruments["place"]
    number = np.bincount(at, minlength=cars.size)
    per_count = np.ones(cars.size)
    counts = np.ones(cars.size)
    lengths = np.array([counting.METRES_PER_COUNT[unit.value] for unit in DistanceUnit])
    per_count[at] = lengths[instruments["unit"].astype(int)]
    counts[at] = 10.0 ** instruments["digits"]
    plain = number == 1
    plain[at] &= np.isnan(instruments["replaced"]) & (instruments["digits"] >= _FEW_DIGITS)

    order = in_order(place, days, shown, -confirmed)
    place = place[order]
    days, shown, confirmed, went_round = (
        column[order] for column in (days, shown, confirmed, went_round)
    )
    # the same number told twice on a day is one
    again = np.zeros(place.size, dtype=bool)
    again[1:] = (place[1:] == place[:-1]) & (days[1:] == days[:-1]) & (shown[1:] == shown[:-1])
    place = place[~again]
    days, shown, confirmed, went_round = (
        column[~again] for column in (days, shown, confirmed, went_round)
    )
    follows = np.zeros(place.size, dtype=bool)
    follows[1:] = place[1:] == place[:-1]
    step = np.zeros(place.size)
    step[1:] = shown[1:] - shown[:-1]
    gap = np.zeros(place.size)
    gap[1:] = days[1:] - days[:-1]
    farthest = _farthest(gap)
    forward = (step >= 0.0) & ((confirmed > 0.0) | (step * per_count[place] <= farthest))
    rounded = step + counts[place]
    gone_round = (step < 0.0) & (
        (went_round > 0.0)
        | ((rounded <= ROUND_AT_MOST * counts[place]) & (rounded * per_count[place] <= farthest))
    )
    believed = ~follows | forward | gone_round
    plain &= np.bincount(place, weights=~believed, minlength=cars.size) == 0
    way = np.where(follows, np.where(step < 0.0, rounded, step), 0.0) * per_count[place]
    total = np.cumsum(way)
    first = np.maximum.accumulate(np.where(follows, 0, np.arange(place.size)))
    mine = plain[place]
    parts: list[_Part] = [
        (place[mine], days[mine], (total - total[first])[mine], shown[mine], None)
    ]
    parts += _by_themselves(cars[~plain], np.flatnonzero(~plain))
    key = np.concatenate([part[0] * _A_CAR + part[1].astype(np.int64) for part in parts])
    metres = np.concatenate([part[2] for part in parts])
    numbers = np.concatenate([part[3] for part in parts])
    stretch = np.concatenate(
        [np.zeros(p[0].size, dtype=np.int64) if p[4] is None else p[4] for p in parts]
    )
    if len(parts) == 1:  # in order already
        return Knots(key, metres, numbers, stretch)
    order = np.argsort(key, kind="stable")
    return Knots(key[order], metres[order], numbers[order], stretch[order])


_Part = tuple[Places, Column, Column, Column, Places | None]


def _by_themselves(keys: Column, places: Places) -> list[_Part]:
    """Reckon cars one by one, as `usage` does."""
    if not keys.size:
        return []
    place_of = dict(zip(keys.astype(int).tolist(), places.tolist(), strict=True))
    rows = []
    for pk, use in car_uses_of(Car.objects.filter(pk__in=place_of)).items():
        rows += [
            (place_of[pk], point.reading.day, point.metres, point.reading.shown, point.stretch)
            for point in use.trace.believed
        ]
    if not rows:
        return []
    table = np.array(rows, dtype=np.float64).T
    return [(table[0].astype(np.int64), table[1], table[2], table[3], table[4].astype(np.int64))]


def _farthest(days: Column) -> Column:
    """As `odometer.farthest_in`, of many spells."""
    known_days, metres = (np.array(each, dtype=np.float64) for each in zip(*FARTHEST, strict=True))
    beyond = np.maximum(days - known_days[-1], 0.0) * FARTHEST_PER_FURTHER_YEAR / 365
    return np.asarray(np.interp(days, known_days, metres) + beyond)


def _joined(*columns: Column) -> Column:
    return np.concatenate(columns)
