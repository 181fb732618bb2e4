"""How fast and how well days are foretold: ``pytest tests/benchmarks --benchmark-enable -n0``.

`python -m tests.benchmarks.forecast_report` prints the tables.
"""

import resource
import subprocess
import sys

import numpy as np
import pytest

from advisory.engineering.usage_forecast import (
    DEFAULT_FLEET,
    Uses,
    believe,
    days_reached,
    learn_fleet,
)
from tests.benchmarks.forecast_report import foretold
from tests.engineering.driven_cars import CLASSES, drive, score

pytestmark = [pytest.mark.benchmark(group="forecast"), pytest.mark.one_database]

MANY, READINGS = 100_000, 8.6


@pytest.fixture(autouse=True)
def only_when_timed(request: pytest.FixtureRequest) -> None:
    option = request.config.getoption
    if option("benchmark_disable") and not option("benchmark_enable"):
        pytest.skip("a benchmark; --benchmark-enable runs it")


def many_cars(cars: int = MANY) -> Uses:
    """Return cars with 8.6 readings each in the mean."""
    rng = np.random.default_rng(5)
    counts = np.maximum(rng.poisson(rng.gamma(1.0, READINGS, cars)), 1)
    car = np.repeat(np.arange(cars), counts)
    days = 738_000 + np.sort(car * 10_000 + rng.integers(0, 2_500, len(car))) - car * 10_000
    starts = np.concatenate(([0], np.cumsum(counts)))
    season = believe(Uses(starts, days, np.zeros(len(car))), DEFAULT_FLEET).in_use.season
    metres = rng.gamma(2.0, 1_500e3, cars)[car] * season.by(days)[0]
    return Uses(starts, days, metres)


def forecast_of(uses: Uses) -> None:
    """Learn the fleet, and foretell a day for each car."""
    need = np.random.default_rng(6).uniform(5e5, 5e6, uses.n)
    days_reached(uses, uses.last_metres + need, learn_fleet(uses))


def test_100_000_cars_with_860_000_readings(benchmark) -> None:
    benchmark.extra_info["goal"] = "6 s"
    uses = many_cars()
    benchmark.extra_info["readings"] = len(uses.days)
    benchmark.pedantic(forecast_of, args=(uses,), rounds=3)


def test_memory_of_100_000_cars() -> None:
    said = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.test_bench_forecast"],
        check=True,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert int(said.stdout) < 600_000


@pytest.mark.parametrize("seed", [8_060, 8_061])
def test_bar_on_5_000_cars_learnt_from_60(seed: int) -> None:
    driven = drive(5_000, 8_001)
    found = foretold(driven, learn_fleet(drive(60, seed).uses))
    whole = score(found, driven)
    assert whole.median_error <= 70
    assert whole.pinball <= 48 + 2 * whole.pinball_error
    assert 0.77 <= whole.holds <= 0.89
    assert score(found, driven, 2, 4).median_error <= 80
    for least, most in CLASSES:
        assert 0.74 <= score(found, driven, least, most).holds <= 0.91


if __name__ == "__main__":
    forecast_of(many_cars())
    # kilobytes, as Linux has it
    sys.stdout.write(str(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss))
