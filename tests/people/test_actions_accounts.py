"""Consents, preferences and the key for programs."""

from typing import Any

import pytest
from allauth.account.models import EmailAddress
from django.contrib.auth import authenticate
from pytest_django import DjangoCaptureOnCommitCallbacks
from rest_framework.authtoken.models import Token

from advisory.common.errors import NotAllowed, Refused
from advisory.common.models import AuditEntry
from advisory.people import rules
from advisory.people.actions import (
    add_person,
    create_token,
    give_consent,
    revoke_token,
    set_preferences,
    withdraw_consent,
)
from advisory.people.enums import ConsentScope, DistanceUnit
from advisory.people.models import Consent, Organisation, Person
from advisory.people.rules import Permission
from advisory.people.signals import consent_changed, preferences_changed
from advisory.register.models import Unit

RECORDS, UNNAMED, NAMED = ConsentScope.RECORDS, ConsentScope.UNNAMED, ConsentScope.NAMED


@pytest.fixture
def told() -> Any:
    """Collect what is told of consents and preferences."""
    heard: list[dict[str, Any]] = []

    def hear(**words: Any) -> None:
        heard.append(words)

    consent_changed.connect(hear)
    preferences_changed.connect(hear)
    yield heard
    consent_changed.disconnect(hear)
    preferences_changed.disconnect(hear)


# Consents -----------------------------------------------------------------------------------------


def test_consent_opens_the_records_and_its_end_closes_them(
    owner: Person, workshop: Organisation, fitter: Person, unit: Unit
) -> None:
    assert not rules.may(fitter, Permission.VIEW_USE, unit)
    given = give_consent(organisation=workshop, scope=RECORDS, by=owner)
    assert rules.may(fitter, Permission.VIEW_USE, unit)
    withdraw_consent(consent=given, by=owner)
    assert not rules.may(fitter, Permission.VIEW_USE, unit)


def test_every_word_stays_as_a_dated_row(owner: Person, club: Organisation) -> None:
    first = give_consent(organisation=club, scope=UNNAMED, by=owner)
    second = give_consent(organisation=club, scope=NAMED, by=owner)
    withdraw_consent(consent=second, by=owner)
    third = give_consent(organisation=club, scope=UNNAMED, by=owner)
    rows = list(Consent.objects.order_by("pk"))
    assert rows == [first, second, third]
    assert rows[0].withdrawn_at == rows[1].given_at
    assert rows[1].withdrawn_at is not None
    assert rows[2].withdrawn_at is None
    assert list(AuditEntry.objects.order_by("pk").values_list("action", flat=True)) == [
        "give_consent",
        "give_consent",
        "withdraw_consent",
        "give_consent",
    ]


def test_pressing_twice_changes_nothing(owner: Person, club: Organisation) -> None:
    first = give_consent(organisation=club, scope=UNNAMED, by=owner)
    assert give_consent(organisation=club, scope=UNNAMED, by=owner) == first
    ended = withdraw_consent(consent=first, by=owner)
    assert withdraw_consent(consent=first, by=owner).withdrawn_at == ended.withdrawn_at
    assert AuditEntry.objects.count() == 2


@pytest.mark.parametrize(
    ("to", "scope"),
    [("workshop", UNNAMED), ("workshop", NAMED), ("club", RECORDS), ("club", "everything")],
)
def test_scope_of_another_kind_of_organisation_is_refused(
    owner: Person, to: str, scope: ConsentScope, request: pytest.FixtureRequest
) -> None:
    with pytest.raises(Refused, match="ways offered"):
        give_consent(organisation=request.getfixturevalue(to), scope=scope, by=owner)
    assert not Consent.objects.exists()


@pytest.mark.parametrize("who", ["fitter", "manager", "stranger", "officer"])
def test_nobody_else_withdraws_ones_consent(
    who: str, consent: Consent, request: pytest.FixtureRequest
) -> None:
    with pytest.raises(NotAllowed):
        withdraw_consent(consent=consent, by=request.getfixturevalue(who))
    consent.refresh_from_db()
    assert consent.withdrawn_at is None


def test_consent_is_told_after_it_stands(
    owner: Person,
    club: Organisation,
    told: list[dict[str, Any]],
    django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks,
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        given = give_consent(organisation=club, scope=UNNAMED, by=owner)
        assert told == []
    with django_capture_on_commit_callbacks(execute=True):
        withdraw_consent(consent=given, by=owner)
    assert [one["consent"].withdrawn_at is None for one in told] == [True, False]


# Preferences --------------------------------------------------------------------------------------


def test_preferences_are_changed_by_name(
    owner: Person,
    told: list[dict[str, Any]],
    django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks,
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        set_preferences(by=owner, distance_unit="km", zone="Europe/Vienna", name=" Orla  P. ")
    owner.refresh_from_db()
    assert (owner.distance_unit, owner.zone, owner.name) == ("km", "Europe/Vienna", "Orla P.")
    assert owner.small_length_unit == "thou"
    assert [one["person"] for one in told] == [owner]


def test_same_preferences_again_are_no_change(owner: Person) -> None:
    set_preferences(by=owner, distance_unit=DistanceUnit.MILE, name=owner.name)
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("zone", "Mars/Olympus"),
        ("zone", ""),
        ("distance_unit", "league"),
        ("small_length_unit", ""),
        ("name", "x" * 121),
    ],
)
def test_preference_that_is_not_offered_is_refused(owner: Person, field: str, value: str) -> None:
    with pytest.raises(Refused) as refusal:
        set_preferences(by=owner, **{field: value})
    assert refusal.value.field == field
    owner.refresh_from_db()
    assert owner.zone == "Europe/London"


def test_nothing_but_preferences_is_set(owner: Person) -> None:
    with pytest.raises(TypeError, match="is_staff"):
        set_preferences(by=owner, is_staff="yes")


# People and keys ----------------------------------------------------------------------------------


def test_person_added_signs_in_at_once(db: None) -> None:
    person = add_person(
        email=" Nessa@Example.COM",
        name="Nessa Quill",
        password="a-long-pass-phrase",
        by=None,
        distance_unit="km",
    )
    assert EmailAddress.objects.get(user=person).verified
    assert person.distance_unit == "km"
    assert authenticate(None, email="NESSA@example.com", password="a-long-pass-phrase") == person


@pytest.mark.parametrize(
    ("field", "given"),
    [
        ("email", {"email": "nessa"}),
        ("name", {"name": " "}),
        ("email", {"email": "ORLA.Penhallow@example.com"}),
        ("password", {"password": "short"}),
        ("password", {"password": "1234567890"}),
        ("zone", {"zone": "nowhere"}),
    ],
)
def test_person_that_cannot_be_is_refused(owner: Person, field: str, given: dict[str, str]) -> None:
    before = Person.objects.count()
    with pytest.raises(Refused) as refusal:
        add_person(**{"email": "nessa@example.com", "name": "Nessa", "by": None, **given})
    assert refusal.value.field == field
    assert Person.objects.count() == before


def test_new_key_ends_the_old_one(owner: Person) -> None:
    first = create_token(by=owner)
    second = create_token(by=owner)
    assert first != second
    assert list(Token.objects.values_list("key", flat=True)) == [second]
    revoke_token(by=owner)
    revoke_token(by=owner)
    assert not Token.objects.exists()
    trail = str(list(AuditEntry.objects.values()))
    assert first not in trail
    assert AuditEntry.objects.filter(action="revoke_token").count() == 1
