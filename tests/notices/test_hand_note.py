"""A worker that dies at each moment of handing a mail over, and what the next one does."""

import errno
import fcntl
import os
import smtplib
from pathlib import Path

import pytest
import time_machine
from django.core import mail as outgoing
from django.core.mail.backends.locmem import EmailBackend as LocmemBackend
from django.db import OperationalError
from django.utils import timezone

from advisory.notices.actions import delivery
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.enums import MailState
from advisory.notices.hand_note import HandNote, drop_old_notes, note_path
from advisory.notices.models import Mail
from tests.notices.conftest import state_after_a_sweep

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database,
    pytest.mark.usefixtures("at_https"),
]


class Killed(BaseException):
    """Not an Exception, so that nothing tidies up: as a process that is ended does not."""


@pytest.fixture(autouse=True)
def notes(settings, tmp_path: Path) -> Path:
    settings.HAND_NOTES = tmp_path / "notes"
    return tmp_path / "notes"


def killed(*args: object, **kwargs: object) -> None:
    raise Killed


def sweep_that_dies(monkeypatch, where: object, name: str) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(where, name, killed)
        with pytest.raises(Killed):
            deliver_waiting()
    Mail.objects.update(held_until=None)


def test_killed_after_the_yes_it_is_marked_and_not_sent_again(mail, monkeypatch, notes) -> None:
    sweep_that_dies(monkeypatch, delivery, "_mark_sent")
    assert Mail.objects.get().state == MailState.WAITING

    assert state_after_a_sweep() == MailState.SENT

    assert len(outgoing.outbox) == 1
    kept = Mail.objects.get()
    assert kept.subject == outgoing.outbox[0].subject
    assert "Oil change" in kept.text
    assert "/from-mail/.../" in kept.text
    assert kept.sent_at is not None
    assert list(notes.iterdir()) == []


def test_killed_before_the_yes_it_is_sent_again(mail, monkeypatch) -> None:
    sweep_that_dies(monkeypatch, delivery, "_message")
    assert outgoing.outbox == []

    assert state_after_a_sweep() == MailState.SENT
    assert len(outgoing.outbox) == 1


def test_what_remains_a_yes_that_no_byte_could_note_is_sent_twice_as_the_same(
    mail, monkeypatch
) -> None:
    sweep_that_dies(monkeypatch, HandNote, "mark_taken")

    assert state_after_a_sweep() == MailState.SENT
    assert [each.message()["Message-ID"] for each in outgoing.outbox] == [mail.message_id] * 2


def test_a_courier_that_dies_after_it_noted_the_yes_has_sent_the_mail(mail, monkeypatch) -> None:
    real = LocmemBackend.send_messages

    def noted_and_died(backend, messages) -> None:
        real(backend, messages)
        (message,) = messages
        os.pwrite(message.receipt.descriptor, message.receipt.mark, 0)
        raise smtplib.SMTPServerDisconnected("the process ended")

    with monkeypatch.context() as patch:
        patch.setattr(LocmemBackend, "send_messages", noted_and_died)
        assert state_after_a_sweep() == MailState.SENT
    assert state_after_a_sweep() == MailState.SENT
    assert (len(outgoing.outbox), Mail.objects.get().last_error) == (1, "")


def test_a_note_that_cannot_be_turned_makes_no_failure_of_a_yes(mail, monkeypatch) -> None:
    def full(_note: HandNote) -> None:
        raise OSError(errno.ENOSPC, "no space left")

    monkeypatch.setattr(HandNote, "mark_taken", full)
    assert state_after_a_sweep() == MailState.SENT
    assert len(outgoing.outbox) == 1


def test_a_database_that_is_away_after_the_yes_is_told_later(mail, monkeypatch) -> None:
    def away(*args: object) -> None:
        raise OperationalError("the connection is lost")

    with monkeypatch.context() as patch:
        patch.setattr(delivery, "_mark_sent", away)
        with pytest.raises(OperationalError):
            deliver_waiting()
    Mail.objects.update(held_until=None)

    assert state_after_a_sweep() == MailState.SENT
    assert len(outgoing.outbox) == 1


def test_what_another_process_hands_over_is_left_to_it_whatever_the_clock_says(mail) -> None:
    path = note_path(mail.message_id)
    path.parent.mkdir()
    other = os.open(path, os.O_RDWR | os.O_CREAT)
    fcntl.flock(other, fcntl.LOCK_EX)
    with time_machine.travel(timezone.now().replace(year=2031), tick=False):
        assert deliver_waiting(seconds=0.05) == 0
    assert (outgoing.outbox, Mail.objects.get().attempts) == ([], 0)
    os.close(other)

    assert state_after_a_sweep() == MailState.SENT


def test_a_worker_that_was_frozen_while_another_took_over_does_not_send(mail, monkeypatch) -> None:
    real = delivery.letter_for

    def frozen_meanwhile(row, now):
        Mail.objects.update(held_until=timezone.now() + delivery.HOLD * 2)
        return real(row, now)

    monkeypatch.setattr(delivery, "letter_for", frozen_meanwhile)
    deliver_waiting(seconds=1)

    assert outgoing.outbox == []


def test_a_note_opens_nothing_to_who_reads_it(mail, monkeypatch, notes) -> None:
    sweep_that_dies(monkeypatch, delivery, "_mark_sent")
    (path,) = notes.iterdir()

    assert b"/from-mail/.../" in path.read_bytes()
    assert (path.stat().st_mode & 0o777, notes.stat().st_mode & 0o777) == (0o600, 0o700)


def test_notes_that_nobody_asks_for_are_dropped_in_the_end(mail, monkeypatch, notes) -> None:
    sweep_that_dies(monkeypatch, delivery, "_mark_sent")
    drop_old_notes()
    assert len(list(notes.iterdir())) == 1
    os.utime(next(notes.iterdir()), (0, 0))

    drop_old_notes()
    assert list(notes.iterdir()) == []
