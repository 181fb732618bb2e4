"""A real worker behind a real broker, killed in the middle: every mail arrives, none is missing."""

from collections.abc import Callable
from email import message_from_bytes
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from advisory.config.machine.broker import Broker
from advisory.config.machine.waiting import wait_until
from advisory.notices import tasks
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailState
from advisory.notices.models import Mail, Reminder
from advisory.register.models import Design
from tests.databases import on_postgresql
from tests.notices import storm
from tests.notices.conftest import NOON, many_owners
from tests.worker import Worker

pytestmark = pytest.mark.django_db(transaction=True)

MAILS = 90
STORM = 300
KILLED_AT = (15, 40)
# What a worker does at once: so many mails can be on their way when it is killed.
THREADS = 2


@pytest.fixture
def owners(transactional_db: None, design: Design) -> int:
    many_owners(design, MAILS)
    return MAILS


def let_the_hold_run_out() -> None:
    """As if as much time had passed as a dead worker's hold lasts."""
    Mail.objects.filter(state=MailState.WAITING).update(held_until=None, next_try_at=NOON)


def deliver_with_a_worker_killed_on_the_way(worker: Worker, arrived: Callable[[], int]) -> None:
    for count in KILLED_AT:
        for _ in range(THREADS):
            tasks.deliver_waiting_mail.delay()
        wait_until(lambda: arrived() >= count, seconds=60, what=f"{count} mails")  # noqa: B023
        worker.kill()
        assert arrived() < MAILS, "It was done before it could be killed."
        let_the_hold_run_out()
        worker.spawn()  # and no more: what it had in its hands it does at once
    tasks.deliver_waiting_mail.delay()
    wait_until(
        lambda: not Mail.objects.filter(state=MailState.WAITING).exists(),
        seconds=60,
        what="All mails sent",
    )


def written(folder: Path) -> list[Path]:
    return list(folder.glob("*.eml"))


@pytest.mark.one_database
def test_into_a_folder_every_mail_is_there_once(worker: Worker, owners: int) -> None:
    raise_reminders(now=NOON)
    expected = set(Mail.objects.values_list("message_id", flat=True))
    assert len(expected) == MAILS

    deliver_with_a_worker_killed_on_the_way(worker, lambda: len(written(worker.mail)))

    found = [message_from_bytes(path.read_bytes()) for path in written(worker.mail)]
    assert len(found) == MAILS
    assert {message["Message-ID"] for message in found} == expected
    assert all("Before you touch anything" in str(message.get_payload(0)) for message in found)
    assert Mail.objects.filter(state=MailState.SENT).count() == MAILS


@on_postgresql
def test_over_smtp_none_is_missing_and_none_doubled_whatever_happens(
    broker: Broker, transactional_db: None, design: Design, settings: Any, tmp_path: Path
) -> None:
    """A worker killed before a yes, another after one, the broker restarted, the database cut."""
    settings.BROKER_URL = broker.url
    many_owners(design, STORM)
    raise_reminders(now=NOON)
    expected = set(Mail.objects.values_list("message_id", flat=True))
    with storm.two_workers(broker, tmp_path) as (sink, (one, two)):
        storm.start_sweeps(2)
        wait_until(lambda: len(sink.taken) >= STORM // 10, seconds=60, what="A tenth")
        heard = storm.killed_before_the_yes(sink, one)
        wait_until(lambda: len(sink.taken) >= STORM // 4, seconds=60, what="A quarter")
        gone = storm.killed_after_the_yes(sink, two)
        storm.let_holds_run_out()
        for worker in (one, two):
            worker.spawn()
        for worker in (one, two):
            worker.wait()
        storm.start_sweeps(2)
        wait_until(lambda: len(sink.taken) >= STORM // 2, seconds=60, what="A half")
        storm.restart(broker)
        storm.cut_the_database()
        storm.to_the_end(seconds=60)

        assert set(sink.taken) == expected
        assert [each for each, times in sink.taken.items() if times > 1] == []
        for marked in Mail.objects.filter(message_id__in=heard | {gone}):
            assert (marked.state, marked.subject != "") == (MailState.SENT, True)
        assert Mail.objects.filter(state=MailState.SENT).count() == STORM


def test_killed_while_it_raises_reminders_each_is_told_once(worker: Worker, owners: int) -> None:
    tasks.raise_reminders.delay()
    wait_until(
        lambda: "raise_reminders" in worker.log.read_text(), seconds=30, what="The job's start"
    )
    worker.kill()
    connection.close()
    worker.start()
    for _ in range(2):
        tasks.raise_reminders.delay()
    wait_until(lambda: Reminder.objects.count() >= MAILS, seconds=60, what="All reminders")
    tasks.deliver_waiting_mail.delay()
    wait_until(
        lambda: (
            not Mail.objects.filter(
                state=MailState.WAITING, next_try_at__lte=timezone.now()
            ).exists()
        ),
        seconds=60,
        what="All mails sent that may be",
    )

    assert Reminder.objects.count() == MAILS
    mails = Mail.objects.all()
    assert mails.count() == MAILS
    assert {mail.reminders.count() for mail in mails} == {1}
    assert len({mail.person_id for mail in mails}) == MAILS
