"""What the pages around signing in are to the eye, the thumb and the keyboard, in a browser."""

import re
from typing import Any

import pytest
from django.core import mail
from playwright.sync_api import Page, expect

from advisory.people.models import Person
from tests.accessibility import assert_page_serves
from tests.browser import DESKTOP, PHONE, OpenPage

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PASSWORD = "three odd words here"


def press(page: Page, words: str) -> None:
    page.get_by_role("main").get_by_role("button", name=words, exact=True).click()


def link_in_last_mail(live_server: Any) -> str:
    [found] = re.findall(r"https?://[^/\s]+(/\S+)", mail.outbox[-1].body)
    return str(live_server.url + found)


@pytest.fixture
def settled(owner: Person) -> Person:
    owner.set_password(PASSWORD)
    owner.save()
    return owner


def sign_in(page: Page, person: Person) -> None:
    page.goto("/account/login/")
    page.get_by_label("E-mail address").fill(person.email)
    page.get_by_label("Password").fill(PASSWORD)
    press(page, "Sign in")


BEFORE_SIGNING_IN = (
    "/account/login/",
    "/account/signup/",
    "/account/password/reset/",
    "/account/password/reset/done/",
    "/account/password/reset/key/1-bad/",
    "/account/confirm-email/",
    "/account/confirm-email/bad/",
)
SIGNED_IN = (
    "/account/email/",
    "/account/password/change/",
    "/account/2fa/",
    "/account/2fa/webauthn/",
    "/account/logout/",
)


@pytest.mark.parametrize(("width", "dark"), [(PHONE, True), (DESKTOP, False)])
def test_pages_before_and_after_the_sign_in_serve(
    open_page: OpenPage, settled: Person, width: int, dark: bool
) -> None:
    for paths, person in ((BEFORE_SIGNING_IN, None), (SIGNED_IN, settled)):
        page = open_page(person=person, width=width, dark=dark)
        for path in paths:
            page.goto(path)
            assert_page_serves(page)


def test_sign_up_lists_what_is_missing_then_sends_to_the_mail(
    open_page: OpenPage, live_server: Any
) -> None:
    page = open_page(width=PHONE)
    page.goto("/account/signup/")
    press(page, "Make the account")
    expect(page.get_by_role("heading", name="3 things to put right")).to_be_visible()
    assert_page_serves(page)
    page.get_by_role("link", name="Your name: Fill this in.").click()
    expect(page.get_by_label("Your name")).to_be_focused()
    page.get_by_label("Your name").fill("Wilma Tarrant")
    page.get_by_label("E-mail address").fill("wilma.tarrant@example.com")
    page.get_by_label("Password").fill(PASSWORD)
    press(page, "Make the account")
    expect(page.get_by_role("heading", level=1, name="Look in your mail")).to_be_visible()
    page.goto(link_in_last_mail(live_server))
    expect(page.get_by_text("wilma.tarrant@example.com")).to_be_visible()
    assert_page_serves(page)


def test_lost_password_is_set_anew_by_mail(
    open_page: OpenPage, settled: Person, live_server: Any
) -> None:
    page = open_page(width=PHONE)
    page.goto("/account/password/reset/")
    page.get_by_label("E-mail address").fill(settled.email)
    press(page, "Send the link")
    page.goto(link_in_last_mail(live_server))
    assert_page_serves(page)
    for field in page.get_by_role("main").locator("input[type=password]").all():
        field.fill("three other odd words")
    press(page, "Keep it")
    expect(page.get_by_role("heading", level=1)).to_have_text("The new password is set")
    settled.refresh_from_db()
    assert settled.check_password("three other odd words")


def test_setting_up_a_second_step_serves_also_after_a_wrong_code(
    open_page: OpenPage, settled: Person
) -> None:
    page = open_page(width=PHONE)
    sign_in(page, settled)
    page.wait_for_url(lambda url: "/login" not in url)
    page.goto("/account/2fa/totp/activate/")
    assert_page_serves(page)
    page.get_by_label("Password").fill(PASSWORD)  # asked once more before a key is changed
    press(page, "Go on")
    assert_page_serves(page)
    page.get_by_label("Authenticator code").fill("12345")
    press(page, "Turn it on")
    expect(page.get_by_role("heading", name="1 thing to put right")).to_be_visible()
    expect(page.get_by_label("Authenticator code")).to_have_value("12345")
    assert_page_serves(page)


def test_wrong_password_keeps_the_address_and_says_what_to_do(
    open_page: OpenPage, settled: Person
) -> None:
    page = open_page(width=PHONE)
    page.goto("/account/login/")
    page.get_by_label("E-mail address").fill(settled.email)
    page.get_by_label("Password").fill("not the one")
    press(page, "Sign in")
    expect(page.get_by_text("Address and password don't belong together.")).to_be_visible()
    expect(page.get_by_label("E-mail address")).to_have_value(settled.email)
    assert_page_serves(page)


def test_light_is_chosen_without_a_script(open_page: OpenPage) -> None:
    page = open_page(java_script_enabled=False)
    page.goto("/account/login/")
    page.get_by_role("button", name="Dark", exact=True).click()
    expect(page.locator("html")).to_have_attribute("data-theme", "dark")
    expect(page.get_by_role("button", name="Dark", exact=True)).to_have_attribute(
        "aria-pressed", "true"
    )


def test_keyboard_reaches_the_content_first(open_page: OpenPage) -> None:
    page = open_page()
    page.goto("/account/login/")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the content")).to_be_focused()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(page.get_by_label("E-mail address")).to_be_focused()
