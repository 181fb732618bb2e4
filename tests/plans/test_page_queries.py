"""How often the pages of a unit with a full record ask the database, whoever reads them."""

from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from advisory.findings.enums import Judgement
from advisory.findings.models import Finding, MeasuredValue, Measuring
from advisory.lubrication.enums import Filtration
from advisory.lubrication.models import Lubricant
from advisory.people.enums import Role
from advisory.people.models import Membership, Organisation, Person
from advisory.plans.actions import mark_done, refresh_plan
from advisory.plans.actions.bulletins import send_bulletin, write_bulletin
from advisory.register.actions import correct_build, sign_build
from advisory.register.enums import MeasuredQuantity, PositionKind, WorkKind
from advisory.register.models import Build, Car, Fitting, Odometer, Unit
from advisory.usage.models import HourReading, LayUp, Reading
from tests.cast import make_arrangement, make_car

pytestmark = pytest.mark.django_db
# The goal for what is asked of the register: under 15 queries.
MOST = 14


@pytest.fixture
def full_unit(
    today: date, whole_unit: Unit, car: Car, odometer: Odometer, readings: list[Reading],
    owner: Person, fitter: Person, manager: Person, workshop: Organisation, build: Build,
    club: Organisation,
) -> Unit:  # fmt: skip
    """Give a unit two of everything that can stand on its pages; its people work elsewhere, too."""
    position = whole_unit.design.positions.get(kind=PositionKind.THRUST_WASHER)
    gap = {
        "position": position,
        "quantity": MeasuredQuantity.END_FLOAT,
        "value": 0.3e-3,
        "as_typed": "0.3 mm",
    }
    before = make_car(owner, "Sallow Bend")
    Odometer.objects.create(car=before, unit="mile", digits=5)
    Fitting.objects.create(
        unit=whole_unit, car=before, from_date=date(2022, 1, 1), until_date=date(2022, 12, 1)
    )
    LayUp.objects.create(car=before, from_date=date(2022, 2, 1), until_date=date(2022, 3, 1))
    LayUp.objects.create(car=car, from_date=date(2023, 11, 1), until_date=date(2024, 3, 1))
    for day in (date(2024, 4, 2), date(2024, 5, 2)):
        HourReading.objects.create(unit=whole_unit, date=day, shown=3600.0 * day.month)
        Finding.objects.create(
            unit=whole_unit, seen_on=day, text="It clonks.", judgement=Judgement.STOP,
            state="sent", sent_at=timezone.now(), reported_by=owner, **gap,
        )  # fmt: skip
        measuring = Measuring.objects.create(unit=whole_unit, measured_on=day, by=owner)
        MeasuredValue.objects.create(measuring=measuring, **gap)
        for work in (WorkKind.SEAL_WEEP, WorkKind.OIL_CHANGE):
            mark_done(unit=whole_unit, work=work, date=day, by=owner)
        make_arrangement(whole_unit, Filtration.NONE, day)
        bulletin = write_bulletin(
            organisation=workshop, by=manager, title=f"Bolts {day}", text="Nip them.",
            asks="Nip the bolts", until=date(2024, 7, 1),
        )  # fmt: skip
        send_bulletin(bulletin=bulletin, by=manager)
    oils = Lubricant.objects.exclude(code="")
    whole_unit.oil_arrangements.update(lubricant=oils[0])
    whole_unit.oil_services.update(lubricant=oils[1])
    whole_unit.design.lubricant_code = oils[2].code
    whole_unit.design.save()
    sign_build(
        build=correct_build(build=build, reason="Misread.", by=fitter), by=fitter, confirm=True
    )
    Membership.objects.create(person=owner, organisation=club, role=Role.TECHNICAL_OFFICER)
    Membership.objects.create(person=fitter, organisation=club, role=Role.TECHNICAL_OFFICER)
    refresh_plan(unit=whole_unit)
    return whole_unit


def asked_by(client: Client, address: str) -> int:
    assert client.get(address).status_code == 200
    with CaptureQueriesContext(connection) as asked:
        client.get(address)
    return len(asked)


@pytest.mark.parametrize("reader", ["owner", "fitter"])
def test_pages_of_a_full_unit_ask_under_15_times(
    request: pytest.FixtureRequest, client: Client, full_unit: Unit, reader: str
) -> None:
    client.force_login(request.getfixturevalue(reader))
    first, second = full_unit.builds.order_by("revision")
    pages = {
        "unit": reverse("plans:unit", args=[full_unit.pk]),
        "history": reverse("plans:history", args=[full_unit.pk]),
        "corrected sheet": reverse("register:build", args=[first.pk]),
        "revision": reverse("register:build", args=[second.pk]),
    }
    asked = {name: asked_by(client, address) for name, address in pages.items()}
    assert {name: times for name, times in asked.items() if times > MOST} == {}


def test_pages_of_a_full_unit_are_not_there_for_others(
    client: Client, full_unit: Unit, stranger: Person, officer: Person, other_fitter: Person
) -> None:
    for reader in (stranger, officer, other_fitter):
        client.force_login(reader)
        for name in ("plans:unit", "plans:history"):
            assert client.get(reverse(name, args=[full_unit.pk])).status_code == 404


def test_former_owner_meets_nothing_after_it_was_passed_on(
    client: Client, full_unit: Unit, owner: Person, second_owner: Person
) -> None:
    client.force_login(owner)
    page = reverse("plans:unit", args=[full_unit.pk])
    assert client.get(page).status_code == 200
    Unit.objects.filter(pk=full_unit.pk).update(owner=second_owner)
    assert client.get(page).status_code == 404
