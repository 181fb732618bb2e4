"""How far a car and a unit have come, and how they are used: rows in, distances and days out."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property

from advisory.engineering import hour_counter
from advisory.engineering import odometer as counting
from advisory.engineering import usage_forecast as forecasting
from advisory.register.models import Car, Fitting, Odometer, Unit
from advisory.usage.adapters import ReadingRow, Told, trace_of, use_of
from advisory.usage.forecasts import ForecastDates, Forecasts
from advisory.usage.models import LayUp


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
