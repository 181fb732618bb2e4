"""What happened to a unit: all sides in order, one by itself, and nothing to who may not see."""

from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from advisory.findings.models import Finding, Measuring
from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.models import OilService
from advisory.people.models import Consent, Person
from advisory.plans.history import SOURCES, history_of
from advisory.plans.models import WorkDone
from advisory.register.models import Car, Unit
from advisory.usage.models import HourReading, LayUp, Reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def lived(whole_unit: Unit, car: Car, readings: list[Reading], today: date) -> Unit:
    """Give a unit to which one thing of each kind has happened at least."""
    LayUp.objects.create(car=car, from_date=date(2023, 11, 1), until_date=date(2024, 4, 1))
    day = date(2024, 5, 1)
    OilService.objects.create(
        unit=whole_unit, date=day, kind=ServiceKind.CHANGE, shown=43_200, volume=3e-3
    )
    WorkDone.objects.create(unit=whole_unit, work="pipe_check", cycle=1, date=day, note="Dry.")
    HourReading.objects.create(unit=whole_unit, date=day, shown=36_000.0)
    Finding.objects.create(unit=whole_unit, seen_on=day, text="Weep at the drive end")
    Measuring.objects.create(unit=whole_unit, measured_on=day)
    return whole_unit


def test_all_sides_are_told_newest_first(lived: Unit, owner: Person) -> None:
    told = history_of(lived, owner)
    assert {one.source for one in told} == {source.key for source in SOURCES}
    days = [one.day for one in told]
    assert days == sorted(days, reverse=True)
    titles = {one.title for one in told}
    assert {"Oil change", "Laid up", "In use again", "Hour counter: 10 hours"} <= titles
    assert any("43,000" in one.title for one in told)


@pytest.mark.parametrize("key", [source.key for source in SOURCES])
def test_one_side_by_itself(lived: Unit, owner: Person, key: str) -> None:
    only = history_of(lived, owner, only=key)
    assert only
    assert only == [one for one in history_of(lived, owner) if one.source == key]


def test_workshop_without_consent_reads_its_own_record_only(
    lived: Unit, fitter: Person, consent: Consent
) -> None:
    assert len({one.source for one in history_of(lived, fitter)}) > 3
    Consent.objects.all().delete()
    assert {one.source for one in history_of(lived, fitter)} == {"builds"}


def test_lay_ups_of_its_car_outside_its_stay_are_not_the_units(
    lived: Unit, owner: Person, car: Car
) -> None:
    LayUp.objects.create(car=car, from_date=date(2020, 11, 1), until_date=date(2021, 4, 1))
    days = [one.day for one in history_of(lived, owner, only="cars")]
    assert min(days) == lived.fittings.get().from_date


def test_stranger_meets_nothing(client: Client, lived: Unit, stranger: Person) -> None:
    assert history_of(lived, stranger) == []
    client.force_login(stranger)
    for name in ("plans:history", "api:unit-history"):
        assert client.get(reverse(name, args=[lived.pk])).status_code == 404


def test_long_history_takes_as_many_queries(lived: Unit, owner: Person) -> None:
    def count() -> int:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            history_of(lived, owner)
        return len(queries)

    few = count()
    for day in range(1, 28):
        OilService.objects.create(unit=lived, date=date(2024, 5, day), kind=ServiceKind.TOP_UP)
        Finding.objects.create(unit=lived, seen_on=date(2024, 5, day), text=f"Drop {day}")
    assert count() == few <= 20


def test_page_and_programs_turn_the_leaves(client: Client, lived: Unit, owner: Person) -> None:
    client.force_login(owner)
    page = client.get(reverse("plans:history", args=[lived.pk]), {"only": "oil"}).content.decode()
    assert "3 litres" in page or "pints" in page
    assert "Weep" not in page
    assert "Weep" in client.get(reverse("plans:history", args=[lived.pk])).content.decode()
    url = reverse("api:unit-history", args=[lived.pk])
    answer = client.get(url, {"only": "findings"}).json()
    assert [one["title"] for one in answer["results"]] == ["Weep at the drive end"]
    assert client.get(url, {"only": "gossip"}).status_code == 400
