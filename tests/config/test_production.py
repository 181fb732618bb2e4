"""The production set, really run: two clocks by mistake, a sign-up, a broker gone, the end."""

import http.cookiejar
import json
import re
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from celery.beat import PersistentScheduler
from prometheus_client.openmetrics.parser import text_string_to_metric_families

from advisory.config.celery import app
from advisory.config.machine.jobs import run_jobs
from advisory.config.machine.production import (
    Production,
    clock_in_production,
    running_production,
)
from advisory.config.machine.waiting import wait_until
from advisory.notices.models import Reminder
from advisory.register.models import Design
from tests.databases import on_postgresql
from tests.notices.conftest import many_owners
from tests.notices.sink import Sink, running_sink
from tests.worker import database_url, jobs_go_to

# On the database that a production set has: it runs in the pass on PostgreSQL, once.
pytestmark = [
    pytest.mark.django_db(transaction=True),
    on_postgresql,
]
TOKEN = "of-the-watch"
SWEEP = "advisory.notices.tasks.deliver_waiting_mail"
REMIND = "advisory.notices.tasks.raise_reminders"
NIGHTLY = "advisory.plans.tasks.refresh_all_plans"
SOMEBODY = "una.strand@example.com"


def struck_a_while_ago(schedule: Path) -> None:
    """Write a clock's notes as if it had stood still: what was missed is started at once.

    Two minutes, so that no nightly job comes into it; of reminders an hour.
    """
    clock = PersistentScheduler(app, schedule_filename=str(schedule))
    for entry in clock.schedule.values():
        entry.last_run_at -= timedelta(minutes=62 if entry.task == REMIND else 2)
    clock.sync()
    clock.close()


@pytest.fixture
def sink() -> Iterator[tuple[Sink, int]]:
    with running_sink() as running:
        yield running


@pytest.fixture
def owners(design: Design) -> int:
    """Owners with an oil change that is due, and mail at any hour."""
    many_owners(design, 3)
    return 3


@pytest.fixture
def production(owners: int, sink: tuple[Sink, int], tmp_path: Path) -> Iterator[Production]:
    with running_production(
        tmp_path / "data",
        database=database_url(),
        mail=f"smtp://127.0.0.1:{sink[1]}",
        before_the_clock=struck_a_while_ago,
        METRICS_TOKEN=TOKEN,
    ) as running:
        yield running


def processes_of(folder: Path) -> list[str]:
    """Return the command lines of all processes that work with the set's data."""
    wanted = f"ADVISORY_DATA={folder / 'data'}".encode()
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        try:
            if wanted in (process / "environ").read_bytes().split(b"\0"):
                found.append((process / "cmdline").read_bytes().replace(b"\0", b" ").decode())
        except OSError:  # ended meanwhile, or somebody else's
            continue
    return found


def asked(running: Production, path: str) -> tuple[int, str]:
    request = urllib.request.Request(
        running.base_url + path, headers={"Authorization": f"Bearer {TOKEN}"}
    )
    try:
        with urllib.request.urlopen(request, timeout=20) as response:
            return response.status, response.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, error.read().decode()


def figure(running: Production, name: str, **labels: str) -> float:
    """Read one figure; either of the web server's processes may answer."""
    families = text_string_to_metric_families(asked(running, "/metrics/")[1])
    samples = [sample for family in families for sample in family.samples]
    return sum(each.value for each in samples if each.name == name and each.labels == labels)


def sign_up(running: Production) -> None:
    """Fill in the form as a browser would."""
    browser = urllib.request.build_opener(
        urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
    )
    address = running.base_url + "/account/signup/"
    page = browser.open(address, timeout=20).read().decode()
    fields = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page))
    fields |= {"email": SOMEBODY, "password1": "seven-oily-rags", "name": "Una Strand"}
    sent = browser.open(address, urllib.parse.urlencode(fields).encode(), timeout=20)
    assert "confirm-email" in sent.url, sent.read().decode()


def has_struck(folder: Path, clock: str, job: str) -> bool:
    return job in (folder / "data" / "logs" / f"{clock}.log").read_text()


def test_the_production_set_works_and_says_how_it_is(
    production: Production, sink: tuple[Sink, int], tmp_path: Path, owners: int
) -> None:
    # a second clock by mistake: both strike, and each owner is told once
    second = production.clock.with_name("second-clock")
    struck_a_while_ago(second)
    production.supervisor.start(clock_in_production(second))
    for clock in ("clock", "second-clock"):
        for job in (REMIND, SWEEP):
            wait_until(
                lambda clock=clock, job=job: has_struck(tmp_path, clock, job),
                seconds=30,
                what=f"The stroke of {clock} for {job}",
            )
    for job in (REMIND, SWEEP):
        wait_until(
            lambda job=job: (
                figure(production, "advisory_job_runs_total", job=job, result="done") >= 2
            ),
            seconds=30,
            what=f"Both runs of {job}",
        )
    wait_until(lambda: len(sink[0].taken) >= owners, seconds=20, what="The reminders")
    assert Reminder.objects.count() == owners

    assert asked(production, "/health/live/") == (200, "ok\n")
    status, told = asked(production, "/health/ready/")
    parts = dict.fromkeys(("database", "migrations", "broker"), "ok")
    assert (status, json.loads(told)) == (200, {"ready": True, "parts": parts})

    # a page, a row, the broker, a worker, the mail server
    sign_up(production)
    wait_until(lambda: len(sink[0].taken) > owners, seconds=20, what="The letter")
    wait_until(
        lambda: figure(production, "advisory_mails_total", kind="account", result="sent") == 1,
        seconds=20,
        what="The figure of the letter sent",
    )
    assert figure(production, "advisory_mail_queue_age_seconds") == 0

    assert list(sink[0].taken.values()) == [1] * (owners + 1)  # by Message-ID: none went twice

    # the nightly job, sent by hand
    with jobs_go_to(production.broker.url):
        run_jobs(app, [NIGHTLY])
    wait_until(
        lambda: figure(production, "advisory_nightly_run_seconds") > 0,
        seconds=20,
        what="The nightly run's figure",
    )
    # the broker goes: ready no longer, alive all the same
    production.broker.stop()
    assert asked(production, "/health/live/")[0] == 200
    status, told = asked(production, "/health/ready/")
    assert (status, json.loads(told)["parts"]["broker"]) == (503, "does not answer")
    assert figure(production, "advisory_up", part="broker") == 0

    assert len(processes_of(tmp_path)) >= 7  # two web processes and their parent, workers, clocks
    production.supervisor.stop()
    assert processes_of(tmp_path) == []
    lines = [
        line
        for path in (tmp_path / "data" / "logs").iterdir()
        for line in path.read_text().splitlines()
    ]
    assert SOMEBODY not in "\n".join(lines)
    told_of = {json.loads(line)["logger"] for line in lines if line.startswith('{"time"')}
    assert {"advisory.requests", "celery.app.trace", "gunicorn.error"} <= told_of
