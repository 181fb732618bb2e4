"""Running jobs through broker and worker, and knowing when they are done."""

from collections.abc import Iterable

from celery import Celery
from celery.exceptions import TimeoutError as JobTimeoutError
from kombu import Connection

from advisory.config.machine.waiting import wait_until

LONGEST_JOB = 600.0
# Between a message's leaving its queue and its being listed as in work lies a moment in which it is
# in neither: it is gone only when it is not seen several times running.
TIMES_NOT_SEEN = 5


def waiting_jobs(url: str, queue: str) -> int:
    """Return how many jobs wait in the queue or are in work."""
    with Connection(url) as connection:
        client = connection.default_channel.client  # type: ignore[attr-defined]
        return int(client.llen(queue)) + int(client.hlen("unacked"))


def wait_for_quiet(app: Celery, *, seconds: float = LONGEST_JOB) -> None:
    """Wait until nothing waits and nothing is in work."""
    quiet = 0

    def is_quiet() -> bool:
        nonlocal quiet
        quiet = 0 if waiting_jobs(app.conf.broker_url, app.conf.task_default_queue) else quiet + 1
        return quiet >= TIMES_NOT_SEEN

    wait_until(is_quiet, seconds=seconds, what="The end of all jobs")


def run_jobs(app: Celery, names: Iterable[str]) -> None:
    """Run jobs one after the other, each with all that it starts; raise here what one raises."""
    for name in names:
        result = app.send_task(name, ignore_result=False)
        try:
            result.get(timeout=LONGEST_JOB)
            wait_for_quiet(app)
        except (JobTimeoutError, TimeoutError):
            raise JobTimeoutError(f"{name} was not done within {LONGEST_JOB:g} s.") from None
