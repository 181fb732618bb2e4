"""Mails in a storm: workers are killed, the broker restarts, the database cuts all off.

A mail server of our own counts what arrives.
"""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.db import connection, transaction
from django.utils import timezone
from kombu.exceptions import OperationalError

from advisory.config.machine.broker import Broker
from advisory.config.machine.waiting import wait_until
from advisory.notices import tasks
from advisory.notices.enums import MailState
from advisory.notices.hand_note import TAKEN, note_path
from advisory.notices.models import Mail
from tests.notices.sink import Sink, running_sink
from tests.worker import Worker, database_url

ON_POSTGRESQL = connection.vendor == "postgresql"


def start_sweeps(count: int = 1) -> None:
    """Do as the clock does; while the broker is away it can't."""
    for _ in range(count):
        with suppress(OperationalError, OSError):
            tasks.deliver_waiting_mail.apply_async(retry=False)


def cut_the_database() -> None:
    """End every other connection to the database under test."""
    if ON_POSTGRESQL:
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )


def restart(broker: Broker) -> None:
    broker.stop()
    broker.start(broker.folder / "again.log")


def let_holds_run_out() -> None:
    """As if as much time had passed as a dead worker's hold lasts.

    Workers go by their own clock, which may be behind that of the test by half a day.
    """
    since = timezone.now() - timedelta(days=1)
    Mail.objects.filter(state=MailState.WAITING).update(held_until=None, next_try_at=since)


def sent() -> int:
    return Mail.objects.filter(state=MailState.SENT).count()


def waits_for_nobody() -> bool:
    waiting = Mail.objects.filter(state=MailState.WAITING)
    return not waiting.filter(held_until=None).exists()


@contextmanager
def two_workers(broker: Broker, folder: Path) -> Iterator[tuple[Sink, list[Worker]]]:
    with running_sink() as (sink, port):
        address = f"smtp://127.0.0.1:{port}"
        workers = [
            Worker(broker, folder, name=name, MAIL_URL=address, DATABASE_URL=database_url())
            for name in ("one", "two")
        ]
        try:
            for worker in workers:
                worker.spawn()
            for worker in workers:
                worker.wait()
            yield sink, workers
        finally:
            sink.gate.set()
            for worker in workers:
                worker.stop()


def killed_before_the_yes(sink: Sink, worker: Worker) -> set[str]:
    """Kill a worker while the server holds letters that it has not said yes to, then let it.

    Their couriers hear it, and the workers that are left mark it. Return of which mails.
    """
    sink.gate.clear()
    wait_until(lambda: bool(sink.standing), seconds=30, what="A letter at the gate")
    # what was said yes to is marked, so that it is this moment and no other
    wait_until(lambda: sent() >= len(sink.taken), seconds=30, what="The marks")
    heard = set(sink.standing)
    worker.kill()
    sink.gate.set()
    wait_until(lambda: heard <= set(sink.taken), seconds=30, what="The couriers' letters")
    let_holds_run_out()
    start_sweeps()
    marked = Mail.objects.filter(message_id__in=heard, state=MailState.SENT)
    wait_until(lambda: marked.count() == len(heard), seconds=30, what="Their marks")
    return heard


def killed_after_the_yes(sink: Sink, worker: Worker) -> str:
    """Kill the worker that is left between the noted yes and its mark; return of which mail."""
    sink.gate.clear()
    wait_until(lambda: bool(sink.standing), seconds=30, what="A letter at the gate")
    wait_until(lambda: sent() >= len(sink.taken), seconds=30, what="The marks")
    message_id = min(sink.standing)
    with transaction.atomic():
        Mail.objects.select_for_update().get(message_id=message_id)
        sink.let_through.add(message_id)
        note = note_path(message_id)
        wait_until(
            lambda: note.exists() and note.read_bytes()[:1] == TAKEN,
            seconds=30,
            what="The note of the server's yes",
        )
        assert message_id in sink.taken
        worker.kill()
        # what it had asked of the database dies with it
        cut_the_database()
    sink.gate.set()
    return message_id


def to_the_end(*, seconds: float, look: Callable[[], Any] = lambda: None) -> None:
    """Go on as the clock does until all is sent."""

    last = time.monotonic()

    def done() -> bool:
        nonlocal last
        look()
        if not Mail.objects.filter(state=MailState.WAITING).exists():
            return True
        if waits_for_nobody() and time.monotonic() - last > 3:
            last = time.monotonic()
            let_holds_run_out()
        start_sweeps()
        return False

    try:
        wait_until(done, seconds=seconds, what="All mails sent")
    except TimeoutError:
        left = Mail.objects.filter(state=MailState.WAITING)
        told = left.values_list("held_until", "next_try_at", "attempts", "last_error")[:5]
        raise AssertionError(f"{left.count()} mails still wait: {list(told)}") from None
