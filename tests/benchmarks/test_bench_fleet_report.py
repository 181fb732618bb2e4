"""How fast a club of 100 000 units has its report: ``pytest tests/benchmarks --benchmark-enable``.

Meant for PostgreSQL (DATABASE_URL); making the invented fleet takes minutes. The report of one
choice is reckoned from the rows up: reading, cutting, what may be told, all tables.
"""

import gc
import resource
import statistics
import time
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from advisory.people.enums import Role
from advisory.people.models import Organisation
from advisory.reports.actions import finish_report
from advisory.reports.models import FleetReport
from advisory.reports.reckoning import of_club
from tests.cast import make_member
from tests.reports.invented_fleet import TODAY, make_fleet

# in transactions of its own, as the service does it: two connections read at once
pytestmark = [
    pytest.mark.benchmark(group="fleet report"),
    pytest.mark.django_db(transaction=True),
]

SIZES = (10_000, 100_000)


@pytest.fixture(autouse=True)
def only_when_timed(request: pytest.FixtureRequest) -> None:
    option = request.config.getoption
    if option("benchmark_disable") and not option("benchmark_enable"):
        pytest.skip("a benchmark; --benchmark-enable runs it")


def fresh(club: Organisation) -> dict[str, Any]:
    """Reckon the report of all designs and years."""
    reckoned = of_club(club, TODAY, [])
    return reckoned.tables(reckoned.choices[0])


def collect() -> None:
    gc.collect()


@pytest.mark.parametrize("units", SIZES)
def test_fresh_and_kept(benchmark, client: Client, units: int) -> None:
    benchmark.extra_info["goal"] = "fresh 3 s, kept 100 ms, 500 MB at 100 000 units"
    club = make_fleet(units).club
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    # what the tests' seldom search for garbage leaves is none of the report's
    tables = benchmark.pedantic(fresh, args=(club,), rounds=5, setup=collect)
    assert tables["fleet"][0]["units"] == units
    benchmark.extra_info["peak_mb"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024

    report = FleetReport.objects.create(organisation=club, on=TODAY + timedelta(days=1))
    begun = time.perf_counter()
    finish_report(report=report)
    benchmark.extra_info["all_choices_seconds"] = time.perf_counter() - begun
    client.force_login(make_member("Bench Officer", club, Role.TECHNICAL_OFFICER))
    address = reverse("reports:fleet", args=[club.pk])
    client.get(address)
    times = []
    for _round in range(9):
        begun = time.perf_counter()
        assert client.get(address).status_code == 200
        times.append(time.perf_counter() - begun)
    benchmark.extra_info["kept_seconds"] = statistics.median(times)
