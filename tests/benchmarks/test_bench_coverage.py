"""Do the fleet's 95 % bands hold what they say? ``pytest tests/benchmarks --benchmark-enable -n0``.

Two thousand simulated fleets of each size, whose truth is known: the band must cover it in 93 to 97
of a hundred. The share covered stands in the report's extra columns.
"""

import pytest

from tests.engineering.simulated_fleets import SIMULATIONS

pytestmark = pytest.mark.benchmark(group="coverage")

RUNS = 2_000


@pytest.fixture(autouse=True)
def only_when_timed(request: pytest.FixtureRequest) -> None:
    option = request.config.getoption
    if option("benchmark_disable") and not option("benchmark_enable"):
        pytest.skip("a benchmark; --benchmark-enable runs it")


@pytest.mark.parametrize("n", [20, 50, 200])
@pytest.mark.parametrize("name", SIMULATIONS)
def test_95_percent_bands_cover_93_to_97(benchmark, name: str, n: int) -> None:
    benchmark.extra_info["goal"] = "93-97 %"
    covered = benchmark.pedantic(SIMULATIONS[name].coverage, args=(n, RUNS), rounds=1)
    benchmark.extra_info["covered"] = covered
    assert 0.93 <= covered <= 0.97
