"""The register in a browser: the first evening on a phone, a build sheet by keyboard alone."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from advisory.people.models import Organisation, Person
from advisory.register.actions import start_build
from advisory.register.models import BuildMeasurement, Design
from advisory.register.starter_designs import sync_starter_designs
from tests.accessibility import assert_page_serves
from tests.browser import DESKTOP, PHONE, OpenPage
from tests.cast import make_unit

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


def test_build_sheet_is_written_by_keyboard_alone(
    open_page: OpenPage, fitter: Person, workshop: Organisation, design: Design
) -> None:
    unit = make_unit(None, design, workshop=workshop)
    build = start_build(unit=unit, by=fitter, built_on=unit.created_at.date())
    page = open_page(person=fitter, width=DESKTOP)
    page.goto(reverse("register:build", args=[build.pk]))
    assert_page_serves(page)
    page.get_by_label("Front bearing").focus()
    for figure in ("1.8", "0.05 mm", "5"):
        page.keyboard.type(figure)
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Kept. The sheet is still being written.")).to_be_visible()
    assert list(BuildMeasurement.objects.values_list("as_typed", flat=True)) == [
        "1.8 thou", "0.05 mm", "5 thou",
    ]  # fmt: skip
    page.goto(reverse("register:build_sign", args=[build.pk]))
    assert_page_serves(page)
    page.get_by_role("button", name="Sign it without these").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Signed. It stands as it is from now on.")).to_be_visible()
    assert_page_serves(page)
