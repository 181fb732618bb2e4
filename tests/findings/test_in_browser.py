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


def test_a_finding_goes_to_the_workshop_and_its_answer_back(
    open_page: OpenPage, whole_unit: Unit, owner: Person, fitter: Person, tmp_path: Path
) -> None:
    photo = tmp_path / "cover.jpg"
    photo.write_bytes(with_metadata(1200, 900))
    note = tmp_path / "note.jpg"
    note.write_text("Dear workshop")

    garage = open_page(person=owner, width=PHONE)
    garage.goto(reverse("findings:new", args=[whole_unit.pk]))
    assert_page_serves(garage)
    garage.get_by_role("combobox", name="Where").select_option(label="Floating thrust washer")
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
    expect(bench.get_by_text("Your turn")).to_be_visible()
    expect(bench.get_by_text("Stop. Leave the unit standing")).to_be_visible()
    picture_shown = bench.get_by_role("img", name="Photo 1: Floating thrust washer")
    picture_shown.scroll_into_view_if_needed()
    expect(picture_shown).to_have_js_property("naturalWidth", 900)  # it was turned upright
    assert_page_serves(bench)
    bench.get_by_label("Your answer").fill("Leave it stand, and ring us.")
    press(bench, "Answer")

    garage.reload()
    expect(garage.get_by_text("Leave it stand, and ring us.")).to_be_visible()
    garage.goto(reverse("notices:messages"))
    expect(garage.get_by_role("link", name="answers what you found")).to_be_visible()
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
