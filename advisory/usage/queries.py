"""How far cars and units have come, and how they are used; a constant number of SQL queries."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from datetime import date
from functools import cache, partial
from itertools import starmap

from advisory.common.keys import among
from advisory.common.together import FEW, fetch_together
from advisory.engineering import hour_counter
from advisory.people.clock import today_of
from advisory.register.models import Car, Fitting, Odometer, Unit
from advisory.usage.adapters import ReadingRow, Told, row_of
from advisory.usage.forecasts import Forecasts, learnt_fleet
from advisory.usage.models import HourReading, LayUp, Reading
from advisory.usage.use import CarUse, UnitUse


def car_uses_of(cars: Iterable[Car]) -> dict[int, CarUse]:
    """Return the use of many cars, by their keys, in one SQL query, or four for a fleet."""
    wanted = {car.pk: car for car in cars}
    few = len(wanted) <= FEW
    fittings, odometers, lay_ups, *read = fetch_together(
        Fitting.objects.filter(car__in=among(wanted)),
        Odometer.objects.filter(car__in=among(wanted)),
        LayUp.objects.filter(car__in=among(wanted)),
        *([Reading.objects.filter(odometer__car__in=wanted)] if few else ()),
        few=few,
    )
    readings = map(row_of, read[0]) if few else _rows_of(wanted)
    return _uses_of(wanted, fittings, odometers, lay_ups, readings)


def _rows_of(cars: Collection[int]) -> Iterator[ReadingRow]:
    """Read only what counts of a fleet's readings: there are many."""
    readings = Reading.objects.filter(odometer__car__in=among(cars)).order_by()
    return starmap(ReadingRow, readings.values_list(*ReadingRow._fields))


def _uses_of(
    wanted: dict[int, Car],
    fittings: Iterable[Fitting],
    instruments: Iterable[Odometer],
    spells: Iterable[LayUp],
    readings: Iterable[ReadingRow],
) -> dict[int, CarUse]:
    """Return the use of cars; the others are all that there are of them, in any order."""
    odometers: dict[int, list[Odometer]] = defaultdict(list)
    for odometer in sorted(instruments, key=lambda row: (row.fitted_on or date.min, row.pk)):
        odometers[odometer.car_id].append(odometer)
    car_of = {odometer.pk: pk for pk, fitted in odometers.items() for odometer in fitted}
    rows: dict[int, list[ReadingRow]] = defaultdict(list)
    for row in readings:
        rows[car_of[row.odometer_id]].append(row)
    told: dict[int, list[Told]] = defaultdict(list)
    for fitting in fittings:
        if fitting.from_reading is not None:
            told[fitting.car_id].append(Told(fitting.from_date, fitting.from_reading))
        if fitting.until_date is not None and fitting.until_reading is not None:
            told[fitting.car_id].append(Told(fitting.until_date, fitting.until_reading))
    lay_ups: dict[int, list[LayUp]] = defaultdict(list)
    for lay_up in sorted(spells, key=lambda row: row.from_date):
        lay_ups[lay_up.car_id].append(lay_up)
    # those are reckoned together for whom it is the same day
    learnt = cache(learnt_fleet)
    forecasts: dict[date | None, Forecasts] = defaultdict(partial(Forecasts, learnt))
    uses = {}
    for pk, car in wanted.items():
        today = today_of(car.owner) if Car.owner.is_cached(car) else None
        uses[pk] = CarUse(
            car,
            tuple(odometers[pk]),
            tuple(rows[pk]),
            tuple(told[pk]),
            tuple(lay_ups[pk]),
            forecasts[today],
        )
        forecasts[today].cars.append(uses[pk])
    return uses


def car_use(car: Car) -> CarUse:
    """Return the use of one car."""
    return car_uses_of([car])[car.pk]


def unit_uses_of(units: Iterable[Unit]) -> dict[int, UnitUse]:
    """Return the use of many units, by their keys, in one SQL query, or six for a fleet."""
    wanted = {unit.pk: unit for unit in units}
    in_cars = Fitting.objects.filter(unit__in=among(wanted)).values("car")
    few = len(wanted) <= FEW
    cars, fittings, odometers, lay_ups, counters, *read = fetch_together(
        Car.objects.filter(pk__in=in_cars),
        # what others than these units told of their cars' odometers counts as well
        Fitting.objects.filter(car__in=in_cars),
        Odometer.objects.filter(car__in=in_cars),
        LayUp.objects.filter(car__in=in_cars),
        HourReading.objects.filter(unit__in=among(wanted)),
        *([Reading.objects.filter(odometer__car__in=in_cars)] if few else ()),
        few=few,
    )
    car_of = {car.pk: car for car in cars}
    _lend_owners(car_of.values(), wanted.values())
    stays: dict[int, list[Fitting]] = defaultdict(list)
    for fitting in sorted(fittings, key=lambda row: (row.from_date, row.pk)):
        fitting.car = car_of[fitting.car_id]
        if fitting.unit_id in wanted:
            fitting.unit = wanted[fitting.unit_id]
            stays[fitting.unit_id].append(fitting)
    readings = map(row_of, read[0]) if few else _rows_of(car_of)
    uses = _uses_of(car_of, fittings, odometers, lay_ups, readings)
    hours: dict[int, list[hour_counter.CounterShown]] = defaultdict(list)
    for row in sorted(counters, key=lambda row: (row.date, row.shown)):
        told = hour_counter.CounterShown(row.date.toordinal(), row.shown, row.anew)
        hours[row.unit_id].append(told)
    return {
        pk: UnitUse(
            unit,
            tuple((fitting, uses[fitting.car_id]) for fitting in stays[pk]),
            hour_counter.counter_trace(hours[pk]),
        )
        for pk, unit in wanted.items()
    }


def _lend_owners(cars: Iterable[Car], units: Iterable[Unit]) -> None:
    """Give cars their owner at hand where a unit brought the same along."""
    known = {unit.owner_id: unit.owner for unit in units if Unit.owner.is_cached(unit)}
    for car in cars:
        if (owner := known.get(car.owner_id)) is not None:
            car.owner = owner


def unit_use(unit: Unit) -> UnitUse:
    """Return the use of one unit."""
    return unit_uses_of([unit])[unit.pk]


def distances_of(units: Iterable[Unit], on: date | None = None) -> dict[int, float | None]:
    """Return the distance of many units [m], by their keys; None where it isn't known."""
    return {pk: use.distance(on) for pk, use in unit_uses_of(units).items()}


def unit_distance(unit: Unit, on: date | None = None) -> float | None:
    """Return a unit's own distance [m]; None where it isn't known."""
    return unit_use(unit).distance(on)


def car_distance(car: Car, on: date | None = None) -> float | None:
    """Return a car's distance since its first reading [m]; None without any."""
    return car_use(car).distance(on)


def latest_reading(car: Car) -> Reading | None:
    """Return the reading of a car's last day that is believed."""
    for point in reversed(car_use(car).trace.believed):
        if isinstance(point.reading.key, int):
            return Reading.objects.filter(pk=point.reading.key).first()
    return None
