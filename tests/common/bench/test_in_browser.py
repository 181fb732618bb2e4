"""The bench in a browser: a question asked without JavaScript, answered, and sent to a phone."""

import pytest
from playwright.sync_api import expect

from advisory.common.bench import names
from advisory.people.models import Person
from tests.accessibility import assert_page_serves
from tests.browser import DESKTOP, PHONE, OpenPage
from tests.common.bench.asking import address, example, in_metric

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize(("width", "dark"), [(PHONE, True), (DESKTOP, False)])
def test_all_pages_serve(open_page: OpenPage, owner: Person, width: int, dark: bool) -> None:
    page = open_page(person=owner, width=width, dark=dark)
    for path in ("/calculators/", "/methods/"):
        page.goto(path)
        assert_page_serves(page)
    # they are made by the same template: every other one in one light and size
    for name in list(names())[int(dark) :: 2]:
        page.goto(example(name))
        expect(page.locator("#answer")).to_be_visible()
        assert_page_serves(page)


@pytest.mark.parametrize(("width", "dark"), [(PHONE, False), (DESKTOP, True)])
def test_empty_form_and_method_serve(
    open_page: OpenPage, owner: Person, width: int, dark: bool
) -> None:
    page = open_page(person=owner, width=width, dark=dark)
    paths = (address("journal-bearing"), address("survival"), "/methods/journal-bearing/")
    for path in paths[int(dark) :: 2]:
        page.goto(path)
        for summary in page.locator("main summary").all():
            summary.click()
        assert_page_serves(page)


def test_bearing_is_asked_at_the_bench_and_sent(
    open_page: OpenPage, fitter: Person, stranger: Person
) -> None:
    bench = open_page(person=fitter, java_script_enabled=False)
    bench.goto("/findings/")
    bench.get_by_role("navigation", name="Main").get_by_role("link", name="Calculators").click()
    bench.get_by_role("link", name="Journal bearing").click()
    for name, figure in (
        ("diameter", "1.5"),
        ("length", "1.5"),
        ("running_clearance", "3"),
        ("speed", "30 rev/s"),
        ("load", "5oo"),
    ):
        bench.locator(f"#id_{name}").fill(figure)
    bench.get_by_role("button", name="Work it out").click()

    # refused: what was typed is still there, and the error stands on its field
    expect(bench.get_by_role("alert")).to_contain_text("to put right")
    expect(bench.locator("#id_load")).to_have_value("5oo")
    expect(bench.locator("#id_running_clearance")).to_have_value("3")
    expect(bench.locator("#id_running_clearance_unit")).to_have_value("thou")
    expect(bench.locator("#id_load_error")).to_be_visible()
    bench.locator("#id_load").fill("500")
    bench.locator("#id_viscosity").fill("27.6")
    bench.get_by_role("button", name="Work it out").click()

    # Shigley's Mechanical Engineering Design: least film 0.00063 in, read to 2 %
    expect(bench.get_by_role("heading", level=1)).to_contain_text("A least film of 0.64")
    expect(bench.locator("#answer")).to_contain_text("psi")
    sent = bench.locator("code.address").inner_text()
    assert "diameter_unit=inch" in sent

    phone = open_page(person=in_metric(stranger), width=PHONE)
    phone.goto(sent)
    expect(phone.get_by_role("heading", level=1)).to_contain_text("µm")
    # and what stands in the form is what was asked, in the unit in which it was
    expect(phone.locator("#id_diameter")).to_have_value("1.5")
    expect(phone.locator("#id_diameter_unit")).to_have_value("inch")


def test_errors_of_a_form_serve(open_page: OpenPage, owner: Person) -> None:
    page = open_page(person=owner, width=PHONE)
    page.goto(address("feed-pipe", {"bore": "-1", "bore_unit": "mm", "flattened_to": "x"}))
    expect(page.get_by_role("alert")).to_be_visible()
    assert_page_serves(page)
