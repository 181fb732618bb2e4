"""The pages that no other browser test walks, as they open and as they come back to be put right.

What opens on a telephone in the light comes back on a wide screen in the dark, and the other way
round: each page is looked at in both sizes and both lights, once each.
"""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from advisory.findings.actions import report_finding
from advisory.people.enums import OrganisationKind, Role
from advisory.people.models import Membership, Organisation, Person
from advisory.register.models import Car, Odometer, Unit
from advisory.usage.models import LayUp, Reading
from tests.accessibility import assert_page_serves
from tests.browser import DESKTOP, PHONE, OpenPage
from tests.cast import make_car, make_unit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

UNREADABLE = "4l 3oo"


@pytest.fixture
def owners_forms(whole_unit: Unit, owner: Person, car: Car, odometer: Odometer) -> list[str]:
    """Pages with a form that belong to an owner."""
    reading = Reading.objects.create(odometer=odometer, date="2024-05-01", shown=43_000)
    away = make_car(owner, "Laid up")
    LayUp.objects.create(car=away, from_date=timezone.localdate() - timedelta(days=3))
    loose = make_unit(owner, whole_unit.design, serial="0418")
    return [
        reverse("usage:reading_edit", args=[reading.pk]),
        reverse("usage:odometer_replace", args=[car.pk]),
        reverse("usage:odometer_edit", args=[car.pk]),
        reverse("usage:lay_up", args=[car.pk]),
        reverse("usage:return", args=[away.pk]),
        reverse("register:unit_edit", args=[whole_unit.pk]),
        reverse("register:fit", args=[whole_unit.pk]),
        reverse("register:fit", args=[loose.pk]),
        reverse("register:car_new"),
        reverse("register:car_edit", args=[car.pk]),
        reverse("lubrication:lubricant_new"),
        reverse("usage:hours", args=[whole_unit.pk]),
        reverse("findings:measure", args=[whole_unit.pk]),
        reverse("register:hand_over", args=[loose.pk]),
    ]


@pytest.fixture
def workshops_forms(whole_unit: Unit, owner: Person, workshop: Organisation) -> list[str]:
    """Pages with a form that belong to a workshop."""
    bench = make_unit(None, whole_unit.design, serial="0419", workshop=workshop)
    finding = report_finding(
        unit=whole_unit, by=owner, text="It ticks.", seen_on=timezone.localdate()
    )
    return [
        reverse("register:design_new"),
        reverse("register:workshop_unit_new", args=[workshop.pk]),
        reverse("register:hand_over", args=[bench.pk]),
        reverse("register:build_new", args=[bench.pk]),
        reverse("findings:finding", args=[finding.pk]),
        reverse("people:organisation_edit", args=[workshop.pk]),
        reverse("register:records", args=[workshop.pk]),
        reverse("register:take_on", args=[workshop.pk]),
    ]


def spoil_and_send(page: Page) -> None:
    """Fill the form of the page with what can't be read, or with nothing, and send it."""
    form = page.get_by_role("main").locator("form[method=post]").first
    for field in form.locator("input[type=text], input[type=email], textarea").all():
        if field.is_visible():
            field.fill(UNREADABLE if field.get_attribute("inputmode") else "")
    form.locator("button[type=submit].button-primary").click()


@pytest.mark.parametrize("who", ["owner", "manager"])
def test_form_serves_as_it_opens_and_as_it_comes_back(
    open_page: OpenPage, who: str, request: pytest.FixtureRequest
) -> None:
    addresses = request.getfixturevalue(f"{who}s_forms".replace("managers", "workshops"))
    person = request.getfixturevalue(who)
    pages = [open_page(person=person, width=PHONE), open_page(person=person, dark=True)]
    came_back = 0
    for address in addresses:
        opened, sent = pages
        opened.goto(address)
        assert_page_serves(opened)
        sent.goto(address)
        spoil_and_send(sent)
        if sent.get_by_role("alert").count():
            came_back += 1
            assert_page_serves(sent)
        pages.reverse()
    # a few need nothing: a name may be left empty, a car may be taken out without its number
    assert came_back >= len(addresses) - 2


def test_lists_and_ways_serve(
    open_page: OpenPage,
    whole_unit: Unit,
    owner: Person,
    manager: Person,
    officer: Person,
    workshop: Organisation,
) -> None:
    make_unit(owner, whole_unit.design, serial="0420", car=make_car(owner, "Second"))
    second = Organisation.objects.create(kind=OrganisationKind.CLUB, name="Ouse Bank Motor Club")
    Membership.objects.create(person=officer, organisation=second, role=Role.TECHNICAL_OFFICER)
    looks = [(PHONE, True), (DESKTOP, False)]
    for person, addresses in (
        (owner, (reverse("home"), reverse("usage:logbook"))),
        (
            manager,
            (
                reverse("register:workshop_units", args=[workshop.pk]),
                reverse("register:designs"),
                reverse("register:design", args=[whole_unit.design_id]),
                reverse("calculators"),
                reverse("methods"),
            ),
        ),
        (officer, (reverse("reports:own_fleet"),)),
    ):
        for address in addresses:
            width, dark = looks[0]
            page = open_page(person=person, width=width, dark=dark)
            page.goto(address)
            assert_page_serves(page)
            looks.reverse()


def test_page_of_a_strange_address_serves(
    open_page: OpenPage, page_problems: list[str], owner: Person
) -> None:
    page = open_page(person=owner, width=PHONE)
    page.goto("/no/such/page/")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    assert_page_serves(page)
    page_problems.clear()  # the browser's own note that it was not found
