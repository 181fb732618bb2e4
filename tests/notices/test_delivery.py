"""Sending what waits: once, later where it fails, never where it must not."""

import re
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage
from smtplib import SMTPDataError, SMTPRecipientsRefused, SMTPServerDisconnected

import pytest
from django.core import mail as outgoing
from django.core.mail import get_connection
from django.core.mail.backends import locmem
from django.utils import timezone

from advisory.findings.actions import answer_finding, report_finding
from advisory.notices.actions import delivery
from advisory.notices.actions.delivery import NEXT_TRY_AFTER, deliver, deliver_waiting
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailState
from advisory.notices.models import Mail, NoticePreference
from advisory.people.models import Invitation
from advisory.people.signals import invitation_made
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.register.enums import WorkKind
from advisory.usage.models import LayUp
from tests.notices.conftest import NOON, make_item

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _at_an_https_address(settings) -> None:
    settings.BASE_URL = "https://advisory.example"


@pytest.fixture
def mail(item: PlanItem) -> Mail:
    """A reminder that waits in the outbox."""
    raise_reminders(now=NOON)
    return Mail.objects.get()


def sent() -> EmailMessage:
    assert len(outgoing.outbox) == 1
    return outgoing.outbox[0]


def state_after_a_sweep() -> MailState:
    deliver_waiting()
    return MailState(Mail.objects.get().state)


# What is sent -------------------------------------------------------------------------------------


def test_a_waiting_mail_is_sent_and_noted(mail, owner) -> None:
    assert deliver_waiting() == 1

    mail.refresh_from_db()
    message = sent()
    assert message.to == [owner.email]
    assert mail.state == MailState.SENT
    assert mail.sent_at is not None
    assert mail.held_until is None
    assert mail.subject == message.subject
    assert mail.text == message.body
    assert (mail.attempts, mail.last_error) == (1, "")


def test_what_is_sent_is_not_sent_again(mail) -> None:
    deliver_waiting()
    deliver_waiting()

    assert len(outgoing.outbox) == 1


def test_the_reminder_says_what_when_why_and_how_not_to_get_hurt(mail, item) -> None:
    deliver_waiting()

    message = sent()
    html = message.alternatives[0].content
    assert message.subject == "Oil change is coming up: Pattern 4 blower 0417"
    for part in (message.body, html):
        assert "Oil change" in part
        assert "Pattern 4 blower 0417" in part
        assert f"https://advisory.example/units/{item.unit_id}/plan/oil_change/" in part
        assert "Hot oil burns" in part
        assert "never a licence to keep running" in part
        assert "https://advisory.example/unsubscribe/" in part


def test_the_reminder_gives_its_reasons_in_the_readers_units(unit, owner) -> None:
    reason = {"code": "interval", "distance": 1_609_344.0, "months": 12}
    item = make_item(unit, WorkKind.PIPE_CHECK, reasons=[reason])
    raise_reminders(now=NOON)
    deliver_waiting()
    # 1 mile is 1609.344 m exactly (the yard of 1959)
    assert "1,000 miles or 12 months" in sent().body
    outgoing.outbox.clear()

    owner.distance_unit = "km"
    owner.save()
    item.state = DueState.DUE
    item.save()
    raise_reminders(now=NOON)
    deliver_waiting()

    assert "1,600 km or 12 months" in sent().body


def test_several_items_stand_in_one_mail_the_most_urgent_first(unit) -> None:
    make_item(unit, WorkKind.SEAL_WEEP, DueState.NEAR)
    make_item(unit, WorkKind.OIL_CHANGE, DueState.LATE)
    make_item(unit, WorkKind.PIPE_CHECK, DueState.DUE)
    raise_reminders(now=NOON)

    deliver_waiting()

    message = sent()
    assert message.subject == "Oil change is overdue: Pattern 4 blower 0417, and 2 more"
    order = [message.body.index(f"* {word}") for word in ("Oil", "External", "Seal")]
    assert order == sorted(order)
    assert message.body.count("Hot oil burns") <= 1


def test_the_text_part_is_plain_and_tidy(mail, owner) -> None:
    owner.name = "O'Hara & <Sons>"
    owner.save()

    deliver_waiting()

    body = sent().body
    assert "Dear O'Hara & <Sons>," in body
    assert "&#x27;" not in body
    assert "\n\n\n" not in body
    assert not re.search(r"[ \t]$", body, re.MULTILINE)


def test_the_html_part_escapes_what_people_wrote(mail, item) -> None:
    item.unit.name = "<script>alert(1)</script>"
    item.unit.save()

    deliver_waiting()

    html = sent().alternatives[0].content
    assert "<script" not in html
    assert "&lt;script&gt;" in html


def test_a_name_with_a_line_break_cannot_add_a_header(mail, item) -> None:
    item.unit.name = "Blower\r\nBcc: everybody@example.com"
    item.unit.save()

    deliver_waiting()

    message = sent()
    assert message.message()["Bcc"] is None
    assert "\n" not in message.subject


def test_headers_allow_one_click_and_say_that_a_program_wrote(mail, owner) -> None:
    deliver_waiting()

    message = sent().message()
    secret = NoticePreference.objects.get(person=owner).unsubscribe_secret
    # RFC 8058, section 3.1
    assert message["List-Unsubscribe"] == (
        f"<https://advisory.example/unsubscribe/{secret}/?of=reminders>"
    )
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    # RFC 3834, section 5
    assert message["Auto-Submitted"] == "auto-generated"
    assert message["Message-ID"] == mail.message_id
    assert mail.message_id.endswith("@advisory.example>")
    kinds = [part.get_content_type() for part in message.walk()]
    assert kinds == ["multipart/alternative", "text/plain", "text/html"]


# Asked anew at the moment of sending --------------------------------------------------------------


def test_work_done_meanwhile_is_left_out(unit) -> None:
    first = make_item(unit, WorkKind.OIL_CHANGE)
    make_item(unit, WorkKind.PIPE_CHECK)
    raise_reminders(now=NOON)
    first.cycle = 2
    first.state = DueState.AHEAD
    first.save()

    deliver_waiting()

    assert "External pipe" in sent().body
    assert "* Oil change" not in sent().body


def done(item: PlanItem) -> None:
    PlanItem.objects.filter(pk=item.pk).update(cycle=2, state=DueState.AHEAD)


def due_again_in_the_next_cycle(item: PlanItem) -> None:
    PlanItem.objects.filter(pk=item.pk).update(cycle=2)


def no_longer_near(item: PlanItem) -> None:
    PlanItem.objects.filter(pk=item.pk).update(state=DueState.AHEAD)


def off_the_plan(item: PlanItem) -> None:
    PlanItem.everything.filter(pk=item.pk).update(in_force=False)


def laid_up(item: PlanItem) -> None:
    LayUp.objects.create(car=item.unit.fittings.get().car, from_date=timezone.now().date())


def sold(item: PlanItem) -> None:
    item.unit.owner = None
    item.unit.save()


def left(item: PlanItem) -> None:
    item.unit.owner.is_active = False
    item.unit.owner.save()


def stopped_by_one_click(item: PlanItem) -> None:
    NoticePreference.objects.create(person=item.unit.owner, reminders_by_mail=False)


@pytest.mark.parametrize(
    ("happens", "reason"),
    [
        (done, "Nothing of it is due"),
        (due_again_in_the_next_cycle, "Nothing of it is due"),
        (no_longer_near, "Nothing of it is due"),
        (off_the_plan, "Nothing of it is due"),
        (laid_up, "Nothing of it is due"),
        (sold, "Nothing of it is due"),
        (left, "Nothing of it is due"),
        (stopped_by_one_click, "wants no such mail"),
    ],
)
def test_a_reminder_that_no_longer_holds_is_held_back_with_the_reason(
    mail, item, happens, reason
) -> None:
    happens(item)

    assert state_after_a_sweep() == MailState.HELD
    assert reason in Mail.objects.get().last_error
    assert outgoing.outbox == []


def test_a_former_owner_who_works_at_the_workshop_is_not_reminded(
    mail, item, owner, second_owner, workshop, request
) -> None:
    """They may still see the plan; it is no longer theirs to do."""
    workshop.memberships.create(person=owner, role="fitter")
    workshop.consents.create(person=second_owner, scope="records")
    item.unit.owner = second_owner
    item.unit.save()

    assert state_after_a_sweep() == MailState.HELD


def test_a_new_address_gets_what_was_written_to_the_old_one(mail, owner) -> None:
    owner.email = "orla@elsewhere.example"
    owner.save()

    deliver_waiting()

    assert sent().to == ["orla@elsewhere.example"]
    assert Mail.objects.get().to == "orla@elsewhere.example"


# Findings, answers, invitations -------------------------------------------------------------------


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


# Failures -----------------------------------------------------------------------------------------


class FailingBackend(locmem.EmailBackend):
    """Fails as often as it has errors, then sends."""

    errors: list[Exception] = []

    def send_messages(self, messages) -> int:
        if self.errors:
            raise self.errors.pop(0)
        return super().send_messages(messages)


@pytest.fixture
def errors(settings) -> list[Exception]:
    settings.EMAIL_BACKEND = f"{__name__}.FailingBackend"
    FailingBackend.errors = []
    return FailingBackend.errors


def refused(code: int, words: bytes = b"no such person") -> SMTPRecipientsRefused:
    return SMTPRecipientsRefused({"orla.penhallow@example.com": (code, words)})


def let_time_pass() -> None:
    Mail.objects.update(next_try_at=timezone.now())


@pytest.mark.parametrize(
    "error",
    [
        refused(451, b"try later"),
        SMTPDataError(554, b"not today"),
        SMTPServerDisconnected("gone"),
        ConnectionResetError("reset"),
        TimeoutError("slow"),
    ],
)
def test_a_failure_is_tried_again_later(mail, errors, error) -> None:
    errors.append(error)
    before = timezone.now()

    assert state_after_a_sweep() == MailState.WAITING

    mail.refresh_from_db()
    assert mail.attempts == 1
    assert mail.held_until is None
    assert mail.next_try_at >= before + NEXT_TRY_AFTER[0]
    assert mail.last_error
    assert outgoing.outbox == []

    let_time_pass()
    assert state_after_a_sweep() == MailState.SENT
    assert sent().message()["Message-ID"] == mail.message_id


def test_before_its_time_it_is_not_tried_again(mail, errors) -> None:
    errors.append(TimeoutError())
    deliver_waiting()

    deliver_waiting()

    assert Mail.objects.get().attempts == 1


def test_each_wait_is_longer_than_the_one_before() -> None:
    assert list(NEXT_TRY_AFTER) == sorted(NEXT_TRY_AFTER)
    assert sum(NEXT_TRY_AFTER, timedelta()) > timedelta(days=1)


def test_after_the_last_try_it_is_given_up_with_the_error(mail, errors) -> None:
    tries = len(NEXT_TRY_AFTER) + 1
    errors.extend(SMTPDataError(554, b"not today") for _ in range(tries))
    for _ in range(tries):
        let_time_pass()
        deliver_waiting()

    mail.refresh_from_db()
    assert mail.state == MailState.GIVEN_UP
    assert mail.attempts == tries
    assert "not today" in mail.last_error
    assert errors == []


def test_an_address_refused_for_good_is_given_up_at_once(mail, errors, owner) -> None:
    errors.append(refused(550))

    assert state_after_a_sweep() == MailState.GIVEN_UP

    assert Mail.objects.get().last_error == "550 no such person"
    assert NoticePreference.objects.get(person=owner).refused_address == owner.email


def test_to_an_address_refused_for_good_nothing_more_is_sent(mail, errors, unit) -> None:
    errors.append(refused(550))
    deliver_waiting()
    mail.delete()
    second = Mail.objects.create(
        key="second", kind="reminder", person=unit.owner, to="x@y.example", message_id="<2@x>"
    )
    second.reminders.create(item=PlanItem.objects.get(), cycle=1, stage="due", person=unit.owner)

    assert state_after_a_sweep() == MailState.HELD


def test_one_mail_that_cannot_be_put_together_does_not_hold_up_the_others(
    mail, make_owner, monkeypatch
) -> None:
    make_owner("Other One", WorkKind.OIL_CHANGE)
    raise_reminders(now=NOON)
    real = delivery.letter_for

    def broken(row, now):
        if row.pk == mail.pk:
            raise ZeroDivisionError
        return real(row, now)

    monkeypatch.setattr(delivery, "letter_for", broken)
    deliver_waiting()

    mail.refresh_from_db()
    assert (mail.state, mail.last_error) == (MailState.WAITING, "ZeroDivisionError: ")
    assert len(outgoing.outbox) == 1


def test_while_the_server_is_away_nothing_is_claimed(mail, settings) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1

    assert deliver_waiting() == 0

    mail.refresh_from_db()
    assert (mail.state, mail.attempts) == (MailState.WAITING, 0)


# Two at once, and killed --------------------------------------------------------------------------


def test_a_mail_that_another_holds_is_left_to_them(mail, monkeypatch) -> None:
    real = delivery.letter_for
    second: list[MailState | None] = []

    def while_another_tries(row, now):
        second.append(deliver(row.pk, connection=get_connection()))
        return real(row, now)

    monkeypatch.setattr(delivery, "letter_for", while_another_tries)
    deliver_waiting()

    assert second == [None]
    assert len(outgoing.outbox) == 1


def test_a_mail_whose_worker_died_is_taken_up_once_the_hold_has_run_out(mail, monkeypatch) -> None:
    class Killed(BaseException):
        pass

    def kill(*args: object) -> None:
        raise Killed

    with monkeypatch.context() as patch:
        patch.setattr(delivery, "letter_for", kill)
        with pytest.raises(Killed):
            deliver_waiting()
    deliver_waiting()
    assert outgoing.outbox == []

    Mail.objects.update(held_until=timezone.now())
    deliver_waiting()

    assert sent().message()["Message-ID"] == mail.message_id
    assert Mail.objects.get().attempts == 2


def test_who_held_it_too_long_does_not_overwrite_what_the_other_noted(mail, monkeypatch) -> None:
    real = delivery.letter_for

    def while_the_hold_runs_out(row, now):
        Mail.objects.update(held_until=timezone.now() + timedelta(minutes=20), last_error="other")
        return real(row, now)

    monkeypatch.setattr(delivery, "letter_for", while_the_hold_runs_out)
    deliver_waiting(seconds=1)

    assert Mail.objects.get().last_error == "other"
