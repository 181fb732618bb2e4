"""Second step, passkeys and recovery codes in a real browser, under the policy for content."""

import base64
import time
from urllib.parse import urlsplit

import pytest
from allauth.mfa.models import Authenticator
from django.core import mail
from django.core.cache import cache
from playwright.sync_api import Page

from advisory.people.models import Person
from tests.accessibility import assert_page_serves
from tests.browser import OpenPage
from tests.cast import make_person
from tests.people.one_time_codes import time_based_code

PASSWORD = "a-long-pass-phrase"


@pytest.fixture
def person(transactional_db: None) -> Person:
    """Somebody with a password."""
    made = make_person("Orla Penhallow")
    made.set_password(PASSWORD)
    made.save()
    return made


def sign_in(page: Page, person: Person) -> None:
    page.goto("/account/login/")
    page.get_by_label("E-mail address").fill(person.email)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()


def sign_out(page: Page) -> None:
    page.goto("/account/")
    page.get_by_role("button", name="Sign out").click()


def say_the_password_again(page: Page) -> None:
    if "reauthenticate" in page.url:
        page.get_by_label("Password").fill(PASSWORD)
        page.locator("main form").get_by_role("button").first.click()


def is_in(page: Page) -> bool:
    page.goto("/account/")
    return urlsplit(page.url).path == "/account/"


def test_signing_up(open_page: OpenPage, transactional_db: None) -> None:
    page = open_page(width=390)
    page.goto("/account/signup/")
    assert_page_serves(page)
    page.get_by_label("Your name").fill("Una Strand")
    page.get_by_label("E-mail address").fill("Una.Strand@example.com")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Make the account").click()
    page.get_by_role("heading", name="Look in your mail").wait_for()
    assert_page_serves(page)
    link = next(w for w in mail.outbox[-1].body.split() if "confirm-email" in w)
    page.goto(link)
    assert_page_serves(page)
    page.get_by_role("button", name="Yes, it is mine").click()
    page.wait_for_url("**/")
    assert Person.objects.get(email="una.strand@example.com").name == "Una Strand"
    assert is_in(page)


def test_authenticator_app_and_recovery_codes(open_page: OpenPage, person: Person) -> None:
    page = open_page(width=390)
    sign_in(page, person)
    page.goto("/account/2fa/totp/activate/")
    say_the_password_again(page)
    assert_page_serves(page)
    image = page.locator("img.code-image")
    assert image.evaluate("(image) => image.complete && image.naturalWidth > 0")
    secret = base32(page.locator("code.address").inner_text())
    page.get_by_label("Authenticator code").fill(time_based_code(secret, time.time()))
    page.get_by_role("button", name="Turn it on").click()
    page.goto("/account/2fa/recovery-codes/")
    say_the_password_again(page)
    assert_page_serves(page)
    codes = page.get_by_label("Unused codes").input_value().split()
    assert len(codes) == 10

    sign_out(page)
    sign_in(page, person)
    page.get_by_role("heading", name="Second step").wait_for()
    assert_page_serves(page)
    assert not is_in(page)
    cache.clear()  # as if half a minute had gone by: a code counts once
    page.locator("input[name=code]").fill(time_based_code(secret, time.time()))
    page.get_by_role("button", name="Sign in", exact=True).click()
    assert is_in(page)
    sign_out(page)

    for works in (True, False):  # a recovery code counts once as well
        sign_in(page, person)
        page.locator("input[name=code]").fill(codes[0])
        page.get_by_role("button", name="Sign in", exact=True).click()
        page.wait_for_load_state()
        assert is_in(page) is works
        if works:
            sign_out(page)


def base32(text: str) -> bytes:
    """Read the secret as the page shows it."""
    return base64.b32decode(text.strip() + "=" * (-len(text.strip()) % 8))


def test_passkey(open_page: OpenPage, person: Person) -> None:
    page = open_page()
    devtools = page.context.new_cdp_session(page)
    devtools.send("WebAuthn.enable")
    devtools.send(
        "WebAuthn.addVirtualAuthenticator",
        {
            "options": {
                "protocol": "ctap2",
                "transport": "internal",
                "hasResidentKey": True,
                "hasUserVerification": True,
                "isUserVerified": True,
                "automaticPresenceSimulation": True,
            }
        },
    )
    sign_in(page, person)
    page.goto("/account/2fa/webauthn/add/")
    say_the_password_again(page)
    assert_page_serves(page)
    page.get_by_label("Name").fill("bench computer")
    page.get_by_label("Sign in with this key alone").check()
    page.get_by_role("button", name="Add it").click()
    page.wait_for_url(lambda url: "webauthn/add" not in url)
    assert Authenticator.objects.filter(user=person, type="webauthn").count() == 1
    page.goto("/account/2fa/")
    assert_page_serves(page)

    sign_out(page)
    assert not is_in(page)
    page.goto("/account/login/")
    page.get_by_role("button", name="Use a passkey instead").click()
    page.wait_for_url(lambda url: "login" not in url)
    assert is_in(page)
