"""Workshops, clubs, who belongs to them and how one gets in."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from allauth.account.models import EmailAddress

from advisory.common.errors import NotAllowed, Refused
from advisory.common.models import AuditEntry
from advisory.people import rules
from advisory.people.actions import (
    accept_invitation,
    change_organisation,
    change_role,
    create_organisation,
    invite_member,
    remove_member,
    withdraw_invitation,
)
from advisory.people.enums import OrganisationKind, Role
from advisory.people.models import Invitation, Membership, Organisation, Person
from advisory.people.rules import Permission
from advisory.people.signals import invitation_made
from tests.cast import make_member, make_person

WORKSHOP, CLUB = OrganisationKind.WORKSHOP, OrganisationKind.CLUB


def role_of(person: Person, organisation: Organisation) -> str | None:
    row = Membership.objects.filter(person=person, organisation=organisation).first()
    return row and row.role


@pytest.fixture
def letters() -> Any:
    """Collect what is told when an invitation is made."""
    heard: list[dict[str, Any]] = []

    def hear(**told: Any) -> None:
        heard.append(told)

    invitation_made.connect(hear)
    yield heard
    invitation_made.disconnect(hear)


# Organisations ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "role"), [(WORKSHOP, Role.MANAGER), (CLUB, "technical_officer")])
def test_whoever_registers_leads(stranger: Person, kind: OrganisationKind, role: Role) -> None:
    made = create_organisation(
        kind=kind, name="  Fallow \n Works ", by=stranger, email="Bench@Fallow.example"
    )
    assert (made.name, made.email) == ("Fallow Works", "bench@fallow.example")
    assert role_of(stranger, made) == role
    assert AuditEntry.objects.get(action="create_organisation").by == stranger


def test_registering_needs_a_verified_address(stranger: Person) -> None:
    EmailAddress.objects.filter(user=stranger).update(verified=False)
    with pytest.raises(Refused, match="Confirm your e-mail"):
        create_organisation(kind=WORKSHOP, name="Fallow Works", by=stranger)
    assert not Organisation.objects.exists()


@pytest.mark.parametrize(
    ("field", "given"),
    [
        ("name", {"name": " \n "}),
        ("name", {"name": "x" * 121}),
        ("name", {"name": "SALLOW LANE  bearings"}),
        ("email", {"email": "bench"}),
        ("phone", {"phone": "1" * 41}),
    ],
)
def test_registering_refuses_what_nobody_could_use(
    stranger: Person, workshop: Organisation, field: str, given: dict[str, str]
) -> None:
    with pytest.raises(Refused) as refusal:
        create_organisation(**{"kind": WORKSHOP, "name": "Fallow", "by": stranger, **given})
    assert refusal.value.field == field
    assert Organisation.objects.count() == 1


def test_club_may_have_the_name_of_a_workshop(stranger: Person, workshop: Organisation) -> None:
    assert create_organisation(kind=CLUB, name=workshop.name, by=stranger).pk


def test_same_name_at_the_same_moment_is_refused_like_any_other(
    stranger: Person, workshop: Organisation, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The check found nothing, the database did."""
    monkeypatch.setattr("advisory.people.actions.organisations.check", lambda *a, **k: None)
    with pytest.raises(Refused, match="one of this name already"):
        create_organisation(kind=WORKSHOP, name=workshop.name, by=stranger)


def test_manager_changes_what_others_read(manager: Person, workshop: Organisation) -> None:
    change_organisation(
        organisation=workshop, by=manager, name=workshop.name, phone="01632 960 001"
    )
    workshop.refresh_from_db()
    assert workshop.phone == "01632 960 001"
    assert workshop.email == ""


def test_fitter_does_not_change_it(fitter: Person, workshop: Organisation) -> None:
    with pytest.raises(NotAllowed):
        change_organisation(organisation=workshop, by=fitter, name="Mine")


# Invitations --------------------------------------------------------------------------------------


def test_invitation_lets_the_owner_of_the_address_in(
    manager: Person, workshop: Organisation, stranger: Person, letters: list[dict[str, Any]]
) -> None:
    invitation, token = invite_member(
        organisation=workshop, email=" Una.STRAND@example.com ", role=Role.FITTER, by=manager
    )
    assert [(one["invitation"], one["token"]) for one in letters] == [(invitation, token)]
    assert accept_invitation(token=token, by=stranger).role == Role.FITTER
    invitation.refresh_from_db()
    assert invitation.accepted_by == stranger
    assert rules.may(stranger, Permission.REGISTER_UNIT, workshop)


def test_token_is_kept_nowhere(manager: Person, workshop: Organisation) -> None:
    invitation, token = invite_member(
        organisation=workshop, email="new@example.com", role=Role.FITTER, by=manager
    )
    kept = str(Invitation.objects.filter(pk=invitation.pk).values().get())
    trail = str(list(AuditEntry.objects.values()))
    assert token not in kept + trail
    # RFC 6749, 10.10, from memory: a guess must succeed with a chance of 2^-128 at most
    assert len(token) * 6 >= 128


def test_letter_and_invitation_stand_or_fall_together(
    manager: Person, workshop: Organisation
) -> None:
    def fail(**told: Any) -> None:
        raise OSError("no room for the letter")

    invitation_made.connect(fail)
    try:
        with pytest.raises(OSError, match="no room"):
            invite_member(
                organisation=workshop, email="new@example.com", role=Role.FITTER, by=manager
            )
    finally:
        invitation_made.disconnect(fail)
    assert not Invitation.objects.exists()


@pytest.mark.parametrize("who", ["fitter", "stranger", "officer", "owner"])
def test_only_who_leads_invites(
    who: str, workshop: Organisation, request: pytest.FixtureRequest
) -> None:
    with pytest.raises(NotAllowed):
        invite_member(
            organisation=workshop,
            email="new@example.com",
            role=Role.MANAGER,
            by=request.getfixturevalue(who),
        )


@pytest.mark.parametrize(
    ("email", "role", "field"),
    [
        ("nobody", Role.FITTER, "email"),
        ("", Role.FITTER, "email"),
        ("a@example.com\nBcc: b@example.com", Role.FITTER, "email"),
        ("new@example.com", Role.TECHNICAL_OFFICER, "role"),
        ("new@example.com", "king", "role"),
        ("felix.addle@example.com", Role.MANAGER, "email"),
    ],
)
def test_bad_invitation_is_refused(
    manager: Person, fitter: Person, workshop: Organisation, email: str, role: Role, field: str
) -> None:
    with pytest.raises(Refused) as refusal:
        invite_member(organisation=workshop, email=email, role=role, by=manager)
    assert refusal.value.field == field
    assert not Invitation.objects.exists()


def test_inviting_again_takes_the_first_letter_back(
    manager: Person, workshop: Organisation, stranger: Person
) -> None:
    _one, first = invite_member(
        organisation=workshop, email=stranger.email, role=Role.MANAGER, by=manager
    )
    _two, second = invite_member(
        organisation=workshop, email=stranger.email, role=Role.FITTER, by=manager
    )
    with pytest.raises(Refused, match="taken back"):
        accept_invitation(token=first, by=stranger)
    assert accept_invitation(token=second, by=stranger).role == Role.FITTER


def test_invitations_are_no_way_to_send_mail_in_bulk(
    manager: Person, workshop: Organisation
) -> None:
    for number in range(20):
        invite_member(
            organisation=workshop, email=f"n{number}@example.com", role=Role.FITTER, by=manager
        )
    with pytest.raises(Refused, match="tomorrow"):
        invite_member(
            organisation=workshop, email="one.more@example.com", role=Role.FITTER, by=manager
        )
    with time_machine.travel(datetime.now(UTC) + timedelta(days=1, minutes=1)):
        invite_member(
            organisation=workshop, email="one.more@example.com", role=Role.FITTER, by=manager
        )


def test_letter_is_no_use_to_others(
    manager: Person, workshop: Organisation, stranger: Person, owner: Person
) -> None:
    _row, token = invite_member(
        organisation=workshop, email=stranger.email, role=Role.FITTER, by=manager
    )
    with pytest.raises(Refused, match="another address"):
        accept_invitation(token=token, by=owner)
    assert role_of(owner, workshop) is None


def test_letter_is_no_use_before_the_address_is_verified(
    manager: Person, workshop: Organisation, stranger: Person
) -> None:
    """Somebody who signs up with another's address has not shown that it is theirs."""
    EmailAddress.objects.filter(user=stranger).update(verified=False)
    _row, token = invite_member(
        organisation=workshop, email=stranger.email, role=Role.FITTER, by=manager
    )
    with pytest.raises(Refused, match="another address"):
        accept_invitation(token=token, by=stranger)


def test_letter_runs_out(manager: Person, workshop: Organisation, stranger: Person) -> None:
    _row, token = invite_member(
        organisation=workshop, email=stranger.email, role=Role.FITTER, by=manager
    )
    with (
        time_machine.travel(datetime.now(UTC) + timedelta(days=14, minutes=1)),
        pytest.raises(Refused, match="run out"),
    ):
        accept_invitation(token=token, by=stranger)


def test_letter_taken_back_is_no_use(
    manager: Person, workshop: Organisation, stranger: Person
) -> None:
    row, token = invite_member(
        organisation=workshop, email=stranger.email, role=Role.FITTER, by=manager
    )
    withdraw_invitation(invitation=row, by=manager)
    withdraw_invitation(invitation=row, by=manager)
    with pytest.raises(Refused, match="taken back"):
        accept_invitation(token=token, by=stranger)
    assert AuditEntry.objects.filter(action="withdraw_invitation").count() == 1


def test_letter_counts_once(manager: Person, workshop: Organisation, stranger: Person) -> None:
    row, token = invite_member(
        organisation=workshop, email=stranger.email, role=Role.FITTER, by=manager
    )
    membership = accept_invitation(token=token, by=stranger)
    remove_member(membership=membership, by=manager)
    with pytest.raises(Refused, match="used already"):
        accept_invitation(token=token, by=stranger)
    with pytest.raises(Refused, match="accepted meanwhile"):
        withdraw_invitation(invitation=row, by=manager)


@pytest.mark.parametrize("token", ["", "guess", "ä" * 3000])
def test_guessed_token_is_refused(db: None, stranger: Person, token: str) -> None:
    with pytest.raises(Refused, match="no such invitation"):
        accept_invitation(token=token, by=stranger)


def test_member_who_got_a_letter_meanwhile_keeps_the_role(
    manager: Person, workshop: Organisation, stranger: Person
) -> None:
    _row, token = invite_member(
        organisation=workshop, email=stranger.email, role=Role.FITTER, by=manager
    )
    Membership.objects.create(person=stranger, organisation=workshop, role=Role.MANAGER)
    with pytest.raises(Refused, match="already, as Manager"):
        accept_invitation(token=token, by=stranger)
    assert role_of(stranger, workshop) == Role.MANAGER


# Memberships --------------------------------------------------------------------------------------


def membership(person: Person) -> Membership:
    return Membership.objects.get(person=person)


def test_manager_makes_a_fitter_manager(
    manager: Person, fitter: Person, workshop: Organisation
) -> None:
    change_role(membership=membership(fitter), role=Role.MANAGER, by=manager)
    assert rules.may(fitter, Permission.MANAGE_ORGANISATION, workshop)
    assert AuditEntry.objects.get(action="change_role").data == {
        "before": "fitter",
        "after": "manager",
    }


@pytest.mark.parametrize("role", [Role.MEMBER, Role.TECHNICAL_OFFICER, "king"])
def test_role_of_another_kind_of_organisation_is_refused(
    manager: Person, fitter: Person, role: Role
) -> None:
    with pytest.raises(Refused, match="roles offered"):
        change_role(membership=membership(fitter), role=role, by=manager)


def test_role_of_another_kind_is_not_even_written(fitter: Person) -> None:
    row = membership(fitter)
    row.role = Role.TECHNICAL_OFFICER
    with pytest.raises(ValueError, match="has no"):
        row.save()


def test_last_to_lead_neither_leaves_nor_steps_down(
    manager: Person, fitter: Person, officer: Person, club_member: Person
) -> None:
    for leader, other in ((manager, Role.FITTER), (officer, Role.MEMBER)):
        with pytest.raises(Refused, match="Somebody must lead"):
            remove_member(membership=membership(leader), by=leader)
        with pytest.raises(Refused, match="Somebody must lead"):
            change_role(membership=membership(leader), role=other, by=leader)


def test_one_of_two_who_lead_leaves(manager: Person, workshop: Organisation) -> None:
    second = make_member("Greta Holm", workshop, Role.MANAGER)
    remove_member(membership=membership(manager), by=manager)
    assert role_of(manager, workshop) is None
    assert role_of(second, workshop) == Role.MANAGER


def test_who_leads_with_a_closed_account_does_not_count(
    manager: Person, workshop: Organisation
) -> None:
    second = make_member("Greta Holm", workshop, Role.MANAGER)
    second.is_active = False
    second.save()
    with pytest.raises(Refused, match="Somebody must lead"):
        remove_member(membership=membership(manager), by=manager)


def test_fitter_leaves_but_removes_nobody(
    manager: Person, fitter: Person, workshop: Organisation
) -> None:
    with pytest.raises(NotAllowed):
        remove_member(membership=membership(manager), by=fitter)
    with pytest.raises(NotAllowed):
        change_role(membership=membership(fitter), role=Role.MANAGER, by=fitter)
    row = membership(fitter)
    remove_member(membership=row, by=fitter)
    remove_member(membership=row, by=fitter)  # pressed twice
    assert role_of(fitter, workshop) is None


def test_manager_of_another_workshop_changes_nothing_here(
    fitter: Person, other_workshop: Organisation
) -> None:
    elsewhere = make_member("Greta Holm", other_workshop, Role.MANAGER)
    with pytest.raises(NotAllowed):
        remove_member(membership=membership(fitter), by=elsewhere)
    with pytest.raises(NotAllowed):
        change_role(membership=membership(fitter), role=Role.MANAGER, by=elsewhere)


def test_person_may_belong_to_several(officer: Person, workshop: Organisation) -> None:
    Membership.objects.create(person=officer, organisation=workshop, role=Role.FITTER)
    assert {row.role for row in officer.memberships.all()} == {
        Role.FITTER,
        Role.TECHNICAL_OFFICER,
    }
    assert make_person("Nobody Yet").memberships.count() == 0
