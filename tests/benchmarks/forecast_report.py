"""How well due dates are foretold: ``python -m tests.benchmarks.forecast_report [cars]``.

On invented cars (tests/engineering/driven_cars.py), whose driving is no model of ours, with seeds
that nothing was tuned on. Each method is judged on the same cars; days are counted from the last
reading and capped at three years. The plain methods get a band that is calibrated on the true days,
which no real service could know.
"""

import sys
from collections.abc import Callable, Iterator

import numpy as np

from advisory.engineering.arguments import FloatArray
from advisory.engineering.usage_forecast import (
    DEFAULT_FLEET,
    Fleet,
    believe,
    days_reached,
    learn_fleet,
)
from tests.engineering.driven_cars import CAP, CLASSES, ROUGH, Driven, World, drive, score

JUDGED, LEARNT_FROM, JUDGED_BY, KNOWN_BY_HEART = 5_000, (60, 400), 7_001, 400
LEARNT_BY = {60: (7_060, 7_061, 7_062, 7_063), 400: (7_400,)}


def foretold(driven: Driven, fleet: Fleet) -> FloatArray:
    """Return our days after the last reading, P10, P50 and P90."""
    uses = driven.uses
    days = days_reached(uses, uses.last_metres + driven.need, fleet) - uses.last_days[:, None]
    return np.where(np.isnan(days), np.inf, days)


def banded(driven: Driven, rate: FloatArray) -> FloatArray:
    """Return the days at a rate, with a band about them that holds four in five true ones."""
    days = driven.need / np.maximum(rate, 1.0)
    low, high = np.quantile(driven.truth / np.minimum(days, 1e5), [0.1, 0.9])
    return np.stack([days * low, days, days * high], axis=1)


def _rate(driven: Driven, back: Callable[[Driven], FloatArray]) -> FloatArray:
    last = driven.starts[1:] - 1
    first = back(driven).astype(int)
    days = driven.days[last] - driven.days[first]
    metres = driven.metres[last] - driven.metres[first]
    known = (days > 0) & (metres > 0)
    usual = float(np.median(metres[known] / days[known]))
    return np.where(known, metres / np.maximum(days, 1), usual)


def overall(driven: Driven) -> FloatArray:
    """Return the car's average over all its readings [m/d]."""
    return _rate(driven, lambda cars: cars.starts[:-1])


def last_stretch(driven: Driven) -> FloatArray:
    """Return the rate between its last two readings [m/d]."""
    return _rate(driven, lambda cars: np.maximum(cars.starts[1:] - 2, cars.starts[:-1]))


def season_times_average(driven: Driven, fleet: Fleet) -> FloatArray:
    """Return the days by the fleet's season and the car's own average over it."""
    uses = driven.uses
    belief = believe(uses, fleet)
    cars = belief.stretches.cars
    share = np.asarray(fleet.shares)
    used = np.bincount(cars, share @ belief.use, uses.n)
    driven_far = np.bincount(cars, belief.stretches.metres, uses.n)
    known = (used > 0.02) & (driven_far > 0)
    annual = np.where(known, driven_far / np.maximum(used, 0.02), fleet.annual_mean)
    days = np.arange(1, 1_500)
    last = uses.last_days
    found = np.empty(uses.n)
    for car in range(uses.n):
        season = belief.in_use.season
        use = share @ (season.by(last[car] + days) - season.by(last[car : car + 1]))
        found[car] = days[min(np.searchsorted(annual[car] * use, driven.need[car]), len(days) - 1)]
    low, high = np.quantile(driven.truth / found, [0.1, 0.9])
    return np.stack([found * low, found, found * high], axis=1)


def _line(name: str, found: FloatArray, driven: Driven) -> str:
    whole = score(found, driven)
    by_class = [score(found, driven, *span) for span in CLASSES]
    errors = "".join(f"{one.median_error:6.0f}" for one in by_class)
    holds = "".join(f"{one.holds:6.2f}" for one in by_class)
    whole_words = f"{whole.median_error:7.0f}{whole.pinball:9.1f}{whole.holds:7.2f}"
    return f"{name:34s}{whole_words} |{errors} |{holds}"


def report(name: str, world: World, judged: int) -> Iterator[str]:
    """Yield the lines of one table."""
    driven = drive(judged, JUDGED_BY, world)
    beyond = float(np.mean(driven.truth >= CAP))
    yield f"\n{name}: {judged} cars, {np.median(driven.counts):.0f} readings in the middle,"
    yield f"{100 * beyond:.0f} % beyond three years; in days, by number of readings"
    classes = "".join(f"{words:>6s}" for words in ("1", "2-4", "5-9", "10+"))
    yield f"{'':34s}  error  pinball  holds |{classes} |{classes}"
    yield _line("car's overall average, banded", banded(driven, overall(driven)), driven)
    yield _line("last stretch's rate, banded", banded(driven, last_stretch(driven)), driven)
    learnt = learn_fleet(drive(400, LEARNT_BY[400][0], world).uses)
    yield _line("season times average, banded", season_times_average(driven, learnt), driven)
    yield _line("ours, stated defaults only", foretold(driven, DEFAULT_FLEET), driven)
    for cars in LEARNT_FROM:
        for seed in LEARNT_BY[cars]:
            fleet = learn_fleet(drive(cars, seed, world).uses)
            yield _line(f"ours, from {cars} cars (seed {seed})", foretold(driven, fleet), driven)
    some = drive(KNOWN_BY_HEART, JUDGED_BY + 1, world, again=60)
    by_heart = np.quantile(some.again, [0.1, 0.5, 0.9], axis=1).T
    yield _line(f"known by heart ({KNOWN_BY_HEART} cars)", by_heart, some)


WORLDS = {
    "Cars of this kind": World(),
    "Lay-ups told by half": World(tells_lay_ups=0.5),
    "A rough world": ROUGH,
}

if __name__ == "__main__":
    judged = int(sys.argv[1]) if len(sys.argv) > 1 else JUDGED
    for name, world in WORLDS.items():
        for line in report(name, world, judged):
            sys.stdout.write(f"{line}\n")
