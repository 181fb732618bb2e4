"""Letters of invitation, signing up and signing in."""

from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from advisory.notices.models import Mail
from advisory.people.actions import invite_member
from advisory.people.enums import Role
from advisory.people.models import Invitation, Membership, Organisation, Person
from tests.cast import make_person

PASSWORD = "a-long-pass-phrase"


@pytest.fixture
def as_owner(client: Client, owner: Person) -> Client:
    client.force_login(owner)
    return client


@pytest.fixture
def as_manager(client: Client, manager: Person) -> Client:
    client.force_login(manager)
    return client


def sign_in(client: Client, person: Person) -> Client:
    """Sign in with a password, so that the sign-in is fresh."""
    person.set_password(PASSWORD)
    person.save()
    answer = client.post(reverse("account_login"), {"login": person.email, "password": PASSWORD})
    assert answer.status_code == 302, answer.context["form"].errors
    return client


# Invitations --------------------------------------------------------------------------------------


@pytest.fixture
def letter(workshop: Organisation, manager: Person) -> str:
    """The secret of a letter to the stranger's address."""
    return invite_member(
        organisation=workshop, email="una.strand@example.com", role=Role.FITTER, by=manager
    )[1]


def test_manager_sends_and_takes_back(as_manager: Client, workshop: Organisation) -> None:
    address = reverse("people:invite", args=[workshop.pk])
    answer = as_manager.post(address, {"email": "New@example.com", "role": "fitter"}, follow=True)
    assert "A letter goes to new@example.com" in answer.text
    row = Invitation.objects.get()
    answer = as_manager.post(reverse("people:invitation_withdraw", args=[row.pk]), follow=True)
    assert "no longer opens anything" in answer.text


def test_refused_invitation_keeps_what_was_typed(
    as_manager: Client, workshop: Organisation, fitter: Person
) -> None:
    address = reverse("people:invite", args=[workshop.pk])
    for email in ("nobody@", fitter.email):
        answer = as_manager.post(address, {"email": email, "role": "fitter"})
        assert answer.status_code == 422
        assert f'value="{email}"' in answer.text
    assert not Invitation.objects.exists()


@pytest.mark.parametrize("who", ["fitter", "stranger", "officer"])
def test_others_do_not_invite(
    client: Client, workshop: Organisation, who: str, request: pytest.FixtureRequest
) -> None:
    client.force_login(request.getfixturevalue(who))
    address = reverse("people:invite", args=[workshop.pk])
    assert client.get(address).status_code == 404
    assert client.post(address, {"email": "a@example.com", "role": "fitter"}).status_code == 404


def test_letter_is_accepted(client: Client, letter: str, stranger: Person) -> None:
    client.force_login(stranger)
    address = reverse("people:invitation", args=[letter])
    assert "Accept" in client.get(address).text
    answer = client.post(address, follow=True)
    assert "You are in" in answer.text
    assert client.get(address).status_code == 410


def test_sign_in_leads_back_to_the_letter(client: Client, letter: str, stranger: Person) -> None:
    address = reverse("people:invitation", args=[letter])
    page = client.get(address)
    assert page.status_code == 200
    assert "no-store" in page["Cache-Control"]
    stranger.set_password(PASSWORD)
    stranger.save()
    answer = client.post(reverse("account_login"), {"login": stranger.email, "password": PASSWORD})
    assert answer["Location"] == address


def sign_up(client: Client, email: str) -> str:
    """Sign up; return the address that the mail asks to open."""
    answer = client.post(
        reverse("account_signup"), {"name": "Una Strand", "email": email, "password1": PASSWORD}
    )
    assert answer["Location"] == reverse("account_email_verification_sent")
    words = Mail.objects.latest("pk").text.split()
    return next(word for word in words if "/account/confirm-email/" in word)


def test_sign_up_leads_back_to_the_letter(client: Client, letter: str) -> None:
    """From the letter to an account that is let in, in one browser."""
    address = reverse("people:invitation", args=[letter])
    client.get(address)
    confirm = sign_up(client, "Una.Strand@Example.com")
    assert client.get(address).context["user"].is_anonymous
    assert client.post(confirm)["Location"] == address
    assert "You are in" in client.post(address, follow=True).text


def test_link_opened_elsewhere_confirms_and_lets_nobody_in(client: Client, db: None) -> None:
    confirm = sign_up(client, "una.strand@example.com")
    elsewhere = Client()
    assert elsewhere.get(confirm).status_code == 200
    assert not elsewhere.get(confirm).context["user"].is_authenticated
    assert elsewhere.post(confirm)["Location"] == reverse("account_login")
    assert elsewhere.get(reverse("people:account")).status_code == 302
    answer = elsewhere.post(
        reverse("account_login"), {"login": "UNA.Strand@example.com", "password": PASSWORD}
    )
    assert answer["Location"] == reverse("home")


def test_address_is_one_whatever_its_capitals(client: Client, owner: Person) -> None:
    """Whether there is such an account is told to the address's owner by mail, not on the page."""
    answer = client.post(
        reverse("account_signup"),
        {"name": "Orla", "email": "Orla.PENHALLOW@example.com", "password1": PASSWORD},
    )
    assert answer["Location"] == reverse("account_email_verification_sent")
    letter = Mail.objects.get()
    assert letter.to == owner.email
    assert "confirm-email" not in letter.text
    assert Person.objects.filter(email__iexact=owner.email).count() == 1


def test_address_that_is_not_confirmed_lets_nobody_in(client: Client, db: None) -> None:
    sign_up(client, "una.strand@example.com")
    client.post(reverse("account_login"), {"login": "una.strand@example.com", "password": PASSWORD})
    assert client.get(reverse("people:account")).status_code == 302


def test_guessing_a_password_is_slowed_down(client: Client, owner: Person) -> None:
    owner.set_password(PASSWORD)
    owner.save()
    address = reverse("account_login")
    for number in range(6):
        client.post(address, {"login": owner.email, "password": f"guess {number}"})
    answer = client.post(address, {"login": owner.email, "password": PASSWORD})
    assert answer.status_code in {200, 429}
    assert client.get(reverse("people:account")).status_code == 302


def test_guesses_are_counted_by_who_guesses_and_not_by_the_proxy(
    client: Client, owner: Person, settings: Any
) -> None:
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = 1
    owner.set_password(PASSWORD)
    owner.save()
    address = reverse("account_login")

    def try_from(forwarded: str, email: str, password: str) -> bool:
        sent = {"login": email, "password": password}
        headers = {"X-Forwarded-For": forwarded}
        return bool(client.post(address, sent, headers=headers).status_code == 302)

    for number in range(12):
        try_from("198.51.100.9, 192.0.2.1", f"n{number}@example.com", "guess")
    assert not try_from("203.0.113.5, 192.0.2.1", owner.email, PASSWORD)
    assert try_from("198.51.100.9, 192.0.2.2", owner.email, PASSWORD)


def test_signing_in_makes_a_new_session(client: Client, owner: Person, letter: str) -> None:
    """A session that somebody planted before is worth nothing after."""
    client.get(reverse("people:invitation", args=[letter]))
    before = client.cookies["sessionid"].value
    sign_in(client, owner)
    assert client.cookies["sessionid"].value != before


def test_letter_in_anothers_hands_opens_nothing(client: Client, letter: str) -> None:
    client.force_login(make_person("Mal Dray"))
    address = reverse("people:invitation", args=[letter])
    page = client.get(address)
    assert "another address" in page.text
    assert "una.strand" not in page.text
    answer = client.post(address)
    assert answer.status_code == 422
    assert Membership.objects.filter(role=Role.FITTER).count() == 0


def test_post_without_sign_in_changes_nothing(client: Client, letter: str) -> None:
    answer = client.post(reverse("people:invitation", args=[letter]))
    assert answer.status_code == 200
    assert "sign in" in answer.text.lower()
    assert Invitation.objects.get().accepted_at is None


def test_letter_taken_back_says_so(
    client: Client, letter: str, manager: Person, stranger: Person
) -> None:
    Invitation.objects.update(withdrawn_at=datetime(2024, 1, 1, tzinfo=UTC))
    answer = client.get(reverse("people:invitation", args=[letter]))
    assert answer.status_code == 410
    assert "no longer holds" in answer.text


def test_guessed_letter_is_not_found(client: Client, letter: str) -> None:
    assert client.get(reverse("people:invitation", args=["guess"])).status_code == 404
