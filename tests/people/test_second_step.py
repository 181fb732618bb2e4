"""When a code from an authenticator app counts: RFC 6238, section 5.2."""

import base64
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from allauth.mfa.totp.internal.auth import TOTP
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from advisory.people.models import Person
from tests.people.one_time_codes import time_based_code

SECRET = b"12345678901234567890"  # the one of the standard's own table
PASSWORD = "a-long-pass-phrase"
STEP = timedelta(seconds=30)
NOON = datetime(2027, 3, 1, 12, 0, 1, tzinfo=UTC)  # a second after a step of the clock began


def test_codes_here_are_those_of_the_standard() -> None:
    """RFC 6238, appendix B, from memory: three rows of the table for SHA-1."""
    assert time_based_code(SECRET, 59, digits=8) == "94287082"
    assert time_based_code(SECRET, 1111111109, digits=8) == "07081804"
    assert time_based_code(SECRET, 20000000000, digits=8) == "65353130"


@pytest.fixture(autouse=True)
def nothing_spent() -> None:
    cache.clear()


@pytest.fixture
def with_app(owner: Person) -> Person:
    """An owner who signs in with an authenticator app."""
    owner.set_password(PASSWORD)
    owner.save()
    TOTP.activate(owner, "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ")
    return owner


def browser_of(person: Person, code: str, at: datetime) -> Client:
    """Give a new browser after the password and this code."""
    with time_machine.travel(at, tick=False):
        client = Client()
        client.post(reverse("account_login"), {"login": person.email, "password": PASSWORD})
        client.post(reverse("mfa_authenticate"), {"code": code})
    return client


def gets_in(person: Person, code: str, at: datetime) -> bool:
    return "_auth_user_id" in browser_of(person, code, at).session


def test_the_code_that_turned_it_on_is_spent(owner: Person) -> None:
    owner.set_password(PASSWORD)
    owner.save()
    client = browser_of(owner, "", NOON)
    with time_machine.travel(NOON, tick=False):
        client.post(reverse("account_reauthenticate"), {"password": PASSWORD})
        page = client.get(reverse("mfa_activate_totp"))
        secret = base64.b32decode(page.context["form"].secret)
        code = time_based_code(secret, NOON.timestamp())
        client.post(reverse("mfa_activate_totp"), {"code": code})
    assert not gets_in(owner, code, NOON)
    later = NOON + STEP
    assert gets_in(owner, time_based_code(secret, later.timestamp()), later)


def test_asked_once_more_a_spent_code_does_not_do(with_app: Person) -> None:
    code = code_at(NOON)
    client = browser_of(with_app, code, NOON)
    with time_machine.travel(NOON, tick=False):
        again = client.post(reverse("mfa_reauthenticate"), {"code": code})
        assert "code" in again.context["form"].errors
        fresh = client.post(reverse("mfa_reauthenticate"), {"code": code_at(NOON + STEP)})
        assert fresh.status_code == 302


@pytest.mark.parametrize("code", ["1" * 500, "\x01 2", "\uff11\uff12\uff13\uff14\uff15\uff16"])
def test_what_is_no_code_is_refused_and_no_more(with_app: Person, code: str) -> None:
    assert not gets_in(with_app, code, NOON)


def code_at(moment: datetime) -> str:
    return time_based_code(SECRET, moment.timestamp())


@pytest.mark.parametrize(
    ("steps", "counts"), [(-2, False), (-1, True), (0, True), (1, True), (2, False)]
)
def test_one_step_of_the_clock_is_borne(with_app: Person, steps: int, counts: bool) -> None:
    """A code typed as it changes counts, an old one doesn't."""
    assert gets_in(with_app, code_at(NOON + steps * STEP), NOON) is counts


def test_code_counts_once_as_long_as_it_is_good(with_app: Person) -> None:
    code = code_at(NOON + STEP)
    assert gets_in(with_app, code, NOON)
    for later in (timedelta(0), STEP, 2 * STEP):
        assert not gets_in(with_app, f"{code[:3]} {code[3:]}", NOON + later)
    assert gets_in(with_app, code_at(NOON + 2 * STEP), NOON + 2 * STEP), "the next one does"
