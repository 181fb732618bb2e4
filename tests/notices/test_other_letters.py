"""What the mails about findings, answers and invitations say, and to whom."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core import mail as outgoing
from django.utils import timezone

from advisory.findings.actions import answer_finding, report_finding
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.enums import MailState
from advisory.notices.models import Mail, NoticePreference
from advisory.people.models import Invitation
from advisory.people.signals import invitation_made
from tests.notices.conftest import NOON, sent, state_after_a_sweep

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_https")]


@pytest.fixture
def finding(whole_unit, owner, fitter, manager, other_fitter, officer, club_consent):
    washer = whole_unit.design.positions.get(name="Floating thrust washer")
    return report_finding(
        unit=whole_unit,
        by=owner,
        text="It ticks at idle.",
        seen_on=datetime(2024, 5, 1, tzinfo=UTC).date(),
        position=washer,
        value=0.4318e-3,
        as_typed="17 thou",
    )


@pytest.fixture
def _by_day(monkeypatch) -> None:
    """Let nothing wait for the morning, whenever the test runs."""
    monkeypatch.setattr("advisory.notices.actions.outbox.next_opening", lambda now, zone: now)


@pytest.mark.usefixtures("_by_day")
def test_a_finding_is_told_to_the_workshops_members_and_to_nobody_else(
    finding, fitter, manager
) -> None:
    fitter.small_length_unit = "mm"
    fitter.save()

    deliver_waiting()

    by_receiver = {message.to[0]: message for message in outgoing.outbox}
    assert set(by_receiver) == {fitter.email, manager.email}
    assert "17 thou" in by_receiver[manager.email].body
    assert "0.432 mm" in by_receiver[fitter.email].body
    for message in by_receiver.values():
        assert message.subject == "Pattern 4 blower 0417: a figure past its limit"
        assert "Stop and ask" in message.body
        assert f"https://advisory.example/findings/{finding.pk}/" in message.body
        assert "?of=findings" in message.message()["List-Unsubscribe"]


@pytest.mark.usefixtures("_by_day")
def test_consent_withdrawn_before_the_mail_leaves_holds_it_back(finding, consent) -> None:
    consent.withdrawn_at = timezone.now()
    consent.save()

    deliver_waiting()

    assert outgoing.outbox == []
    assert set(Mail.objects.values_list("state", "last_error")) == {
        (MailState.HELD, "The person may no longer see this finding.")
    }
    assert not Mail.objects.exclude(text="").exists()


@pytest.mark.usefixtures("_by_day")
def test_a_finding_that_a_colleague_answered_first_is_no_longer_told(
    finding, fitter, manager, owner
) -> None:
    answer_finding(finding=finding, text="Leave it stand.", by=fitter)

    deliver_waiting()

    assert {message.to[0] for message in outgoing.outbox} == {owner.email}


@pytest.mark.usefixtures("_by_day")
def test_a_member_who_left_the_workshop_gets_nothing_of_it(finding, fitter) -> None:
    fitter.memberships.all().delete()

    deliver_waiting()

    assert fitter.email not in {message.to[0] for message in outgoing.outbox}


@pytest.mark.usefixtures("_by_day")
def test_without_consent_no_mail_is_written(unit, owner, fitter) -> None:
    report_finding(unit=unit, by=owner, text="It ticks.", seen_on=NOON.date())

    assert not Mail.objects.exists()


@pytest.mark.usefixtures("_by_day")
def test_an_answer_is_told_to_the_owner(finding, fitter, owner) -> None:
    deliver_waiting()
    outgoing.outbox.clear()
    answer_finding(finding=finding, text="Leave it stand, and ring us.", by=fitter)

    deliver_waiting()

    message = sent()
    assert message.to == [owner.email]
    assert message.subject == "Sallow Lane Bearings answers your finding on Pattern 4 blower 0417"
    assert "Leave it stand, and ring us." in message.body
    assert "Leave the unit standing" in message.body  # the figure is past its limit
    assert "in doubt, leave it standing and ask" in message.body


@pytest.mark.usefixtures("_by_day")
def test_an_answer_is_not_told_to_who_sold_the_unit_meanwhile(
    finding, fitter, owner, second_owner
) -> None:
    answer_finding(finding=finding, text="Leave it stand.", by=fitter)
    finding.unit.owner = second_owner
    finding.unit.save()

    deliver_waiting()

    assert not [m for m in outgoing.outbox if m.to == [owner.email]]


@pytest.mark.usefixtures("_by_day")
def test_who_wants_no_findings_by_mail_has_them_in_the_account(whole_unit, owner, fitter) -> None:
    NoticePreference.objects.create(person=fitter, findings_by_mail=False)
    report_finding(unit=whole_unit, by=owner, text="It ticks.", seen_on=NOON.date())

    assert fitter.finding_notices.get().mail is None
    assert not Mail.objects.filter(person=fitter).exists()


@pytest.fixture
def invitation(workshop, manager):
    invitation = Invitation.objects.create(
        organisation=workshop,
        email="new.fitter@example.com",
        role="fitter",
        digest="d",
        invited_by=manager,
        expires_at=timezone.now() + timedelta(days=7),
    )
    invitation_made.send(sender=Invitation, invitation=invitation, token="open-sesame")
    return invitation


def test_an_invitation_is_sent_and_its_token_forgotten(invitation) -> None:
    mail = Mail.objects.get()
    assert "open-sesame" in mail.text

    deliver_waiting()

    message = sent()
    assert message.to == ["new.fitter@example.com"]
    assert "https://advisory.example/invitations/open-sesame/" in message.body
    assert "Maud Tregear" in message.body
    mail.refresh_from_db()
    assert mail.state == MailState.SENT
    assert (mail.text, mail.html) == ("", "")


@pytest.mark.parametrize(
    "fields",
    [
        {"withdrawn_at": NOON},
        {"accepted_at": NOON},
        {"expires_at": NOON},
    ],
)
def test_an_invitation_that_no_longer_stands_is_held_back(invitation, fields) -> None:
    Invitation.objects.update(**fields)

    assert state_after_a_sweep() == MailState.HELD
    assert outgoing.outbox == []
