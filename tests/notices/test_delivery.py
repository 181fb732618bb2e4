"""Sending what waits: once, later where it fails, never where it must not."""

from datetime import timedelta
from smtplib import SMTPDataError, SMTPRecipientsRefused, SMTPServerDisconnected

import pytest
import time_machine
from django.core import mail as outgoing
from django.core.mail import get_connection
from django.core.mail.backends import locmem
from django.db.models import F
from django.utils import timezone

from advisory.notices.actions import delivery
from advisory.notices.actions.delivery import deliver, deliver_waiting
from advisory.notices.actions.failures import NEXT_TRY_AFTER, REFUSED_AGAIN_AFTER
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailKind, MailState
from advisory.notices.models import Mail, NoticePreference
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.register.enums import WorkKind
from advisory.register.models import Unit
from tests.notices.conftest import NOON, many_owners, sent, state_after_a_sweep

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_https")]


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


def test_an_address_refused_for_good_again_and_again_is_given_up(mail, errors, owner) -> None:
    kept = NoticePreference.objects.filter(person=owner)
    with time_machine.travel(timezone.now(), tick=False) as clock:
        for wait in REFUSED_AGAIN_AFTER:
            errors.append(refused(550))
            assert state_after_a_sweep() == MailState.WAITING
            assert not kept.get().is_refused
            assert kept.get().is_doubted
            clock.shift(wait)
        errors.append(refused(550))
        assert state_after_a_sweep() == MailState.GIVEN_UP

    assert Mail.objects.get().last_error == "550 no such person"
    assert kept.get().is_refused
    assert kept.get().refused_words == "550 no such person"


def test_a_refusal_that_was_a_mistake_is_forgotten(mail, errors, owner) -> None:
    errors.append(refused(550))
    deliver_waiting()
    let_time_pass()

    assert state_after_a_sweep() == MailState.SENT

    kept = NoticePreference.objects.get(person=owner)
    assert (kept.refused_times, kept.is_doubted, kept.is_refused) == (0, False, False)


def test_several_mails_refused_at_once_are_one_refusal(mail, errors, owner) -> None:
    for number in range(4):
        errors.append(refused(550))
        Mail.objects.update(next_try_at=timezone.now(), attempts=0)
        deliver_waiting()
        assert NoticePreference.objects.get(person=owner).refused_times == 1, number


def test_a_refusal_of_nobodys_account_is_given_up_at_once(db, errors) -> None:
    errors.append(refused(550))
    Mail.objects.create(
        key="letter", kind=MailKind.ACCOUNT, to="orla@example.com", text="t", message_id="<3@x>"
    )

    assert state_after_a_sweep() == MailState.GIVEN_UP
    assert Mail.objects.get().text == ""


def test_to_an_address_refused_for_good_nothing_more_is_sent(mail, unit) -> None:
    NoticePreference.objects.create(person=unit.owner, refused_address=unit.owner.email)
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


@pytest.mark.parametrize("happens", ["done", "another cycle", "passed on"])
def test_what_happens_while_others_are_on_their_way_is_left_out(
    mail, make_owner, monkeypatch, happens
) -> None:
    """Mails are read some at a time; whether each still holds is asked when it goes."""
    other = make_owner("Other One", WorkKind.OIL_CHANGE)
    raise_reminders(now=NOON)
    real = delivery.letter_for
    theirs = PlanItem.objects.filter(unit__owner=other)

    def meanwhile(row, now):
        if row.pk == mail.pk:
            if happens == "passed on":
                Unit.objects.filter(owner=other).update(owner=mail.person)
            elif happens == "done":
                theirs.update(state=DueState.AHEAD)
            else:
                theirs.update(cycle=F("cycle") + 1)
        return real(row, now)

    monkeypatch.setattr(delivery, "letter_for", meanwhile)
    deliver_waiting()

    assert list(Mail.objects.order_by("pk").values_list("state", flat=True)) == ["sent", "held"]
    assert sent().to == [mail.person.email]


def test_what_was_read_before_the_mail_server_dawdled_is_read_again(
    mail, make_owner, monkeypatch
) -> None:
    other = make_owner("Other One", WorkKind.OIL_CHANGE)
    preference, _made = NoticePreference.objects.get_or_create(person=other)
    raise_reminders(now=NOON)
    real = delivery.letter_for

    def meanwhile(row, now):
        if row.pk == mail.pk:
            NoticePreference.objects.filter(pk=preference.pk).update(reminders_by_mail=False)
        return real(row, now)

    monkeypatch.setattr(delivery, "letter_for", meanwhile)
    monkeypatch.setattr(delivery, "SECONDS_READ_HOLDS", -1.0)
    deliver_waiting()

    assert list(Mail.objects.order_by("pk").values_list("state", flat=True)) == ["sent", "held"]


def test_mails_that_go_together_are_read_together(design, django_assert_max_num_queries) -> None:
    many_owners(design, delivery.READ_AT_ONCE)
    raise_reminders(now=NOON)
    # each is claimed, asked about, held against the clock and marked; the rest is read for all
    with django_assert_max_num_queries(4 * delivery.READ_AT_ONCE + 8):
        assert deliver_waiting() == delivery.READ_AT_ONCE


def test_while_the_server_is_away_nothing_is_claimed(mail, settings) -> None:
    settings.EMAIL_BACKEND = "advisory.common.smtp.CourierBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1

    assert deliver_waiting() == 0

    mail.refresh_from_db()
    assert (mail.state, mail.attempts) == (MailState.WAITING, 0)


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
