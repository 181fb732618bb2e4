"""What is believed of the use of many cars, reckoned for all of them at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date, timedelta
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from advisory.engineering import usage_forecast as forecasting
from advisory.people.models import Person
from advisory.people.seasons import season_ahead
from advisory.register.models import Car
from advisory.usage.models import LearntFleet

if TYPE_CHECKING:
    from advisory.usage.use import CarUse


class ForecastDates(NamedTuple):
    """When a distance is reached with a chance of 10, 50 and 90 %; None is over ten years off.

    `since` is the day of the last reading, from which it is reckoned.
    """

    since: date
    p10: date | None
    p50: date | None
    p90: date | None


def learnt_fleet() -> forecasting.Fleet:
    """Return what was last learnt over all cars; the stated defaults where nothing was yet."""
    row = LearntFleet.objects.order_by("-pk").first()
    if row is None:
        return forecasting.DEFAULT_FLEET
    return forecasting.Fleet.from_dict(row.figures)


class Forecasts:
    """Forecasts of some cars, made together when the first of them is asked for."""

    def __init__(self, learnt: Callable[[], forecasting.Fleet] = learnt_fleet) -> None:
        self.cars: list[CarUse] = []
        self._learnt = learnt
        self._beliefs: dict[date, tuple[forecasting.Belief | None, dict[int, int]]] = {}
        self._driven: dict[tuple[int, date, date], float] = {}

    @cached_property
    def fleet(self) -> forecasting.Fleet:
        """What was learnt over all cars."""
        return self._learnt()

    @cached_property
    def _zones(self) -> dict[int, str]:
        """The time zones of the cars' owners, by their keys; asked for where not at hand."""
        cars = [use.car for use in self.cars]
        zones = {car.owner_id: car.owner.zone for car in cars if Car.owner.is_cached(car)}
        if missing := {car.owner_id for car in cars} - zones.keys():
            zones |= dict(Person.objects.filter(pk__in=missing).values_list("pk", "zone"))
        return zones

    def season_ahead(self, car: CarUse) -> timedelta:
        """Return how far a car's seasons are ahead of those of the northern half of the world."""
        return season_ahead(self._zones[car.car.owner_id])

    def _belief(self, today: date) -> tuple[forecasting.Belief | None, dict[int, int]]:
        """Return what is believed on a day, and the places of the cars by their keys."""
        if today not in self._beliefs:
            known = [(car.car.pk, use) for car in self.cars if (use := car.use(today)) is not None]
            belief = None
            if known:
                uses = forecasting.Uses.of([use for _pk, use in known])
                belief = forecasting.believe(uses, self.fleet)
            self._beliefs[today] = belief, {pk: place for place, (pk, _) in enumerate(known)}
        return self._beliefs[today]

    def annual_distance(self, car: CarUse, today: date) -> float:
        """Estimate the metres a year of a car: from readings, the owner's guess, or its like."""
        belief, places = self._belief(today)
        if belief is None or car.car.pk not in places:
            return car.car.expected_annual_distance or self.fleet.annual_mean
        return float(belief.annual[places[car.car.pk]])

    def driven_since(self, car: CarUse, today: date, until_day: date | None = None) -> float:
        """Estimate the metres that a car has come since its last reading, by today or a day."""
        until = until_day or today
        if (car.car.pk, until, today) not in self._driven:
            self.look_ahead([(car, until)], today)
        return self._driven[car.car.pk, until, today]

    def look_ahead(self, asked: Iterable[tuple[CarUse, date]], today: date) -> None:
        """Reckon for many cars and days together what `driven_since` is going to be asked."""
        belief, places = self._belief(today)
        known = []
        for car, until in asked:
            if belief is None or car.car.pk not in places:
                self._driven[car.car.pk, until, today] = 0.0
            else:
                known.append((car, until))
        if belief is None or not known:
            return
        cars = np.array([places[car.car.pk] for car, _until in known])
        days = [(until + self.season_ahead(car)).toordinal() for car, until in known]
        driven = belief.driven_since(cars, np.maximum(belief.uses.last_days[cars], days))
        for (car, until), metres in zip(known, driven.tolist(), strict=True):
            self._driven[car.car.pk, until, today] = metres

    def reached(
        self, asked: Sequence[tuple[CarUse, float]], today: date
    ) -> list[ForecastDates | None]:
        """Estimate when cars will have come so many metres beyond their last readings."""
        belief, places = self._belief(today)
        told: list[ForecastDates | None] = [None] * len(asked)
        known = [at for at, (car, _ahead) in enumerate(asked) if car.car.pk in places]
        if belief is None or not known:
            return told
        cars = np.array([places[asked[at][0].car.pk] for at in known])
        ahead = np.array([asked[at][1] for at in known])
        days = forecasting.days_reached_by(belief, cars, belief.uses.last_metres[cars] + ahead)
        since = belief.uses.last_days[cars].tolist()
        for at, begun, found in zip(known, since, days.tolist(), strict=True):
            season = self.season_ahead(asked[at][0])
            there = (None if (day := _date(each)) is None else day - season for each in found)
            told[at] = ForecastDates(date.fromordinal(begun) - season, *there)
        return told


def _date(day: float) -> date | None:
    return None if day != day else date.fromordinal(min(int(day), date.max.toordinal()))
