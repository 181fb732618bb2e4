"""How long the night over all plans takes: ``pytest tests/benchmarks --benchmark-enable -n0``.

`python -m tests.benchmarks.night_report 1000 10000 100000` prints the table of the report; here a
thousand cars, in a PostgreSQL of their own.
"""

import pytest

from tests.benchmarks.night_report import fleet_of, nights

pytestmark = [pytest.mark.benchmark(group="night"), pytest.mark.one_database]


@pytest.fixture(autouse=True)
def only_when_timed(request: pytest.FixtureRequest) -> None:
    option = request.config.getoption
    if option("benchmark_disable") and not option("benchmark_enable"):
        pytest.skip("a benchmark; --benchmark-enable runs it")


def test_nights_over_a_thousand_cars(benchmark) -> None:
    benchmark.extra_info["goal"] = "100 000 cars: 90 s, 800 MB; one reading: 200 ms"
    with fleet_of(1_000) as url:
        steps = benchmark.pedantic(lambda: list(nights(url)), rounds=1)
    for one in steps:
        benchmark.extra_info[one["step"]] = f"{one['seconds']:.1f} s, {one['megabytes']:.0f} MB"
    assert steps[0]["megabytes"] < 800
