"""An inspection on a telephone whose connection is cut in the middle, and one without a script."""

import pytest
from django.urls import reverse
from playwright.sync_api import Locator, Page, expect

from advisory.findings.actions.inspecting import start_inspection
from advisory.findings.enums import StepOutcome
from advisory.findings.models import Finding, Inspection, Measuring
from advisory.people.models import Person
from advisory.register.models import Unit
from tests.accessibility import assert_page_serves
from tests.browser import DESKTOP, PHONE, OpenPage

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name).click()


def told(page: Page, words: str) -> Locator:
    """Return what is said in the step that stands on the screen."""
    return page.locator("section:target").get_by_text(words)


def without_connection(problem: str) -> bool:
    """Whether a browser only says that nobody answered."""
    cut_off = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "error occurred when fetching the script")
    return any(words in problem for words in cut_off)


def title(page: Page, words: str) -> None:
    expect(page.get_by_role("heading", level=2, name=words)).to_be_visible()


def test_nothing_is_lost_or_doubled_when_the_connection_is_cut(
    open_page: OpenPage, whole_unit: Unit, owner: Person, page_problems: list[str]
) -> None:
    page = open_page(person=owner, width=PHONE)
    page.goto(reverse("findings:inspect", args=[whole_unit.pk]))
    press(page, "Begin")
    title(page, "Before you begin")
    press(page, "I have read it: begin")
    title(page, "Oil and strainer")
    press(page, "Good as seen")

    title(page, "Floating thrust washer")
    page.context.set_offline(True)
    page.get_by_role("textbox", name="End float").fill("17")
    press(page, "Keep the size")
    # past its limit: said at once, by the phone alone
    expect(told(page, "Leave the unit standing, don't turn it")).to_be_visible()
    expect(page.get_by_role("status")).to_contain_text("kept on this phone")
    assert_page_serves(page)
    page.get_by_role("link", name="On to the next").click()
    title(page, "Drive-end seal")
    press(page, "Good as seen")
    title(page, "Oil feed pipe")
    told(page, "I see damage: pick what it looks like").click()
    told(page, "Pipe chafed").first.click()
    page.get_by_role("textbox", name="In your own words").fill("Under the clip.")
    press(page, "Keep the mark")
    expect(told(page, "Don't run it before you have asked")).to_be_visible()
    row = Inspection.objects.get()
    assert row.steps.filter(outcome=StepOutcome.OPEN).count() == 4
    press(page, "Keep the mark")  # again, as one does when nothing seems to happen

    page.context.set_offline(False)
    expect(page.get_by_role("status")).to_contain_text("All that you entered is sent")
    expect(told(page, "Seen there: Pipe chafed.")).to_be_visible()
    page.get_by_role("link", name="On to the next").click()
    title(page, "Water jacket")
    page.get_by_role("textbox", name="Coolant freezes at").fill("-3")
    page.get_by_role("textbox", name="Coldest night").fill("-11")
    press(page, "Keep the reading")
    expect(told(page, "Too weak for such a night.")).to_be_visible()
    page.get_by_role("link", name="To the summary").first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("What came of the round")
    assert_page_serves(page)
    press(page, "Finish the round")
    expect(page.get_by_text("Finished. Sizes stand")).to_be_visible()

    assert Measuring.objects.get().values.get().as_typed == "17 thou"
    assert sorted(Finding.objects.values_list("mark", "text")) == [
        ("", "Measured: 17 thou."),
        ("pipe_chafed", "Under the clip."),
    ]
    page_problems[:] = [one for one in page_problems if not without_connection(one)]


def test_what_waits_is_sent_after_the_page_was_closed(
    open_page: OpenPage, whole_unit: Unit, owner: Person, page_problems: list[str]
) -> None:
    row = start_inspection(unit=whole_unit, by=owner, scope="seal_weep")
    page = open_page(person=owner, width=DESKTOP, dark=True)
    address = f"{reverse('findings:inspection', args=[row.pk])}#step-2"
    page.goto(address)
    page.context.set_offline(True)
    told(page, "I see damage: pick what it looks like").click()
    told(page, "Seal track worn").first.click()
    press(page, "Keep the mark, and the size if there is one")
    expect(page.get_by_role("status")).to_contain_text("kept on this phone")
    page.goto("about:blank")
    page.context.set_offline(False)

    page.goto(address)
    expect(told(page, "Seen there: Seal track worn.")).to_be_visible()
    assert_page_serves(page)

    assert row.steps.get(order=2).mark == "track_worn"
    page_problems[:] = [one for one in page_problems if not without_connection(one)]


def test_a_round_opens_without_a_connection(
    open_page: OpenPage, whole_unit: Unit, owner: Person, page_problems: list[str]
) -> None:
    row = start_inspection(unit=whole_unit, by=owner, scope="seal_weep")
    page = open_page(person=owner, width=PHONE)
    address = reverse("findings:inspection", args=[row.pk])
    page.goto(address)
    expect(page.locator("[data-kept-here]")).to_be_attached()
    press(page, "I have read it: begin")
    title(page, "Drive-end seal")
    page.context.set_offline(True)
    # a browser that is busy may be told only some moments after a reload that it has none
    page.context.route("**/steps/**", lambda route: route.abort("internetdisconnected"))
    told(page, "I see damage: pick what it looks like").click()
    told(page, "Seal track worn").first.click()
    press(page, "Keep the mark, and the size if there is one")
    expect(page.get_by_role("status")).to_contain_text("kept on this phone")

    page.reload()
    title(page, "Drive-end seal")
    expect(page.locator("section:target").get_by_label("Seal track worn").first).to_be_checked()
    expect(page.locator('[data-outcome-of="1"]')).to_contain_text("Done")
    assert_page_serves(page)
    assert row.steps.get(order=2).outcome == StepOutcome.OPEN

    page.context.unroute("**/steps/**")
    page.context.set_offline(False)
    expect(told(page, "Seen there: Seal track worn.")).to_be_visible()
    assert row.steps.get(order=2).mark == "track_worn"
    page_problems[:] = [one for one in page_problems if not without_connection(one)]


def test_what_was_kept_is_gone_when_the_round_is_over_or_nobody_is_signed_in(
    open_page: OpenPage, whole_unit: Unit, owner: Person
) -> None:
    over = start_inspection(unit=whole_unit, by=owner, scope="seal_weep")
    page = open_page(person=owner, width=PHONE)
    kept = "caches.open('inspections').then(c => c.keys()).then(k => k.length)"
    address = reverse("findings:inspection", args=[over.pk])
    page.goto(address)
    expect(page.locator("[data-kept-here]")).to_be_attached()
    assert page.evaluate(kept) > 3
    Inspection.objects.filter(pk=over.pk).update(finished_at="2026-05-01T12:00Z")
    page.goto(address)  # the summary comes in its place
    rounds = "caches.match(location.origin + %r).then(Boolean)"
    assert page.evaluate(rounds % address) is False

    page.context.clear_cookies()
    page.goto(address)
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    assert page.evaluate("caches.keys().then(k => k.length)") == 0


def test_without_a_script_one_step_stands_on_the_screen(
    open_page: OpenPage, whole_unit: Unit, owner: Person
) -> None:
    row = start_inspection(unit=whole_unit, by=owner, scope="end_float")
    page = open_page(person=owner, width=PHONE, java_script_enabled=False)
    page.goto(reverse("findings:inspection", args=[row.pk]))
    title(page, "Before you begin")
    expect(page.get_by_role("heading", level=2)).to_have_count(1)
    press(page, "I have read it: begin")
    title(page, "Floating thrust washer")
    expect(page.get_by_role("heading", level=2)).to_have_count(1)
    page.get_by_role("textbox", name="End float").fill("a lot")
    press(page, "Keep the size")
    expect(page.get_by_role("textbox", name="End float")).to_have_value("a lot")
    page.get_by_role("textbox", name="End float").fill("0.13 mm")
    press(page, "Keep the size")
    expect(page.get_by_role("heading", level=1)).to_contain_text("What came of the round")
