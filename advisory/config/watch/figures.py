"""The service's figures in the OpenMetrics text format (1.0.0).

All are read from the rows when they are asked for: they are the same whichever process answers,
and go on where they were when one is started again.
"""

from collections.abc import Iterator
from datetime import datetime

import redis
from django.db import DatabaseError
from django.db.models import Count, Q, Sum
from django.utils import timezone
from prometheus_client.core import CounterMetricFamily, GaugeMetricFamily, Metric
from prometheus_client.openmetrics.exposition import CONTENT_TYPE_LATEST, generate_latest
from prometheus_client.registry import Collector, CollectorRegistry

from advisory.common.models import JobTally
from advisory.config.watch.health import broker_client, state_of_parts
from advisory.notices.enums import MailState
from advisory.notices.models import Mail
from advisory.notices.queries import oldest_waiting
from advisory.plans.models import PlanRun
from advisory.plans.progress import progress_of

CONTENT_TYPE = CONTENT_TYPE_LATEST
RESULTS = (MailState.SENT, MailState.GIVEN_UP, MailState.HELD)


class Figures(Collector):
    """Reads them at one moment."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def collect(self) -> Iterator[Metric]:
        """Give the parts first: with the database away, they are all there is."""
        states = state_of_parts()
        up = GaugeMetricFamily("advisory_up", "Whether a part answers.", labels=["part"])
        for name, state in states.items():
            up.add_metric([name], float(state == "ok"))
        yield up
        if states.get("broker") == "ok":
            yield from _queue()
        if states["database"] == states["migrations"] == "ok":
            try:
                yield from [*_mails(self.now), *_jobs(), *_nightly()]
            except DatabaseError:
                return  # it went away in between, and the next look says so


def _queue() -> Iterator[Metric]:
    try:
        with broker_client() as client:
            waiting = client.llen("celery")
    except redis.RedisError:
        return
    yield GaugeMetricFamily(
        "advisory_jobs_waiting", "Jobs that no worker has taken yet.", value=float(waiting)
    )


def _mails(now: datetime) -> Iterator[Metric]:
    counted = {
        (row["kind"], row["state"]): row["rows"]
        for row in Mail.objects.order_by().values("kind", "state").annotate(rows=Count("pk"))
    }
    mails = CounterMetricFamily(
        "advisory_mails", "Mails by their end; given_up failed for good.", labels=["kind", "result"]
    )
    kinds = sorted({kind for kind, _state in counted})
    for kind in kinds:
        for result in RESULTS:
            mails.add_metric([kind, str(result.value)], counted.get((kind, result), 0))
    yield mails
    tries = Mail.objects.aggregate(
        tries=Sum("attempts"),
        waiting=Count("pk", filter=Q(state=MailState.WAITING)),
        due=Count("pk", filter=Q(state=MailState.WAITING, next_try_at__lte=now)),
        failing=Count("pk", filter=Q(state=MailState.WAITING) & ~Q(last_error="")),
    )
    yield CounterMetricFamily(
        "advisory_mail_tries", "Tries to send a mail, in vain or not.", value=tries["tries"] or 0
    )
    waiting = GaugeMetricFamily(
        "advisory_mails_waiting",
        "Mails that wait: all of them, those due now, those whose last try failed.",
        labels=["which"],
    )
    for name, key in (("all", "waiting"), ("due", "due"), ("failing", "failing")):
        waiting.add_metric([name], tries[key])
    yield waiting
    oldest = oldest_waiting(now)
    yield GaugeMetricFamily(
        "advisory_mail_queue_age_seconds",
        "For how long the oldest waiting mail could have gone; 0 where none waits.",
        unit="seconds",
        value=max(0.0, (now - oldest).total_seconds()) if oldest else 0.0,
    )


def _jobs() -> Iterator[Metric]:
    runs = CounterMetricFamily("advisory_job_runs", "Runs of jobs.", labels=["job", "result"])
    seconds = CounterMetricFamily(
        "advisory_job_seconds", "Seconds spent in jobs.", labels=["job"], unit="seconds"
    )
    last = GaugeMetricFamily(
        "advisory_job_last_seconds", "The last run's seconds.", labels=["job"], unit="seconds"
    )
    ended = GaugeMetricFamily(
        "advisory_job_last_end_timestamp_seconds",
        "When a job last ended.",
        labels=["job"],
        unit="seconds",
    )
    for row in JobTally.objects.all():
        runs.add_metric([row.name, "done"], row.done)
        runs.add_metric([row.name, "failed"], row.failed)
        seconds.add_metric([row.name], row.seconds)
        last.add_metric([row.name], row.last_seconds)
        ended.add_metric([row.name], row.last_ended_at.timestamp())
    yield from (runs, seconds, last, ended)


def _nightly() -> Iterator[Metric]:
    """Give the last run over all plans that came to its end, whichever workers shared it."""
    run = PlanRun.objects.filter(ended_at__isnull=False).first()
    if run is None:
        return
    progress = progress_of(run)
    yield GaugeMetricFamily(
        "advisory_nightly_run_seconds",
        "The last nightly run over all plans.",
        unit="seconds",
        value=progress.spent().total_seconds(),
    )
    units = GaugeMetricFamily(
        "advisory_nightly_run_units", "Its units, and those that failed.", labels=["which"]
    )
    units.add_metric(["all"], progress.units)
    units.add_metric(["failed"], progress.failed)
    yield units


def written() -> bytes:
    """Return all figures, as they are now."""
    registry = CollectorRegistry(auto_describe=False)
    # asked once: to be registered it need not be collected
    registry.register(Figures(timezone.now()))
    return bytes(generate_latest(registry))  # type: ignore[no-untyped-call]
