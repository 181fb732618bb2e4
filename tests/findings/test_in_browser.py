"""The exchange between owner and workshop in a browser, on a telephone and at the bench."""

from pathlib import Path

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from advisory.findings.actions import report_finding
from advisory.findings.models import Finding
from advisory.people.models import Person
from advisory.register.models import Unit
from tests.accessibility import assert_page_serves
from tests.browser import OpenPage
from tests.findings.conftest import SEEN_ON
from tests.findings.pictures import jpeg, with_metadata

pytestmark = pytest.mark.django_db(transaction=True)

PHONE, BENCH = 390, 1280


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name).click()


def test_the_whole_exchange_of_three_people(
    open_page: OpenPage,
    whole_unit: Unit,
    owner: Person,
    fitter: Person,
    manager: Person,
    tmp_path: Path,
) -> None:
    """The owner in the garage, the fitter at the bench, the manager in the office."""
    photo = tmp_path / "cover.jpg"
    photo.write_bytes(with_metadata(1200, 900))
    note = tmp_path / "note.jpg"
    note.write_text("Dear workshop")

    garage = open_page(person=owner, width=PHONE)
    garage.goto(reverse("findings:new", args=[whole_unit.pk]))
    assert_page_serves(garage)
    garage.get_by_role("combobox", name="Where").select_option(label="Floating thrust washer")
    # of the marks only those of that place
    assert garage.locator("[data-at~=thrust_washer][hidden]").count() == 0
    assert garage.locator("[data-at=feed_pipe]:not([hidden])").count() == 0
    garage.get_by_label("What you saw").fill("It ticks at idle.")
    garage.get_by_label("Measured there").fill("17")
    garage.get_by_label("Or choose photos").set_input_files([note])
    press(garage, "Send it to")

    # refused: what was typed is still there
    expect(garage.get_by_role("alert")).to_contain_text("no photo that can be read")
    expect(garage.get_by_label("What you saw")).to_have_value("It ticks at idle.")
    expect(garage.get_by_label("Measured there")).to_have_value("17")
    assert_page_serves(garage)
    garage.get_by_label("Or choose photos").set_input_files([photo])
    press(garage, "Send it to")
    expect(garage.get_by_role("status")).to_contain_text("Sent to Sallow Lane Bearings")
    expect(garage.get_by_text("have not opened it yet")).to_be_visible()
    assert_page_serves(garage)

    bench = open_page(person=fitter, width=BENCH)
    bench.goto(reverse("findings:inbox"))
    assert_page_serves(bench)
    bench.get_by_role("link", name="Floating thrust washer").click()
    finding_url = bench.url
    expect(bench.get_by_text("Your turn")).to_be_visible()
    expect(bench.get_by_text("Stop. Leave the unit standing")).to_be_visible()
    picture_shown = bench.get_by_role("img", name="Photo 1: Floating thrust washer")
    picture_shown.scroll_into_view_if_needed()
    expect(picture_shown).to_have_js_property("naturalWidth", 900)  # it was turned upright
    assert_page_serves(bench)

    # the fitter stops it, and asks for one more measurement
    bench.get_by_label("Your answer").fill("Leave it stand. How wide is the front bearing?")
    bench.get_by_label("What the owner is to do at once").select_option(label="Stop: don't run it")
    bench.get_by_text("Ask for something first").click()
    bench.get_by_label("One more measurement, at").select_option(label="Front bearing")
    bench.get_by_label("How to take it").fill("Plastic strip, cold.")
    press(bench, "Answer")
    expect(bench.get_by_text("It is Orla Penhallow's turn")).to_be_visible()

    garage.goto(reverse("notices:messages"))
    garage.get_by_role("link", name="answers what you found").click()
    expect(garage.get_by_text("It is your turn")).to_be_visible()
    expect(garage.get_by_text("don't turn it by hand").first).to_be_visible()
    assert_page_serves(garage)
    garage.get_by_label("Running clearance").fill("two")
    press(garage, "Send the value")
    expect(garage.get_by_label("Running clearance")).to_have_value("two")
    garage.get_by_label("Running clearance").fill("3")
    press(garage, "Send the value")
    expect(garage.get_by_text("Front bearing: 3 thou. Watch.")).to_be_visible()
    garage.goto(reverse("home"))
    expect(garage.get_by_text("That holds until they take it back.").first).to_be_visible()

    # the manager offers two ways; begun and not finished, one is asked for
    office = open_page(person=manager, width=BENCH, dark=True)
    office.goto(finding_url)
    office.get_by_label("Your answer").fill("The washer is done for. Two ways.")
    office.get_by_text("Offer ways to put it right").click()
    first = office.get_by_role("group", name="Way 1")
    first.get_by_label("What is done").fill("Washer from a donor unit")
    press(office, "Add to the answer")
    first.get_by_label("Price").fill("120")
    first.get_by_label("Days there").fill("2")
    first.get_by_label("The part").select_option(label="From a donor unit")
    second = office.get_by_role("group", name="Way 2")
    second.get_by_label("What is done").fill("New washer, thrust face ground")
    second.get_by_label("Price").fill("380.50")
    second.get_by_label("Days there").fill("5")
    second.get_by_label("The part").select_option(label="Made new")
    assert_page_serves(office)
    press(office, "Add to the answer")
    expect(office.get_by_text("Answered. It is Orla Penhallow's turn.")).to_be_visible()

    garage.goto(finding_url)
    assert_page_serves(garage)
    press(garage, "Agree to GBP 380.50")
    expect(garage.get_by_role("status")).to_contain_text("Agreed")
    garage.get_by_label("What you want to say").fill("Tuesday?")
    garage.get_by_text("Photos", exact=True).click()
    garage.get_by_label("Or choose photos").set_input_files([photo])
    press(garage, "Send this")
    expect(garage.get_by_role("img", name="Photo 1")).to_have_count(2)

    # the fitter does the work and closes it; a figure past its limit is asked about
    bench.goto(finding_url)
    expect(bench.get_by_text("Work agreed. Your turn")).to_be_visible()
    bench.get_by_label("The cause that was found").select_option(label="Dirt in the oil")
    bench.get_by_label("What was found, and what was done").fill("Grit. New washer.")
    press(bench, "Close it with this cause")
    bench.get_by_label("Close it all the same").check()
    press(bench, "Close it with this cause")
    expect(bench.get_by_text("Cause: Dirt in the oil.").first).to_be_visible()

    garage.goto(finding_url)
    expect(garage.get_by_text("Cause: Dirt in the oil.").first).to_be_visible()
    garage.get_by_role("link", name="To print it").click()
    expect(garage.get_by_text("380.50")).to_have_count(0)
    assert_page_serves(garage)


def test_a_double_tap_sends_it_once(open_page: OpenPage, whole_unit: Unit, owner: Person) -> None:
    page = open_page(person=owner, width=PHONE)
    page.goto(reverse("findings:new", args=[whole_unit.pk]))
    page.get_by_label("What you saw").fill("It ticks at idle.")

    page.get_by_role("button", name="Send it to").dblclick()
    expect(page.get_by_text("have not opened it yet")).to_be_visible()

    assert Finding.objects.count() == 1


@pytest.mark.parametrize(("width", "dark"), [(PHONE, True), (BENCH, False)])
def test_each_page_serves(
    open_page: OpenPage, whole_unit: Unit, owner: Person, fitter: Person, width: int, dark: bool
) -> None:
    washer = whole_unit.design.positions.get(name="Floating thrust washer")
    stop = report_finding(
        unit=whole_unit,
        by=owner,
        text="Ticking at idle.\n\nBright flakes in the strainer.",
        seen_on=SEEN_ON,
        position=washer,
        value=0.4318e-3,
        as_typed="17 thou",
        photos=[jpeg(1600, 1200), jpeg(800, 1600)],
    )
    owner.consents.all().delete()
    kept = report_finding(unit=whole_unit, by=owner, text="Whistles.", seen_on=SEEN_ON)
    for person, path in (
        (owner, reverse("findings:own")),
        (owner, reverse("findings:finding", args=[stop.pk])),
        (owner, reverse("findings:finding", args=[kept.pk])),
        (owner, reverse("findings:new", args=[whole_unit.pk])),
        (fitter, reverse("findings:inbox")),
    ):
        page = open_page(person=person, width=width, dark=dark)
        page.goto(path)
        assert_page_serves(page)
