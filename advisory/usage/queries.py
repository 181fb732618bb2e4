"""How far cars and units have come, and how they are used; a constant number of SQL queries."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache, cached_property, partial
from itertools import starmap

from advisory.common.keys import among
from advisory.common.together import FEW, fetch_together
from advisory.engineering import hour_counter
from advisory.engineering import odometer as counting
from advisory.engineering import usage_forecast as forecasting
from advisory.people.clock import today_of
from advisory.register.models import Car, Fitting, Odometer, Unit
from advisory.usage.adapters import ReadingRow, Told, row_of, trace_of, use_of
from advisory.usage.forecasts import ForecastDates, Forecasts, learnt_fleet
from advisory.usage.models import HourReading, LayUp, Reading


@dataclass(frozen=True)
class CarUse:
    """A car's instruments, readings and lay-ups; `forecasts` are made with those read with it."""

    car: Car
    odometers: tuple[Odometer, ...]
    rows: tuple[ReadingRow, ...]
    told: tuple[Told, ...]
    lay_ups: tuple[LayUp, ...]
    forecasts: Forecasts = field(compare=False, repr=False)

    @cached_property
    def trace(self) -> counting.Trace:
        """The distance at every reading, believed or not."""
        return trace_of(self.odometers, self.rows, self.told)

    @property
    def odometer(self) -> Odometer:
        """The instrument that is in the car now."""
        return self.odometers[-1]

    @cached_property
    def latest(self) -> counting.Point | None:
        """The last reading that is believed."""
        return self.trace.believed[-1] if self.trace.believed else None

    def distance(self, on: date | None = None, shown: int | None = None) -> float | None:
        """Return metres since the first reading, by a day or the last reading; None without any."""
        if on is None:
            return self.latest.metres if self.latest else None
        mark = self.trace.at(on.toordinal(), shown)
        return mark.metres if mark else None

    def laid_up(self, on: date) -> LayUp | None:
        """Return the lay-up that the car is in on a day; on the day of its return it is back."""
        for spell in self.lay_ups:
            if spell.from_date <= on and (spell.until_date is None or on < spell.until_date):
                return spell
        return None

    def use(self, today: date) -> forecasting.Use | None:
        """Return what the forecast wants to know; None without a reading."""
        spells = [(spell.from_date, spell.until_date) for spell in self.lay_ups]
        guess = self.car.expected_annual_distance
        return use_of(self.trace, spells, guess, today, self.season_ahead)

    @property
    def season_ahead(self) -> timedelta:
        """How far the seasons where its owner lives are ahead of the northern ones."""
        return self.forecasts.season_ahead(self)

    def annual_distance(self, today: date) -> float:
        """Estimate metres a year: from the readings, the owner's guess, or the stated default."""
        return self.forecasts.annual_distance(self, today)


@dataclass(frozen=True)
class UnitUse:
    """A unit's stays in cars, in order, each with the use of its car.

    Its distance counts from the day it came into the register, over all of them.
    """

    unit: Unit
    stays: tuple[tuple[Fitting, CarUse], ...]
    hours: hour_counter.CounterTrace = field(default_factory=hour_counter.CounterTrace)

    @cached_property
    def mean_speed(self) -> float | None:
        """Metres a second of running, as the hour counter tells it; None where it can't."""
        first, last = self.hours.first_of_last, self.hours.last
        if first is None or last is None:
            return None
        begun, ended = date.fromordinal(first.day), date.fromordinal(last.day)
        came = self.since(begun, until=ended)
        return None if came is None else hour_counter.mean_speed(came, last.run - first.run)

    @property
    def current(self) -> CarUse | None:
        """The car that it is in now."""
        if self.stays and self.stays[-1][0].until_date is None:
            return self.stays[-1][1]
        return None

    def distance(self, on: date | None = None) -> float | None:
        """Return the metres that the readings account for; None without a car or a reading.

        Over a change of instrument with unknown numbers it stands still: ask `since`, which says
        None where such a gap lies between, or `unknown_since`.
        """
        return self._now if on is None else self._distance(on)

    @cached_property
    def _now(self) -> float | None:
        """The distance by the last reading, which a plan asks for at each of its items."""
        return self._distance(None)

    def _distance(self, on: date | None) -> float | None:
        ways = [
            self._way(fitting, use, None, on)
            for fitting, use in self.stays
            if on is None or fitting.from_date <= on
        ]
        if not ways or None in ways:
            return None
        return sum(way[0] for way in ways if way is not None)

    def since(
        self, day: date, shown: int | None = None, *, until: date | None = None
    ) -> float | None:
        """Return metres covered since a day, or since a number was shown on it.

        None where that isn't known: without a reading, or with an instrument between that was
        changed and nobody knows its numbers.
        """
        total = 0.0
        for fitting, use in self.stays:
            if fitting.until_date is not None and fitting.until_date < day:
                continue
            if until is not None and fitting.from_date > until:
                continue
            way = self._way(fitting, use, (day, shown), until)
            if way is None or not way[1]:
                return None
            total += way[0]
        return total if self.stays else None

    def at_least_since(self, day: date) -> float:
        """Return the metres covered since a day as far as they are known, over gaps too."""
        ways = [
            self._way(fitting, use, (day, None), None)
            for fitting, use in self.stays
            if fitting.until_date is None or fitting.until_date >= day
        ]
        return sum(way[0] for way in ways if way is not None)

    @property
    def unknown_since(self) -> date | None:
        """The last day on which the unit began to count anew after a gap of unknown distance."""
        days = [
            day
            for fitting, use in self.stays
            for day in map(date.fromordinal, use.trace.breaks())
            if fitting.from_date < day and (fitting.until_date is None or day <= fitting.until_date)
        ]
        return max(days, default=None)

    def expected_distance(self, today: date) -> float | None:
        """Estimate the unit's own distance today: what is read, and what was driven since."""
        distance, car = self.distance(), self.current
        if distance is None or car is None:
            return distance
        return distance + car.forecasts.driven_since(car, today)

    def driven_unread(self, day: date, today: date) -> float:
        """Estimate the metres from the last reading to a later day; nought where it was read."""
        car = self.current
        if car is None or car.latest is None or car.latest.reading.day >= day.toordinal():
            return 0.0
        return car.forecasts.driven_since(car, today, day)

    def dates_reached(self, metres: float, today: date) -> ForecastDates | None:
        """Estimate when the unit's own distance will reach `metres`; None where it is in no car."""
        return dates_reached_of([(self, metres, today)])[0]

    def _way(
        self,
        fitting: Fitting,
        use: CarUse,
        since: tuple[date, int | None] | None,
        until: date | None,
    ) -> tuple[float, bool] | None:
        """Return the metres of one stay and whether all of them are known."""
        begin, begin_shown = fitting.from_date, fitting.from_reading
        if since is not None and since[0] >= begin:
            begin, begin_shown = since[0], since[1]
        end, end_shown = fitting.until_date, fitting.until_reading
        if until is not None and (end is None or until < end):
            end, end_shown = until, None
        start = use.trace.at(begin.toordinal(), begin_shown)
        if start is None:
            return None
        if end is None:
            last = use.trace.believed[-1]
            stop: counting.Mark | None = counting.Mark(last.metres or 0.0, last.stretch)
        else:
            stop = use.trace.at(end.toordinal(), end_shown)
        assert stop is not None
        return max(stop.metres - start.metres, 0.0), stop.stretch == start.stretch


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


def dates_reached_of(
    asked: Sequence[tuple[UnitUse, float, date]],
) -> list[ForecastDates | None]:
    """Estimate when units will have come to distances of their own [m], as of a day each.

    None where a unit is in no car, or its distance isn't known. Cars that were read together are
    reckoned together.
    """
    told: list[ForecastDates | None] = [None] * len(asked)
    together: dict[tuple[int, date], list[tuple[int, CarUse, float]]] = defaultdict(list)
    for at, (use, metres, today) in enumerate(asked):
        distance, car = use.distance(), use.current
        if distance is not None and car is not None:
            together[id(car.forecasts), today].append((at, car, metres - distance))
    for (_forecasts, today), those in together.items():
        found = those[0][1].forecasts.reached([(car, ahead) for _at, car, ahead in those], today)
        for (at, _car, _ahead), dates in zip(those, found, strict=True):
            told[at] = dates
    return told


def look_ahead(asked: Iterable[tuple[UnitUse, Iterable[date], date]]) -> None:
    """Reckon together what `driven_unread` is going to be asked, of units and days as of a day."""
    together: dict[tuple[int, date], tuple[Forecasts, list[tuple[CarUse, date]]]] = {}
    for use, days, today in asked:
        car = use.current
        if car is None or car.latest is None:
            continue
        last = car.latest.reading.day
        _forecasts, those = together.setdefault((id(car.forecasts), today), (car.forecasts, []))
        those += [(car, day) for day in days if day.toordinal() > last]
    for (_key, today), (forecasts, those) in together.items():
        forecasts.look_ahead(those, today)


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
