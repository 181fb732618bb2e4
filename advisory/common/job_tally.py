"""Counting the jobs that ran, in rows: several processes count as one, and none starts anew."""

import logging
import time
from typing import Any

from celery.signals import before_task_publish, task_postrun, task_prerun
from celery.states import SUCCESS
from django.db import DatabaseError, transaction
from django.db.models import F
from django.utils import timezone

from advisory.common import trace
from advisory.common.models import JobTally

logger = logging.getLogger(__name__)
_began: dict[str, float] = {}


def count_job(name: str, seconds: float, *, done: bool) -> None:
    """Add one run of a job to its row."""
    counted = "done" if done else "failed"
    now = timezone.now()
    row = JobTally.objects.filter(name=name)
    with transaction.atomic():
        if not row.exists():
            # two at once: the second finds the row of the first
            JobTally.objects.bulk_create(
                [JobTally(name=name, last_ended_at=now)], ignore_conflicts=True
            )
        row.update(
            **{counted: F(counted) + 1},
            seconds=F("seconds") + seconds,
            last_seconds=seconds,
            last_ended_at=now,
        )


def take_number_along(headers: dict[str, Any] | None = None, **kwargs: Any) -> None:
    """Give a job the number of the request that starts it."""
    if headers is not None and (number := trace.request_id.get()):
        headers["request_id"] = number


def begin(task_id: str, task: Any, **kwargs: Any) -> None:
    """Note when a job begins, and in its lines of the log which it is."""
    _began[task_id] = time.monotonic()
    trace.job_name.set(task.name)
    trace.request_id.set(getattr(task.request, "request_id", None) or "")


def end(task_id: str, task: Any, state: str | None = None, **kwargs: Any) -> None:
    """Count a job; where the database is away it goes uncounted, and the job stands."""
    seconds = time.monotonic() - _began.pop(task_id, time.monotonic())
    try:
        count_job(task.name, seconds, done=state == SUCCESS)
    except DatabaseError as error:
        logger.warning("A run of %s was not counted: %s", task.name, error)
    trace.job_name.set("")
    trace.request_id.set("")


def listen() -> None:
    """Listen to what this process's jobs do."""
    before_task_publish.connect(take_number_along, weak=False, dispatch_uid="advisory.number")
    task_prerun.connect(begin, weak=False, dispatch_uid="advisory.begin")
    task_postrun.connect(end, weak=False, dispatch_uid="advisory.end")
