"""The pages of accounts, consents, organisations and invitations."""

from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries
from rest_framework.authtoken.models import Token

from advisory.people.actions import invite_member
from advisory.people.enums import ConsentScope, Role
from advisory.people.models import Consent, Membership, Organisation, Person
from tests.cast import make_consent, make_member

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


# Account ------------------------------------------------------------------------------------------


def test_account_leads_to_everything_of_ones_own(as_owner: Client, owner: Person) -> None:
    page = as_owner.get(reverse("people:account")).text
    for name in ("people:preferences", "people:consents", "people:token", "mfa_index"):
        assert f'href="{reverse(name)}"' in page


def test_preferences_are_kept(as_owner: Client, owner: Person) -> None:
    answer = as_owner.post(
        reverse("people:preferences"),
        {
            "name": "Orla P.",
            "small_length_unit": "mm",
            "distance_unit": "km",
            "volume_unit": "pint",
            "temperature_unit": "degF",
            "zone": "America/Argentina/Ushuaia",
        },
    )
    assert answer.status_code == 302
    owner.refresh_from_db()
    assert (owner.small_length_unit, owner.zone) == ("mm", "America/Argentina/Ushuaia")


def test_preferences_keep_what_was_typed(as_owner: Client, owner: Person) -> None:
    answer = as_owner.post(
        reverse("people:preferences"), {"name": "<Orla> & Co", "zone": "Mars/Olympus"}
    )
    assert answer.status_code == 422
    assert 'value="&lt;Orla&gt; &amp; Co"' in answer.text
    owner.refresh_from_db()
    assert owner.name == "Orla Penhallow"


def test_zone_that_is_not_offered_stays_ones_own(as_owner: Client, owner: Person) -> None:
    """A zone of the database that the list leaves out is not lost by saving the page."""
    Person.objects.filter(pk=owner.pk).update(zone="Etc/GMT+3")
    page = as_owner.get(reverse("people:preferences")).text
    assert '<option value="Etc/GMT+3" selected' in page


# Keys ---------------------------------------------------------------------------------------------


def test_key_is_made_after_the_password_was_asked_again_and_shown_once(
    client: Client, owner: Person
) -> None:
    """A phone left on the bench makes no key that outlives it."""
    sign_in(client, owner)
    address = reverse("people:token")
    asked = client.post(address, {"make": "1"})
    assert asked["Location"].startswith(reverse("account_reauthenticate"))
    assert not Token.objects.exists()
    made = client.post(asked["Location"], {"password": PASSWORD})
    key = Token.objects.get(user=owner).key
    assert key in made.text
    assert "no-store" in made["Cache-Control"]
    assert key not in client.get(address).text
    client.post(address, {"revoke": "1"})
    assert not Token.objects.exists()


# Consents -----------------------------------------------------------------------------------------


def test_consent_is_given_shown_and_taken_back_with_one_press(
    as_owner: Client, owner: Person, workshop: Organisation, club: Organisation
) -> None:
    address = reverse("people:consents")
    answer = as_owner.post(
        address,
        {
            "kind": "workshop",
            "workshop-organisation": workshop.pk,
            "workshop-scope": "records",
        },
        follow=True,
    )
    assert answer.status_code == 200
    given = Consent.objects.get()
    assert (given.person, given.scope) == (owner, "records")
    assert "consent to Sallow Lane Bearings" in answer.text
    answer = as_owner.post(reverse("people:consent_withdraw", args=[given.pk]), follow=True)
    assert "Nobody sees it" in answer.text
    assert "What is past" in answer.text
    given.refresh_from_db()
    assert given.withdrawn_at is not None


def test_club_is_asked_by_name_or_without(
    as_owner: Client, owner: Person, club: Organisation
) -> None:
    address = reverse("people:consents")
    sent = {"kind": "club", "club-organisation": club.pk}
    answer = as_owner.post(address, sent)
    assert answer.status_code == 422
    assert f'<option value="{club.pk}" selected' in answer.text
    assert not Consent.objects.exists()
    as_owner.post(address, sent | {"club-scope": "named"})
    as_owner.post(address, sent | {"club-scope": "unnamed"})
    assert [row.scope for row in Consent.objects.filter(withdrawn_at=None)] == ["unnamed"]


@pytest.mark.parametrize("organisation", ["", "0", "x", "99999999999999999999"])
def test_consent_to_nobody_is_refused(
    as_owner: Client, workshop: Organisation, organisation: str
) -> None:
    answer = as_owner.post(
        reverse("people:consents"),
        {
            "kind": "workshop",
            "workshop-organisation": organisation,
            "workshop-scope": "records",
        },
    )
    assert answer.status_code == 422
    assert not Consent.objects.exists()


def test_workshop_is_not_offered_as_a_club(
    as_owner: Client, workshop: Organisation, club: Organisation
) -> None:
    answer = as_owner.post(
        reverse("people:consents"),
        {"kind": "club", "club-organisation": workshop.pk, "club-scope": "named"},
    )
    assert answer.status_code == 422


def test_link_chooses_the_workshop(as_owner: Client, workshop: Organisation) -> None:
    page = as_owner.get(reverse("people:consents"), {"organisation": workshop.pk}).text
    assert f'<option value="{workshop.pk}" selected' in page
    assert as_owner.get(reverse("people:consents"), {"organisation": "x"}).status_code == 200


def test_consent_of_another_is_not_found(as_owner: Client, stranger: Person) -> None:
    club = Organisation.objects.create(kind="club", name="Rill Club")
    theirs = make_consent(stranger, club, ConsentScope.NAMED)
    address = reverse("people:consent_withdraw", args=[theirs.pk])
    assert as_owner.post(address).status_code == 404
    assert as_owner.get(address).status_code == 302
    theirs.refresh_from_db()
    assert theirs.withdrawn_at is None


def test_consents_take_the_same_number_of_queries(
    as_owner: Client, owner: Person, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    address = reverse("people:consents")

    def consent_to(number: int) -> None:
        made = Organisation.objects.create(kind="club", name=f"Club {number}")
        row = make_consent(owner, made, ConsentScope.NAMED)
        row.withdrawn_at = datetime(2024, 1, 1, tzinfo=UTC)
        row.save()
        make_consent(owner, made, ConsentScope.UNNAMED)

    consent_to(1)
    as_owner.get(address)
    with CaptureQueriesContext(connection) as with_one:
        as_owner.get(address)
    consent_to(2)
    consent_to(3)
    with django_assert_num_queries(len(with_one)):
        as_owner.get(address)


# Organisations ------------------------------------------------------------------------------------


def test_organisation_is_registered(as_owner: Client, owner: Person) -> None:
    answer = as_owner.post(
        reverse("people:organisation_new"),
        {"kind": "club", "name": "Rill Club", "email": "", "phone": ""},
        follow=True,
    )
    assert "Rill Club" in answer.text
    assert Membership.objects.get(person=owner).role == Role.TECHNICAL_OFFICER


def test_taken_name_is_said_at_the_field_and_kept(as_owner: Client, workshop: Organisation) -> None:
    answer = as_owner.post(
        reverse("people:organisation_new"),
        {"kind": "workshop", "name": "sallow lane bearings", "email": "x@example.com"},
    )
    assert answer.status_code == 422
    assert "one of this name already" in answer.text
    assert 'value="sallow lane bearings"' in answer.text
    assert 'value="x@example.com"' in answer.text


def test_manager_edits_and_fitter_does_not(
    as_manager: Client, workshop: Organisation, fitter: Person
) -> None:
    address = reverse("people:organisation_edit", args=[workshop.pk])
    answer = as_manager.post(address, {"name": "Sallow Lane", "email": "new@example.com"})
    assert answer.status_code == 302
    workshop.refresh_from_db()
    assert (workshop.name, workshop.phone) == ("Sallow Lane", "")
    as_manager.force_login(fitter)
    assert as_manager.get(address).status_code == 404
    assert as_manager.post(address, {"name": "Mine"}).status_code == 404


def test_members_are_named_to_their_own_and_addresses_to_who_leads(
    client: Client, workshop: Organisation, manager: Person, fitter: Person
) -> None:
    address = reverse("people:organisation", args=[workshop.pk])
    client.force_login(manager)
    page = client.get(address).text
    assert fitter.email in page
    client.force_login(fitter)
    page = client.get(address).text
    assert manager.name in page
    assert manager.email not in page
    assert reverse("people:invite", args=[workshop.pk]) not in page


def test_plain_club_member_reads_who_leads_and_nobody_else(
    client: Client, club: Organisation, officer: Person, club_member: Person
) -> None:
    other = make_member("Hesper Lowe", club, Role.MEMBER)
    client.force_login(club_member)
    page = client.get(reverse("people:organisation", args=[club.pk])).text
    assert officer.name in page
    assert other.name not in page
    assert reverse("reports:fleet", args=[club.pk]) not in page


def test_organisation_page_takes_the_same_number_of_queries(
    as_manager: Client,
    workshop: Organisation,
    manager: Person,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    address = reverse("people:organisation", args=[workshop.pk])

    def grow(number: int) -> None:
        make_member(f"Fitter {number}", workshop, Role.FITTER)
        invite_member(
            organisation=workshop, email=f"n{number}@example.com", role=Role.FITTER, by=manager
        )

    grow(1)
    as_manager.get(address)
    with CaptureQueriesContext(connection) as with_one:
        as_manager.get(address)
    grow(2)
    grow(3)
    with django_assert_num_queries(len(with_one)):
        as_manager.get(address)


def test_role_is_changed_and_member_removed(
    as_manager: Client, workshop: Organisation, fitter: Person, manager: Person
) -> None:
    row = Membership.objects.get(person=fitter)
    answer = as_manager.post(
        reverse("people:member_role", args=[row.pk]), {"role": "manager"}, follow=True
    )
    assert "Felix Addle is now Manager." in answer.text
    answer = as_manager.post(reverse("people:member_remove", args=[row.pk]), follow=True)
    assert "Felix Addle no longer belongs" in answer.text
    own = Membership.objects.get(person=manager)
    answer = as_manager.post(reverse("people:member_remove", args=[own.pk]), follow=True)
    assert "Somebody must lead it" in answer.text


@pytest.mark.parametrize("role", ["", "king", "technical_officer"])
def test_unknown_role_is_refused(as_manager: Client, fitter: Person, role: str) -> None:
    row = Membership.objects.get(person=fitter)
    answer = as_manager.post(
        reverse("people:member_role", args=[row.pk]), {"role": role}, follow=True
    )
    assert "Choose one of the roles offered" in answer.text


def test_fitter_leaves(client: Client, workshop: Organisation, fitter: Person) -> None:
    client.force_login(fitter)
    row = Membership.objects.get(person=fitter)
    answer = client.post(reverse("people:member_remove", args=[row.pk]), follow=True)
    assert answer.redirect_chain[-1][0] == reverse("people:account")
    assert not Membership.objects.filter(person=fitter).exists()


def test_fitter_neither_removes_nor_promotes(
    client: Client, workshop: Organisation, fitter: Person, manager: Person
) -> None:
    client.force_login(fitter)
    theirs = Membership.objects.get(person=manager)
    own = Membership.objects.get(person=fitter)
    assert client.post(reverse("people:member_remove", args=[theirs.pk])).status_code == 404
    address = reverse("people:member_role", args=[own.pk])
    assert client.post(address, {"role": "manager"}).status_code == 404


@pytest.mark.parametrize(
    ("path", "above"),
    [
        ("/findings/9/write/", "/findings/9/"),
        ("/clubs/3/fleet/new/", "/clubs/3/fleet/"),
        ("/theme/", "/"),
        ("/snoozes/9/lift/", "/"),
    ],
)
def test_an_address_that_takes_forms_leads_to_the_page_above(
    as_owner: Client, path: str, above: str
) -> None:
    """Where a browser comes after signing in anew, or with a reload: no bare page of its own."""
    answer = as_owner.get(path)
    assert (answer.status_code, answer["Location"]) == (302, above)
    assert Client().get("/theme/").status_code == 405
