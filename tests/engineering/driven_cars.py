"""Invented cars, driven by the day: no likelihood of ours, only outings, tours, winters, mishaps.

Outings come in bunches of a week or two, tours fill a week in summer, years differ, most cars
stand from late October to early April and some run all year, and now and then a car is off the
road for most of a year. It is read seldom and unevenly, and some owners round.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray
from advisory.engineering.usage_forecast import Uses

Whole = NDArray[np.int64]

FIRST_DAY = np.datetime64("2009-01-01")
_DAY_ONE = np.datetime64("0001-01-01")
#: Day of the first, as `date.toordinal` counts.
FIRST_ORDINAL = int((FIRST_DAY - _DAY_ONE).astype(int)) + 1
PAST, AHEAD = 3000, 1400  # days that are driven before and after the last reading
KM = 1000.0
CAP = 1095  # days; a truth farther off counts as this


@dataclass(frozen=True)
class World:
    """How the cars of a world are driven and read.

    Set so that plain methods err on it as they are known to on such cars: the car's own average by
    about 110 days in the middle, the last stretch's rate by 160, who knows each car by heart by 30.
    """

    yearly_km: float = 2_400.0
    yearly_spread: float = 0.75
    laid_up: float = 0.78
    years_differ: float = 0.1
    drift: float = 0.0  # of the yearly distance, a year
    off_a_year: float = 0.025
    tours_a_year: float = 0.25
    bunched: float = 2.0  # trips in a bunch of outings
    trip_km: float = 25.0
    read_most: float = 12.0  # readings a year of the keenest owner
    rounds: float = 0.25
    tells_lay_ups: float = 0.0
    needs_km: tuple[float, float] = (300.0, 3_800.0)


#: Owners who drive by fits and starts, whose years differ much, whose cars break down more often.
ROUGH = World(
    yearly_km=2_600.0,
    yearly_spread=0.6,
    laid_up=0.6,
    years_differ=0.3,
    drift=0.02,
    off_a_year=0.08,
    tours_a_year=0.8,
    bunched=3.0,
    trip_km=55.0,
    needs_km=(500.0, 5_000.0),
)


@dataclass
class Driven:
    """Cars with their readings, and when each will have come far enough.

    `starts[i]:starts[i + 1]` are the readings of car i; `need` metres from its last one; `truth`
    the days that took, at most `CAP`; `again` the days that it would have taken other times, which
    is what could be known at best, by whoever knows each car by heart.
    """

    starts: Whole
    days: Whole
    metres: FloatArray
    need: FloatArray
    truth: FloatArray
    again: FloatArray
    lay_ups: list[list[tuple[int, int]]] = field(default_factory=list)

    @property
    def cars(self) -> int:
        """How many cars."""
        return len(self.need)

    @property
    def counts(self) -> Whole:
        """How many readings each has."""
        return np.diff(self.starts)

    @property
    def uses(self) -> Uses:
        """What a forecast gets to know of them."""
        spells = [(car, *spell) for car, those in enumerate(self.lay_ups) for spell in those]
        told = np.array(spells, dtype=np.int64).reshape(-1, 3)
        return Uses(
            self.starts,
            self.days,
            self.metres,
            lay_up_cars=told[:, 0],
            lay_up_from=told[:, 1],
            lay_up_to=told[:, 2],
        )


@dataclass
class Characters:
    """What a car is like, for as long as it lives."""

    yearly: FloatArray
    laid_up: NDArray[np.bool_]
    winter: FloatArray
    peak: FloatArray
    away: FloatArray
    back: FloatArray
    tours: FloatArray
    drift: FloatArray

    def those(self, places: Whole) -> Characters:
        """Return some of them, any of them more than once."""
        return Characters(*(getattr(self, name)[places] for name in self.__dataclass_fields__))


def characters(world: World, cars: int, rng: np.random.Generator) -> Characters:
    """Invent cars."""
    return Characters(
        yearly=world.yearly_km * np.exp(world.yearly_spread * rng.standard_normal(cars)) * KM,
        laid_up=rng.random(cars) < world.laid_up,
        winter=rng.uniform(0.25, 0.9, cars),
        peak=rng.normal(185.0, 20.0, cars),
        away=rng.normal(298.0, 14.0, cars),
        back=rng.normal(97.0, 14.0, cars),
        tours=rng.gamma(1.2, world.tours_a_year / 1.2, cars),
        drift=rng.normal(0.0, world.drift, cars),
    )


def use_by_day(
    world: World, those: Characters, first: Whole, days: int, rng: np.random.Generator
) -> tuple[FloatArray, list[list[tuple[int, int]]]]:
    """Return the metres of each day from `first` on (a place in the calendar), and the lay-ups."""
    cars = len(those.yearly)
    calendar = first[:, None] + np.arange(days)
    date = FIRST_DAY + calendar.astype("timedelta64[D]")
    year = date.astype("datetime64[Y]").astype(int) - 39
    of_year = (date - date.astype("datetime64[Y]").astype("datetime64[D]")).astype(int)
    swing = np.cos(2 * np.pi * (of_year - those.peak[:, None]) / 365.25)
    low = np.where(those.laid_up, 0.45, those.winter)[:, None]
    use = low + (1 - low) * (1 + swing) / 2
    years = int(year.max()) + 2
    of_a_year = world.years_differ * rng.standard_normal((cars, years))
    of_a_year += those.drift[:, None] * (np.arange(years) - years / 2)
    rows = np.arange(cars)[:, None]
    use *= np.exp(of_a_year - world.years_differ**2 / 2)[rows, year]
    spells: list[list[tuple[int, int]]] = [[] for _ in range(cars)]
    away = np.rint(those.away[:, None] + rng.normal(0, 9, (cars, years))).astype(int)
    back = np.rint(those.back[:, None] + rng.normal(0, 9, (cars, years))).astype(int)
    standing = (of_year >= away[rows, year]) | (of_year < back[rows, year])
    use *= ~(standing & those.laid_up[:, None])
    base = (FIRST_DAY.astype("datetime64[Y]") + np.arange(years)).astype("datetime64[D]")
    base_days = (base - FIRST_DAY).astype(int)
    for car in np.flatnonzero(those.laid_up):
        for y in range(years - 1):
            spells[car].append(
                (int(base_days[y] + away[car, y]), int(base_days[y + 1] + back[car, y + 1] - 1))
            )
    mishaps = rng.poisson(world.off_a_year * days / 365.25, cars)
    for car in np.flatnonzero(mishaps):
        for begin in rng.integers(-200, days, mishaps[car]):
            use[car, max(begin, 0) : max(begin + int(rng.uniform(180, 400)), 0)] = 0.0
    # a tour is in summer; the rest is outings, in bunches
    tour_use = use * ((of_year > 120) & (of_year < 270))
    toured = rng.random((cars, days)) < tour_use / 110.0 * those.tours[:, None]
    metres = np.zeros((cars, days))
    car, day = np.nonzero(toured)
    length = rng.integers(4, 11, len(car))
    _spread(metres, car, day, length, rng.lognormal(np.log(150 * KM), 0.4, len(car)), rng)
    share = np.clip(1.0 - those.tours * 1_050 * KM / those.yearly, 0.35, 1.0)
    outings = share * those.yearly / (world.bunched * world.trip_km * KM) / 225.0
    begun = rng.poisson(use * outings[:, None] * 0.95)
    car, day = np.nonzero(begun)
    times = begun[car, day]
    car, day = np.repeat(car, times), np.repeat(day, times)
    trips = rng.geometric(1.0 / world.bunched, len(car))
    car, day = np.repeat(car, trips), np.repeat(day, trips)
    day = day + np.rint(rng.exponential(5.0, len(day))).astype(int)
    inside = day < days
    far = rng.lognormal(np.log(world.trip_km * KM) - 0.32, 0.8, len(day))
    np.add.at(metres, (car[inside], day[inside]), far[inside])
    return metres * (use > 0), spells


def _spread(
    metres: FloatArray,
    car: Whole,
    day: Whole,
    length: Whole,
    far: FloatArray,
    rng: np.random.Generator,
) -> None:
    row = np.repeat(car, length)
    offset = np.arange(len(row)) - np.repeat(np.cumsum(length) - length, length)
    at = np.repeat(day, length) + offset
    inside = at < metres.shape[1]
    each = np.repeat(far, length) * rng.uniform(0.4, 1.6, len(row))
    np.add.at(metres, (row[inside], at[inside]), each[inside])


def read_days(world: World, cars: int, rng: np.random.Generator) -> list[Whole]:
    """Return on which days before its last reading (0) each car was read."""
    found = []
    for _ in range(cars):
        span = rng.gamma(1.6, 700.0)
        a_year = min(rng.gamma(1.4, 1.9), world.read_most)
        n = rng.poisson(a_year * span / 365.25)
        at = rng.uniform(0, min(span, PAST - 50), n)
        if n and rng.random() < 0.3:  # read together, as at a meeting or before a lay-up
            at[rng.random(n) < 0.4] += rng.uniform(0, 20)
        days = np.unique(np.rint(at[at < PAST]).astype(np.int64))
        found.append(np.concatenate(([0], days[days > 0]))[::-1])
    return found


def drive(
    cars: int, seed: int, world: World | None = None, *, again: int = 0, chunk: int = 500
) -> Driven:
    """Drive cars and read them."""
    world = world or World()
    rng = np.random.default_rng(seed)
    kinds = characters(world, cars, rng)
    last = rng.integers(PAST + 50, PAST + 50 + 1461, cars)
    read = read_days(world, cars, rng)
    need = rng.uniform(*world.needs_km, cars) * KM
    starts = np.concatenate(([0], np.cumsum([len(days) for days in read])))
    found = Driven(
        starts,
        np.empty(starts[-1], dtype=np.int64),
        np.empty(starts[-1]),
        need,
        np.empty(cars),
        np.empty((cars, again)),
    )
    for begin in range(0, cars, chunk):
        some = np.arange(begin, min(begin + chunk, cars))
        driven, spells = use_by_day(world, kinds.those(some), last[some] - PAST, PAST + AHEAD, rng)
        total = np.cumsum(driven, axis=1)
        for row, car in enumerate(some):
            shown = rng.uniform(1e3, 8e4) * KM + total[row, PAST - read[car]]
            if rng.random() < world.rounds:
                step = rng.choice([10.0, 100.0, 100.0, 500.0]) * KM
                shown = np.rint(shown / step) * step
            span = slice(starts[car], starts[car + 1])
            found.days[span] = FIRST_ORDINAL + last[car] - read[car]
            found.metres[span] = shown
            reached = np.searchsorted(total[row], total[row, PAST] + need[car])
            found.truth[car] = min(reached - PAST, CAP)
            tells = rng.random() < world.tells_lay_ups
            past = [spell for spell in spells[row] if spell[0] < last[car]] if tells else []
            found.lay_ups.append([(FIRST_ORDINAL + a, FIRST_ORDINAL + b) for a, b in past])
            if again:
                places = np.full(again, car)
                more, _ = use_by_day(world, kinds.those(places), last[places], AHEAD, rng)
                far = np.cumsum(more, axis=1)
                found.again[car] = [min(np.searchsorted(one, need[car]) + 1, CAP) for one in far]
    return found


#: Cars by how many readings they have: least and most.
CLASSES = ((1, 1), (2, 4), (5, 9), (10, 10_000))


@dataclass(frozen=True)
class Score:
    """How well days were foretold."""

    cars: int
    median_error: float
    pinball: float
    pinball_error: float  # of its mean, as these are only so many cars
    holds: float
    early: float
    late: float


def score(found: FloatArray, driven: Driven, least: int = 1, most: int = 10_000) -> Score:
    """Score days after the last reading, shape (n, 3), over cars with so many readings."""
    chosen = (driven.counts >= least) & (driven.counts <= most)
    days, truth = np.minimum(found[chosen], CAP), driven.truth[chosen]
    level = np.array([0.1, 0.5, 0.9])
    off = truth[:, None] - days
    lost = np.maximum(level * off, (level - 1) * off).mean(axis=1)
    return Score(
        cars=int(chosen.sum()),
        median_error=float(np.median(np.abs(off[:, 1]))),
        pinball=float(lost.mean()),
        pinball_error=float(lost.std() / np.sqrt(len(lost))),
        holds=float(np.mean((days[:, 0] <= truth) & (truth <= days[:, 2]))),
        early=float(np.mean(truth < days[:, 0])),
        late=float(np.mean(truth > days[:, 2])),
    )
