"""The logbook in a browser: a reading in five seconds, a question answered, a file taken in."""

from datetime import timedelta
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from advisory.people.models import Person
from advisory.register.models import Car
from advisory.usage.actions import record_reading
from advisory.usage.models import Reading
from tests.accessibility import assert_page_serves
from tests.browser import DESKTOP, PHONE, OpenPage

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

REFUSED = "the server responded with a status of 422"


def press(page: Page, words: str) -> None:
    page.get_by_role("main").get_by_role("button", name=words, exact=True).click()


def address(name: str, car: Car) -> str:
    return reverse(f"usage:{name}", args=[car.pk])


def forgive_refusals(problems: list[str]) -> None:
    """Take out what a browser logs of a page that was refused and says why."""
    problems[:] = [problem for problem in problems if REFUSED not in problem]


@pytest.mark.parametrize(("width", "dark"), [(PHONE, False), (PHONE, True), (DESKTOP, False)])
def test_reading_is_typed_and_a_question_answered(
    open_page: OpenPage, page_problems: list[str], car: Car, owner: Person, width: int, dark: bool
) -> None:
    today = timezone.localdate()
    record_reading(car=car, date=today - timedelta(days=30), shown=41_200, by=owner)
    page = open_page(person=owner, width=width, dark=dark)
    page.goto(address("reading_new", car))
    assert_page_serves(page)
    page.get_by_label("The odometer shows").fill("41 380")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Kept: the odometer showed 41,380.")).to_be_visible()
    assert_page_serves(page)
    page.goto(address("reading_new", car))
    page.get_by_label("The odometer shows").fill("14400")
    press(page, "Keep it")
    expect(page.get_by_label("The odometer shows")).to_have_value("14400")
    assert_page_serves(page)
    press(page, "Yes, that is what it shows")
    expect(page.get_by_text("Kept: the odometer showed 14,400.")).to_be_visible()
    assert Reading.objects.get(shown=14_400).confirmed
    forgive_refusals(page_problems)


def test_logbook_file_is_looked_at_and_taken_in(
    open_page: OpenPage, page_problems: list[str], car: Car, owner: Person, tmp_path: Path
) -> None:
    file = tmp_path / "logbook.csv"
    file.write_text("Date;Odometer\n03/04/2024;41,200\n04/05/2024;41,300\n05/06/2024;14,400\n")
    page = open_page(person=owner, width=PHONE)
    page.goto(address("import", car))
    assert_page_serves(page)
    page.get_by_label("Logbook as a CSV file").set_input_files(file)
    press(page, "Look at it")
    expect(page.get_by_text("Day or month first?")).to_be_visible()
    assert_page_serves(page)
    page.get_by_label("Day first").check()
    press(page, "Look at the lines")
    expect(page.get_by_role("heading", name="Is it read rightly?")).to_be_visible()
    assert_page_serves(page)
    page.get_by_label("Leave them out").check()
    press(page, "Take the logbook in")
    expect(page.get_by_text("2 readings were added. 1 line was left out.")).to_be_visible()
    assert Reading.objects.count() == 2
    forgive_refusals(page_problems)
