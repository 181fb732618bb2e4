"""The owner's evening in the garage, on a telephone; every page of plan and oil at both widths."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from advisory.findings.actions import Size, record_measuring
from advisory.findings.enums import FindingState, Judgement
from advisory.findings.models import Finding
from advisory.lubrication.models import Lubricant
from advisory.people.models import Person
from advisory.plans.actions import mark_done, refresh_plan
from advisory.plans.models import WorkDone
from advisory.register.enums import MeasuredQuantity, PositionKind, WorkKind
from advisory.register.models import Odometer, Unit
from advisory.usage.models import Reading
from tests.accessibility import assert_page_serves
from tests.browser import DESKTOP, PHONE, OpenPage

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def lived_in(whole_unit: Unit, owner: Person, odometer: Odometer) -> Unit:
    """The unit with readings, something done, a finding that says stop."""
    today = timezone.localdate()
    for days, shown in ((400, 41_300), (60, 43_000), (5, 43_300)):
        Reading.objects.create(odometer=odometer, date=today - timedelta(days=days), shown=shown)
    mark_done(unit=whole_unit, work=WorkKind.OIL_CHANGE, date=today - timedelta(days=30), by=owner)
    Finding.objects.create(
        unit=whole_unit,
        position=whole_unit.design.positions.get(kind=PositionKind.THRUST_WASHER),
        seen_on=today,
        text="It clonks.",
        quantity=MeasuredQuantity.END_FLOAT,
        value=0.3e-3,
        as_typed="0.3 mm",
        judgement=Judgement.STOP,
        state=FindingState.SENT,
        sent_at=timezone.now(),
        reported_by=owner,
    )
    return whole_unit


@pytest.mark.parametrize(("width", "dark"), [(PHONE, True), (DESKTOP, False)])
def test_every_page_serves(
    open_page: OpenPage, lived_in: Unit, owner: Person, width: int, dark: bool
) -> None:
    page = open_page(person=owner, width=width, dark=dark)
    pk = lived_in.pk
    oil = Lubricant.objects.order_by("pk")[0]
    washer = lived_in.design.positions.get(kind=PositionKind.THRUST_WASHER)
    measured = record_measuring(
        unit=lived_in,
        by=owner,
        measured_on=timezone.localdate(),
        sizes=[Size(position=washer, value=0.3e-3, as_typed="0.3 mm")],
    )
    for address in (
        reverse("home"),
        reverse("plans:unit", args=[pk]),
        reverse("plans:item", args=[pk, "oil_change"]),
        reverse("plans:item", args=[pk, "coolant_strength"]),
        reverse("plans:done", args=[pk, "oil_change"]),
        reverse("plans:history", args=[pk]),
        f"{reverse('plans:what_if', args=[pk])}?filtration=none&oil={oil.pk}",
        reverse("findings:measured", args=[measured.pk]),
        reverse("lubrication:arrangement", args=[pk]),
        reverse("lubrication:arrangement_new", args=[pk]),
        reverse("lubrication:advice", args=[pk]),
        reverse("lubrication:services", args=[pk]),
        reverse("lubrication:lubricants"),
        reverse("lubrication:lubricant_new"),
        reverse("lubrication:assumptions"),
    ):
        page.goto(address)
        assert_page_serves(page)


def test_start_page_serves(open_page: OpenPage, stranger: Person) -> None:
    page = open_page(person=stranger, width=PHONE)
    page.goto(reverse("home"))
    assert_page_serves(page)


def press(page: Page, name: str) -> None:
    page.get_by_role("main").get_by_role("button", name=name, exact=True).click()


def test_from_the_first_page_to_done_and_back(
    open_page: OpenPage, whole_unit: Unit, owner: Person
) -> None:
    refresh_plan(unit=whole_unit)
    garage = open_page(person=owner, width=PHONE)
    garage.goto("/")
    expect(garage.get_by_role("heading", level=1)).to_have_text("Oil change")
    garage.get_by_role("link", name="How, and with what care").click()
    expect(garage.get_by_role("note").filter(has_text="Hot oil burns")).to_be_visible()
    garage.get_by_role("link", name="It is done: write it down").click()
    garage.get_by_label("Odometer, as it stands there").fill("4l 300")
    press(garage, "Done: write it down")

    # refused: what was typed is still there, and the page serves as it stands
    expect(garage.get_by_role("alert")).to_contain_text("is not a number")
    expect(garage.get_by_label("Odometer, as it stands there")).to_have_value("4l 300")
    assert_page_serves(garage)
    garage.get_by_label("Odometer, as it stands there").fill("41300")
    press(garage, "Done: write it down")

    expect(garage.get_by_text("Oil change: written down.")).to_be_visible()
    expect(garage.get_by_role("heading", level=1)).not_to_have_text("Oil change")
    done = WorkDone.objects.get()
    assert (done.work, done.shown, done.date) == ("oil_change", 41_300, timezone.localdate())
    press(garage, "That was a mistake")
    expect(garage.get_by_role("heading", level=1)).to_have_text("Oil change")
    assert not WorkDone.objects.exists()
