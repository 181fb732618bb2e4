"""The register in a browser: the first evening, a build sheet by keyboard, by two, offline."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from advisory.config.machine.waiting import wait_until
from advisory.people.models import Organisation, Person
from advisory.register.starter_designs import sync_starter_designs
from tests.accessibility import assert_page_serves
from tests.browser import DESKTOP, PHONE, OpenPage
from tests.register.bench_sheet import THOU, start_bench_sheet

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_owner_alone_starts_on_a_phone(open_page: OpenPage, owner: Person) -> None:
    sync_starter_designs()
    page = open_page(person=owner, width=PHONE)
    page.goto(reverse("register:unit_new"))
    assert_page_serves(page)
    page.get_by_label("Supercharger with its own oil feed").check()
    page.get_by_label("Maker of the car").fill("not known")
    page.get_by_label("The odometer shows today").fill("41,200")
    page.get_by_role("button", name="Add it", exact=True).click()
    unit = owner.units.get()
    expect(page).to_have_url(f"{page.url.split('/units/')[0]}/units/{unit.pk}/")
    assert unit.fittings.get().from_reading == 41_200


class Keys:
    """A keyboard that counts: key strokes, and of them the characters of values."""

    def __init__(self, page: Page) -> None:
        self.page, self.strokes, self.of_values = page, 0, 0

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)
            self.strokes += 1

    def write(self, value: str) -> None:
        self.page.keyboard.type(value)
        self.strokes += len(value)
        self.of_values += len(value)


VALUES = (
    "0.1", "0.1", "0.2",
    "1.5", "38.1 mm", "-0.1", "1.4999", "+1.5", "1.5015", "38.1381 mm", "+1.5",
    "1.5", "1.5", "1.5", "1.5", "1.5014", "1.5014", "1.5015", "1.5015",
    "4", "37.98 mm", "57", "0.4", "0.2", "0.02 mm",
)  # fmt: skip


def test_whole_sheet_is_written_by_keyboard_alone(
    open_page: OpenPage, fitter: Person, workshop: Organisation
) -> None:
    build = start_bench_sheet(workshop, fitter)
    page = open_page(person=fitter, width=DESKTOP)
    page.goto(reverse("register:build", args=[build.pk]))
    assert_page_serves(page)
    keys = Keys(page)
    keys.press("Tab", "Enter", "Tab", "Enter")  # past the head of the page, and past the day
    for value in VALUES:
        keys.write(value)
        keys.press("Enter")
    expect(page.locator("#told-" + str(build.unit.design.positions.get(name="Rear bearing").pk))
           ).to_contain_text("1.5 thou ±")  # fmt: skip
    expect(page.locator("#sheet-state")).to_have_text("Everything you typed is kept.")
    expect(page.locator("#undersizes")).to_contain_text("ground alike")
    keys.press("Enter")  # the button that goes on to signing
    expect(page).to_have_url(re.compile("/sign/(#main)?$"))
    assert keys.strokes - keys.of_values < 60
    assert build.entries.count() == len(VALUES)
    row = build.measurements.get(position__name="Front bearing", quantity="running_clearance")
    assert row.value == pytest.approx(1.55 * THOU, abs=1e-9)
    assert_page_serves(page)
    page.get_by_role("button", name="Sign it", exact=True).focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Signed. It stands as it is from now on.")).to_be_visible()
    assert_page_serves(page)


def test_two_fitters_see_each_other_and_lose_nothing(
    open_page: OpenPage, fitter: Person, manager: Person, workshop: Organisation
) -> None:
    build = start_bench_sheet(workshop, fitter)
    pages = [open_page(person=person, width=DESKTOP) for person in (fitter, manager)]
    for page in pages:
        page.goto(reverse("register:build", args=[build.pk]))
    one, other = pages
    other.get_by_label("Hardness, HRC").fill("57")
    one.get_by_label("End float").fill("4")
    expect(other.get_by_label("End float")).to_have_value("4")
    expect(other.get_by_text("Felix Addle wrote this.")).to_be_visible()
    expect(one.get_by_label("Hardness, HRC")).to_have_value("57")
    # both at the same place at once: what the second typed stays there, and is asked about
    other.get_by_label("End float").fill("5")
    # the page may still say of what was typed before that it is kept
    measured = build.measurements.filter(as_typed="5 thou")
    wait_until(measured.exists, seconds=15, what="The second fitter's value")
    one.get_by_label("End float").fill("4.5")
    expect(one.get_by_text("Maud Tregear wrote “5 thou” here meanwhile.")).to_be_visible()
    expect(one.get_by_label("End float")).to_have_value("4.5")
    assert build.measurements.get().as_typed == "5 thou"
    one.get_by_role("button", name="Mine is right").click()
    expect(one.get_by_text("here meanwhile.")).to_be_hidden()
    expect(other.get_by_label("End float")).to_have_value("4.5")
    assert build.measurements.get().as_typed == "4.5 thou"


def test_what_is_typed_outlives_the_connection(
    open_page: OpenPage, fitter: Person, workshop: Organisation, page_problems: list[str]
) -> None:
    build = start_bench_sheet(workshop, fitter)
    page = open_page(person=fitter, width=DESKTOP)
    page.goto(reverse("register:build", args=[build.pk]))
    page.context.set_offline(True)
    page.get_by_label("End float").fill("4")
    expect(page.locator("#sheet-state")).to_contain_text("no connection")
    page.get_by_label("Gap", exact=True).fill("0.02 mm")
    page.get_by_label("Gap", exact=True).press("Tab")
    address = page.url
    page.close()
    again = page.context.new_page()
    page.context.set_offline(False)
    again.goto(address)
    expect(again.get_by_label("End float")).to_have_value("4")
    expect(again.locator("#sheet-state")).to_have_text("Everything you typed is kept.")
    assert set(build.measurements.values_list("as_typed", flat=True)) == {"4 thou", "0.02 mm"}
    # said by the browser of a connection that was gone
    gone = ("ERR_INTERNET_DISCONNECTED", "htmx:afterRequest", "htmx:sendError")
    page_problems[:] = [one for one in page_problems if not any(word in one for word in gone)]


def test_question_is_answered_by_its_button(
    open_page: OpenPage, fitter: Person, workshop: Organisation
) -> None:
    build = start_bench_sheet(workshop, fitter)
    page = open_page(person=fitter, width=PHONE)
    page.goto(reverse("register:build", args=[build.pk]))
    page.get_by_label("End float").fill("0.1")
    page.get_by_role("button", name="Yes, 0.1 mm").click()
    expect(page.get_by_text("Did you mean")).to_be_hidden()
    assert build.measurements.get().as_typed == "0.1 mm"
    page.get_by_label("Journal 1a").first.fill("1.5")
    page.get_by_label("Bore 1a").first.fill("1.49")
    expect(page.get_by_text("smaller than its journal")).to_be_visible()
    assert_page_serves(page)
    page.get_by_label("Bore 1a").first.fill("1.5015")
    expect(page.get_by_text("smaller than its journal")).to_be_hidden()


def test_designs_and_the_pages_around_a_sheet_serve(
    open_page: OpenPage, manager: Person, workshop: Organisation
) -> None:
    build = start_bench_sheet(workshop, manager)
    addresses = [
        reverse(f"register:{name}", args=[key])
        for name, key in (
            ("design_edit", build.design_id), ("dismantling", build.design_id),
            ("design", build.design_id), ("build_photos", build.pk), ("build_correct", build.pk),
            ("practice", workshop.pk), ("dismantling", build.design_id),
        )
    ]  # fmt: skip
    for width, dark in ((PHONE, True), (DESKTOP, False)):
        page = open_page(person=manager, width=width, dark=dark)
        for address in addresses[width == PHONE :]:
            page.goto(address)
            assert_page_serves(page)
    page.locator("button[name=row-down]").first.click()
    expect(page.get_by_role("button", name="Keep the order").last).to_be_visible()
