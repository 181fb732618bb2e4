"""How fast a calculator answers: ``pytest tests/benchmarks --benchmark-enable -n0``."""

import pytest
from rest_framework.test import APIClient

from advisory.common.calculation import registry
from advisory.people.models import Person

pytestmark = [pytest.mark.benchmark(group="calculators"), pytest.mark.django_db]


@pytest.fixture(autouse=True)
def only_when_timed(request: pytest.FixtureRequest) -> None:
    option = request.config.getoption
    if option("benchmark_disable") and not option("benchmark_enable"):
        pytest.skip("a benchmark; --benchmark-enable runs it")


@pytest.mark.parametrize("name", registry.names())
def test_one_call_over_the_api(benchmark, owner: Person, name: str) -> None:
    benchmark.extra_info["goal"] = "30 ms"
    client = APIClient()
    client.force_authenticate(owner)
    case = dict(registry.get(name).example)

    answer = benchmark(client.post, f"/api/v1/calculations/{name}/", case, format="json")

    assert answer.status_code == 200


def test_1000_bearings_in_one_call(benchmark) -> None:
    calculator = registry.get("journal-bearing")
    cases = [dict(calculator.example)] * 1000

    assert benchmark(calculator.run, cases).refused == 0
