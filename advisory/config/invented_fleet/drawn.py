"""How invented cars were driven and looked after: numbers drawn from a seed, no rows.

What an invented fleet is like is set by us, no source; that many readings to a car, and that they
are few for most cars and many for some, is what the forecasts are measured on.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np

from advisory.lubrication.enums import Filtration, ServiceKind
from advisory.people.enums import DistanceUnit
from advisory.register.enums import Roads

READINGS_A_CAR = 8.6
LONGEST_YEARS = 8
MILE, KM = 1609.344, 1000.0
DAYS_A_YEAR = 365.25
# How much more is driven in the middle of the year than in the mean.
SEASON = 0.8
MID_SEASON = 196  # 15 July
MISTYPED, LAID_UP, IN_NO_CAR, COUNTS_HOURS = 0.01, 0.35, 0.02, 0.05
UNITS_A_CAR = (0.05, 0.90, 0.05)
PATTERNS = (0.42, 0.08, 0.38, 0.12)  # engine, supercharger, gearbox, water pump
FILTERS = {
    Filtration.NONE: 0.40,
    Filtration.STRAINER: 0.15,
    Filtration.BYPASS: 0.15,
    Filtration.FULL_FLOW: 0.20,
    Filtration.UNKNOWN: 0.10,
}


@dataclass(frozen=True)
class Shown:
    """What an instrument showed on a day."""

    day: date
    number: int


@dataclass(frozen=True)
class DrawnService:
    """Something done with the oil."""

    day: date
    kind: ServiceKind
    number: int | None


@dataclass(frozen=True)
class DrawnUnit:
    """A unit: which pattern, when it was built and came into its car, how it is oiled."""

    pattern: int
    since: date
    until: date | None
    built_on: date | None
    fitted_at: int | None
    clearance: float
    filtration: Filtration
    services: tuple[DrawnService, ...]
    hours: tuple[tuple[date, float], ...]


@dataclass(frozen=True)
class DrawnCar:
    """A car as it was used."""

    since: date
    year: int
    counts: DistanceUnit
    digits: int
    roads: Roads
    short_runs: float
    guess: float | None
    readings: tuple[Shown, ...]
    lay_ups: tuple[tuple[date, date | None], ...]
    units: tuple[DrawnUnit, ...] = field(default=())


def draw_cars(many: int, today: date, rng: np.random.Generator) -> list[DrawnCar]:
    """Draw so many cars as they stand on a day."""
    return [_Car(today, rng).drawn() for _each in range(many)]


class _Car:
    """One car on its way to be drawn."""

    def __init__(self, today: date, rng: np.random.Generator) -> None:
        self.today, self.rng = today, rng
        self.age = int(rng.integers(30, int(LONGEST_YEARS * DAYS_A_YEAR)))
        self.since = today - timedelta(days=self.age)
        self.in_miles = bool(rng.random() < 0.7)
        self.digits = 5 if rng.random() < 0.9 else 6
        self.start = int(rng.integers(0, 10**5))
        # counts a year: a gamma's spread over the fleet, as the forecasts believe it
        self.yearly = float(rng.gamma(2.0, 1_500e3)) / (MILE if self.in_miles else KM)

    def at(self, day: date) -> int:
        """Return what the instrument shows on a day."""
        begun, now = self._season(self.since), self._season(day)
        return (self.start + int(self.yearly * (now - begun))) % int(10**self.digits)

    @staticmethod
    def _season(day: date) -> float:
        """Return the years that a day is worth, the middle of each counting for more."""
        whole = day.toordinal() / DAYS_A_YEAR
        turn = 2.0 * np.pi * (day.toordinal() - MID_SEASON) / DAYS_A_YEAR
        return float(whole + SEASON * np.sin(turn) / (2.0 * np.pi))

    def drawn(self) -> DrawnCar:
        rng = self.rng
        readings = self._readings()
        lay_ups = self._lay_ups()
        units = tuple(self._unit() for _n in range(rng.choice(3, p=UNITS_A_CAR)))
        return DrawnCar(
            since=self.since,
            year=int(rng.integers(1908, 1940)),
            counts=DistanceUnit.MILE if self.in_miles else DistanceUnit.KM,
            digits=self.digits,
            roads=_one_of(rng, (Roads.SEALED, Roads.MIXED, Roads.UNSEALED), (0.8, 0.15, 0.05)),
            short_runs=float(rng.choice([0.0, 0.1, 0.3], p=[0.6, 0.3, 0.1])),
            guess=round(float(rng.gamma(4.0, 1_000e3)), -5) + 1e5 if rng.random() < 0.3 else None,
            readings=readings,
            lay_ups=lay_ups,
            units=units,
        )

    def _days(self, many: int, since: date | None = None) -> list[date]:
        begun = since or self.since
        span = (self.today - begun).days + 1
        drawn = self.rng.integers(0, span, many).tolist()
        return sorted({begun + timedelta(days=day) for day in drawn})

    def _readings(self) -> tuple[Shown, ...]:
        many = int(self.rng.poisson(self.rng.gamma(1.0, READINGS_A_CAR)))
        found = []
        for day in self._days(many):
            number = self.at(day)
            if self.rng.random() < MISTYPED:
                number = (number + 10 ** int(self.rng.integers(3, 5))) % 10**self.digits
            found.append(Shown(day, number))
        return tuple(found)

    def _lay_ups(self) -> tuple[tuple[date, date | None], ...]:
        if self.rng.random() > LAID_UP:
            return ()
        spells: list[tuple[date, date | None]] = []
        for year in range(self.since.year, self.today.year + 1):
            begun = date(year, 10, 20) + timedelta(days=int(self.rng.integers(0, 40)))
            ended = date(year + 1, 3, 15) + timedelta(days=int(self.rng.integers(0, 45)))
            if begun < self.since or begun > self.today or self.rng.random() < 0.2:
                continue
            announced = ended <= self.today or self.rng.random() < 0.3
            spells.append((begun, ended if announced else None))
        return tuple(spells)

    def _unit(self) -> DrawnUnit:
        rng = self.rng
        since = self._days(1)[0] if rng.random() < 0.3 else self.since
        out = None
        if rng.random() < IN_NO_CAR:
            out = since + timedelta(days=int(rng.integers(0, (self.today - since).days + 1)))
        built = rng.random() < 0.85
        return DrawnUnit(
            pattern=int(rng.choice(len(PATTERNS), p=PATTERNS)),
            since=since,
            until=out,
            built_on=since - timedelta(days=int(rng.integers(5, 60))) if built else None,
            fitted_at=self.at(since) if rng.random() < 0.6 else None,
            clearance=float(rng.normal(1.0, 0.15)),
            filtration=_one_of(rng, tuple(FILTERS), tuple(FILTERS.values())),
            services=self._services(since, out or self.today),
            hours=self._hours(since),
        )

    def _services(self, since: date, until: date) -> tuple[DrawnService, ...]:
        years = (until - since).days / DAYS_A_YEAR
        kinds = (ServiceKind.CHANGE, ServiceKind.FILTER_CHANGE, ServiceKind.TOP_UP)
        found = []
        for day in self._days(int(self.rng.poisson(0.9 * years)), since):
            if day <= until:
                shown = self.at(day) if self.rng.random() < 0.6 else None
                kind = _one_of(self.rng, kinds, (0.7, 0.15, 0.15))
                found.append(DrawnService(day, kind, shown))
        return tuple(found)

    def _hours(self, since: date) -> tuple[tuple[date, float], ...]:
        if self.rng.random() > COUNTS_HOURS:
            return ()
        rate = float(self.rng.gamma(4.0, 20.0)) * 3600.0 / DAYS_A_YEAR
        return tuple((day, round((day - since).days * rate)) for day in self._days(4, since))


def _one_of(rng: np.random.Generator, choices: Sequence[Any], chances: Sequence[float]) -> Any:
    return choices[int(rng.choice(len(choices), p=chances))]
