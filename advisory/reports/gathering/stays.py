"""Stays of a whole fleet's units in cars, and distances as `usage` reckons them, many at a time.

Where a car has one instrument and each reading follows the one before believably, which is nearly
all of them, the distance at each reading is a running sum over all cars at once. The others go
through `usage`, car by car. Both give the same; the tests hold them to it.

Reading, the sums and the rest are apart, so that the sums can be done while others are read.
"""

from dataclasses import dataclass
from typing import Any

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
from advisory.reports.gathering.distances import A_CAR, Knots, Places, Stays
from advisory.usage.models import Reading
from advisory.usage.queries import car_uses_of

# A small instrument goes round so often that two readings of a day may have gone round between.
FEW_DIGITS = 4
Columns = dict[str, Any]


@dataclass(frozen=True)
class Told:
    """What the database says of the stays, and of the instruments and readings of their cars."""

    stays: Columns
    cars: PlaceOf
    instruments: Columns
    readings: Columns
    # numbers told with a fitting: as a unit came, and as it left
    fittings: list[Columns]


@dataclass(frozen=True)
class Sums:
    """Distances of the cars that were reckoned together, in order, and which those are."""

    place: Places
    days: Column
    metres: Column
    shown: Column
    plain: NDArray[np.bool_]


def read_stays(units: PlaceOf, reader: Reader) -> Told:
    """Read the stays of units and what their cars' instruments showed, in five queries."""
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
    instruments = reader.read(
        Odometer.objects.all(),
        "car_id",
        cars,
        pk="pk",
        unit=code_of("unit", DistanceUnit),
        digits="digits",
        replaced=day("fitted_on"),
    )
    order = np.argsort(instruments["pk"])
    instruments = {name: column[order] for name, column in instruments.items()}
    readings = reader.read(
        Reading.objects.all(),
        "odometer_id",
        PlaceOf(instruments["pk"]),
        day=day("date"),
        shown="shown",
        confirmed=flag_of("confirmed"),
        round=flag_of("went_round"),
    )
    fittings = [
        reader.read(
            Fitting.objects.filter(**{f"{end}_reading__isnull": False}),
            "car_id",
            cars,
            day=day(f"{end}_date"),
            shown=f"{end}_reading",
        )
        for end in ("from", "until")
    ]
    return Told(stays, cars, instruments, readings, fittings)


def sums_of(told: Told) -> Sums:
    """Sum up the distances of all cars at once; nothing is read."""
    cars, instruments, readings = told.cars.keys, told.instruments, told.readings
    nothing = [np.zeros(each["place"].size) for each in told.fittings]
    place = _joined(instruments["place"][readings["place"]], *(e["place"] for e in told.fittings))
    days = _joined(readings["day"], *(each["day"] for each in told.fittings))
    shown = _joined(readings["shown"], *(each["shown"] for each in told.fittings))
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
    plain[at] &= np.isnan(instruments["replaced"]) & (instruments["digits"] >= FEW_DIGITS)

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
    return Sums(place[mine], days[mine], (total - total[first])[mine], shown[mine], plain)


def stays_of(told: Told, sums: Sums) -> Stays:
    """Put the stays together; cars that could not be summed up are read by themselves."""
    stays, car = told.stays, told.cars(told.stays["car"])
    knots = _knots(told.cars.keys, sums)
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


def _knots(cars: Column | Places, sums: Sums) -> Knots:
    parts: list[_Part] = [(sums.place, sums.days, sums.metres, sums.shown, None)]
    parts += _by_themselves(cars[~sums.plain], np.flatnonzero(~sums.plain))
    key = np.concatenate([part[0] * A_CAR + part[1].astype(np.int64) for part in parts])
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


def _by_themselves(keys: Column | Places, places: Places) -> list[_Part]:
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
