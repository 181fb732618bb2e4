"""When a code from an authenticator app counts: RFC 6238, section 5.2."""

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


@pytest.fixture
def with_app(owner: Person) -> Person:
    """An owner who signs in with an authenticator app."""
    cache.clear()
    owner.set_password(PASSWORD)
    owner.save()
    TOTP.activate(owner, "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ")
    return owner


def gets_in(person: Person, code: str, at: datetime) -> bool:
    """Whether a new browser gets in with the password and this code."""
    with time_machine.travel(at, tick=False):
        client = Client()
        client.post(reverse("account_login"), {"login": person.email, "password": PASSWORD})
        client.post(reverse("mfa_authenticate"), {"code": code})
        return "_auth_user_id" in client.session


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
