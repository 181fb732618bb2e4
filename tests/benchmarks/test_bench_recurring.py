"""How fast a workshop of 20 000 units sees what comes back, and which units need a word.

``pytest tests/benchmarks/test_bench_recurring.py --benchmark-enable``
"""

import time
from datetime import UTC, datetime

import numpy as np
import pytest
from django.db import connection
from django.db.models import F, QuerySet
from django.test import Client
from django.urls import reverse

from advisory.findings.enums import FindingState
from advisory.findings.models import Finding
from advisory.people.enums import ConsentScope, Role
from advisory.people.models import Consent, Organisation
from advisory.plans.models import PlanItem
from advisory.register.models import Build, SheetEntry, Unit
from advisory.usage.models import Reading
from tests.cast import make_member
from tests.reports.invented_fleet import make_fleet

pytestmark = [pytest.mark.benchmark(group="recurring"), pytest.mark.django_db]

UNITS = 20_000


@pytest.fixture(autouse=True)
def only_when_timed(request: pytest.FixtureRequest) -> None:
    option = request.config.getoption
    if option("benchmark_disable") and not option("benchmark_enable"):
        pytest.skip("a benchmark; --benchmark-enable runs it")


def make_shop() -> Organisation:
    """Make a workshop whose units' owners all consent, with batches on its sheets."""
    shop = make_fleet(UNITS).workshop
    given = datetime(2018, 1, 1, tzinfo=UTC)
    owners = set(Unit.objects.filter(workshop=shop).values_list("owner", flat=True))
    Consent.objects.bulk_create(
        Consent(person_id=pk, organisation=shop, scope=ConsentScope.RECORDS, given_at=given)
        for pk in owners
    )
    Finding.objects.filter(state=FindingState.KEPT).update(state=FindingState.SENT, sent_at=given)
    rng = np.random.default_rng(4)
    first = {}
    builds = Build.objects.filter(workshop=shop).select_related("unit")
    rows = []
    for build in builds.iterator():
        design = build.unit.design_id
        if design not in first:
            first[design] = build.unit.design.positions.first()
        text = f"WM {rng.integers(300)}"
        rows.append(SheetEntry(build=build, position=first[design], name="batch", text=text))
    # past the seal of signed sheets: as if they had been written before
    QuerySet(SheetEntry).bulk_create(rows, batch_size=2000)
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    return shop


def test_recurring_page(benchmark, client: Client) -> None:
    benchmark.extra_info["goal"] = "each 1.5 s at 20 000 units"
    shop = make_shop()
    client.force_login(make_member("Bench Fitter", shop, Role.FITTER))
    address = reverse("reports:recurring", args=[shop.pk])
    client.get(address)
    answer = benchmark.pedantic(client.get, args=(address,), rounds=3)
    assert answer.status_code == 200
    # a quarter is overdue as it was before, a third was not heard of
    PlanItem.objects.update(cycle=3)
    Unit.objects.update(created_at=datetime(2020, 1, 1, tzinfo=UTC))
    Reading.objects.annotate(third=F("odometer_id") % 3).filter(third=0).delete()
    address = reverse("reports:follow_up", args=[shop.pk])
    client.get(address)
    begun = time.perf_counter()
    assert client.get(address).status_code == 200
    benchmark.extra_info["follow_up_seconds"] = time.perf_counter() - begun
