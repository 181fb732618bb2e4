"""How quick a workshop of 20 000 units finds one: ``pytest tests/benchmarks --benchmark-enable``.

Meant for PostgreSQL (DATABASE_URL). Goal: no page slower than 150 ms at the median, none with 15
queries or more for what is asked of the register.
"""

import statistics
import time
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from advisory.people.enums import ConsentScope
from advisory.people.models import Consent, Organisation, Person
from advisory.plans.actions import refresh_plan
from advisory.register.models import (
    Build,
    BuildMeasurement,
    Car,
    Design,
    Fitting,
    Odometer,
    SheetEntry,
    Unit,
)
from advisory.usage.models import Reading

pytestmark = [pytest.mark.benchmark(group="register"), pytest.mark.django_db]
UNITS, OWNERS = 20_000, 6_000
DAY = date(2023, 3, 1)


@pytest.fixture(autouse=True)
def only_when_timed(request: pytest.FixtureRequest) -> None:
    option = request.config.getoption
    if option("benchmark_disable") and not option("benchmark_enable"):
        pytest.skip("a benchmark; --benchmark-enable runs it")


@pytest.fixture
def books(workshop: Organisation, design: Design, fitter: Person) -> list[Unit]:
    """Fill a workshop's books; every second owner lets it see."""
    people = Person.objects.bulk_create(
        Person(email=f"o{n}@example.com", name=f"Owner {n:05d} Ferrand") for n in range(OWNERS)
    )
    Consent.objects.bulk_create(
        Consent(person=person, organisation=workshop, scope=ConsentScope.RECORDS)
        for person in people[::2]
    )
    cars = Car.objects.bulk_create(
        Car(owner=people[n % OWNERS], maker=f"Maker {n % 90}", model=f"Type {n % 700}")
        for n in range(UNITS)
    )
    odometers = Odometer.objects.bulk_create(
        Odometer(car=car, unit="mile", digits=5) for car in cars
    )
    Reading.objects.bulk_create(
        Reading(odometer=odometer, date=date(2023 + year, 5, 1), shown=10_000 + 2_000 * year)
        for odometer in odometers
        for year in range(2)
    )
    units = Unit.objects.bulk_create(
        Unit(design=design, workshop=workshop, owner=people[n % OWNERS], serial=f"S-{n:06d}")
        for n in range(UNITS)
    )
    Fitting.objects.bulk_create(
        Fitting(unit=unit, car=car, from_date=DAY) for unit, car in zip(units, cars, strict=True)
    )
    builds = Build.objects.bulk_create(
        Build(
            unit=unit, workshop=workshop, design=design, built_on=DAY,
            signed_by=fitter, signed_at=timezone.now(), digest="0" * 64,
        )
        for unit in units
    )  # fmt: skip
    place = design.positions.order_by("order").first()
    SheetEntry.objects.bulk_create(
        SheetEntry(build=build, position=place, name="batch", text=f"WM-{n % 400}")
        for n, build in enumerate(builds)
    )
    BuildMeasurement.objects.bulk_create(
        BuildMeasurement(build=build, position=place, quantity="running_clearance", value=4.5e-5)
        for build in builds
    )
    Build._base_manager.update(state="signed")
    refresh_plan(unit=units[0])
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    return units


def median_of(ask: Callable[[], object], rounds: int = 9) -> tuple[float, int]:
    ask()
    asked: list[str] = []

    def count(execute: Any, sql: str, *rest: Any) -> Any:
        asked.append(sql)
        return execute(sql, *rest)

    with connection.execute_wrapper(count):
        ask()
    times = []
    for _round in range(rounds):
        begun = time.perf_counter()
        ask()
        times.append(time.perf_counter() - begun)
    return statistics.median(times), len(asked)


def test_pages_of_a_large_workshop(
    benchmark, client: Client, books: list[Unit], workshop: Organisation, fitter: Person
) -> None:
    client.force_login(fitter)
    listed = reverse("register:workshop_units", args=[workshop.pk])
    asked = {
        "list": listed,
        "serial": f"{listed}?q=S-013000",
        "owner": f"{listed}?q=Owner+03000",
        "car": f"{listed}?q=Type+433",
        "batch": f"{listed}?q=WM-213",
        "design": f"{listed}?q=Pattern+4",
        "unit": reverse("plans:unit", args=[books[0].pk]),
        "history": reverse("plans:history", args=[books[0].pk]),
        "build sheet": reverse("register:build", args=[Build.objects.first().pk]),
    }
    for name, address in asked.items():

        def ask(address: str = address) -> None:
            assert client.get(address).status_code == 200

        seconds, queries = median_of(ask)
        benchmark.extra_info[name] = f"{seconds * 1000:.0f} ms, {queries} queries"
    benchmark.pedantic(lambda: client.get(asked["serial"]), rounds=3)
