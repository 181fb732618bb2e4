"""What whoever runs the service looks at: is it well, its figures, its log; and who may look."""

import json
import logging
from datetime import timedelta

import pytest
from celery.states import FAILURE, SUCCESS
from django.db import OperationalError, connection
from django.test import Client
from django.utils import timezone
from prometheus_client.openmetrics.parser import text_string_to_metric_families

from advisory.common import job_tally, trace
from advisory.common.models import JobTally
from advisory.config.watch import health
from advisory.config.watch.log_lines import JsonLines, without_persons
from advisory.notices.enums import MailKind, MailState
from advisory.notices.models import Mail
from advisory.plans import tasks
from advisory.plans.models import PlanRun
from tests.cast import make_person

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
TOKEN = {"Authorization": "Bearer of-the-watch"}


@pytest.fixture(autouse=True)
def _watched(settings) -> None:
    settings.METRICS_TOKEN = "of-the-watch"


@pytest.fixture
def no_database(monkeypatch) -> None:
    def refuse() -> None:
        raise OperationalError("connection to 10.0.0.7, user advisory, password letmein failed")

    monkeypatch.setattr(connection, "ensure_connection", refuse)


def look(path: str, **headers: str):
    return Client().get(path, headers=headers)


def figures() -> dict[str, float]:
    """Read the page with a parser that is not ours to write."""
    response = look("/metrics/", **TOKEN)
    assert response["Content-Type"].startswith("application/openmetrics-text; version=1.0.0")
    read = {}
    for family in text_string_to_metric_families(response.content.decode()):
        for sample in family.samples:
            labels = ",".join(sample.labels[name] for name in sorted(sample.labels))
            read[f"{sample.name}({labels})" if labels else sample.name] = sample.value
    return read


def test_alive_needs_no_database(no_database) -> None:
    response = look("/health/live/")
    assert (response.status_code, response.content) == (200, b"ok\n")
    assert "no-store" in response["Cache-Control"]


def test_ready_says_one_word_to_anybody_and_more_to_who_has_the_token() -> None:
    assert look("/health/ready/").content == b"ready\n"
    told = look("/health/ready/", **TOKEN).json()
    assert told == {"ready": True, "parts": {"database": "ok", "migrations": "ok"}}


def test_without_a_database_it_is_not_ready_and_tells_no_secret(no_database) -> None:
    response = look("/health/ready/")
    assert (response.status_code, response.content) == (503, b"not ready\n")
    told = look("/health/ready/", **TOKEN)
    assert told.json()["parts"]["database"] == "does not answer"
    assert b"letmein" not in told.content
    assert look("/metrics/", **TOKEN).status_code == 200


def test_with_a_migration_missing_it_is_not_ready(monkeypatch) -> None:
    known = health._migrations_here()
    monkeypatch.setattr(health, "_migrations_here", lambda: known | {("notices", "9999_more")})
    response = look("/health/ready/", **TOKEN)
    assert response.status_code == 503
    assert response.json()["parts"]["migrations"].endswith("the first is notices.9999_more")


def test_with_the_broker_away_it_is_not_ready(settings, tmp_path) -> None:
    settings.BROKER_URL = f"redis+socket://{tmp_path}/nobody.sock"
    response = look("/health/ready/", **TOKEN)
    assert response.status_code == 503
    assert response.json()["parts"]["broker"] == "does not answer"
    assert str(tmp_path) not in response.content.decode()


@pytest.mark.parametrize(
    ("headers", "address", "setting", "proxy", "may"),
    [
        ({"Authorization": "Bearer of-the-watch"}, "198.51.100.4", False, False, True),
        ({"Authorization": "Bearer of-the-watc"}, "127.0.0.1", False, False, False),
        ({"Authorization": "Bearer "}, "127.0.0.1", False, False, False),
        ({}, "127.0.0.1", False, False, False),
        ({}, "127.0.0.1", True, False, True),
        ({}, "::1", True, False, True),
        ({}, "198.51.100.4", True, False, False),
        ({}, "", True, False, False),  # a unix socket: whoever stands before it
        ({}, "127.0.0.1", True, True, False),
        ({"X-Forwarded-For": "198.51.100.4"}, "127.0.0.1", True, False, False),
    ],
)
def test_who_may_look(settings, headers, address, setting, proxy, may) -> None:
    settings.METRICS_LOOPBACK, settings.BEHIND_PROXY = setting, proxy
    response = Client(REMOTE_ADDR=address).get("/metrics/", headers=headers)
    assert response.status_code == (200 if may else 404)
    told = Client(REMOTE_ADDR=address).get("/health/ready/", headers=headers)
    assert (b"migrations" in told.content) == may


def test_without_a_token_set_none_opens_it(settings) -> None:
    settings.METRICS_TOKEN = ""
    assert look("/metrics/", Authorization="Bearer ").status_code == 404


@pytest.mark.parametrize(("staff", "status"), [(True, 200), (False, 404)])
def test_staff_may_look_and_others_not(staff, status) -> None:
    client = Client()
    client.force_login(make_person("Una Strand", is_staff=staff))
    assert client.get("/metrics/").status_code == status


def make_mail(number: int, state: MailState, **fields: object) -> None:
    Mail.objects.create(
        key=f"k{number}",
        kind=MailKind.REMINDER,
        to="x@y.example",
        message_id=f"<{number}@x>",
        state=state,
        **fields,
    )


def test_figures_of_the_mails_are_those_of_the_rows() -> None:
    now = timezone.now()
    for number in range(3):
        make_mail(number, MailState.SENT, attempts=1)
    make_mail(3, MailState.GIVEN_UP, attempts=9)
    morning = now + timedelta(hours=9)
    make_mail(4, MailState.WAITING, created_at=now - timedelta(hours=1), next_try_at=morning)
    assert figures()["advisory_mail_queue_age_seconds"] == 0
    tried = now - timedelta(minutes=20)
    soon = now + timedelta(minutes=5)
    make_mail(
        5, MailState.WAITING, attempts=2, first_tried_at=tried, next_try_at=soon, last_error="451"
    )

    read = figures()

    assert read["advisory_mails_total(reminder,sent)"] == 3
    assert read["advisory_mails_total(reminder,given_up)"] == 1
    assert read["advisory_mails_waiting(all)"] == 2
    assert read["advisory_mails_waiting(due)"] == 0
    assert read["advisory_mails_waiting(failing)"] == 1
    assert read["advisory_mail_tries_total"] == 3 + 9 + 2
    assert 1200 <= read["advisory_mail_queue_age_seconds"] < 1260
    assert read["advisory_up(database)"] == 1


def test_jobs_are_counted_over_all_processes() -> None:
    task = tasks.refresh_all_plans
    for number, state in enumerate((SUCCESS, FAILURE, SUCCESS)):
        job_tally.begin(f"t{number}", task)
        job_tally.end(f"t{number}", task, state)
    JobTally.objects.update(seconds=7.5, last_seconds=2.5)
    now = timezone.now()
    PlanRun.objects.create(
        began_at=now - timedelta(seconds=80), ended_at=now, under_way=False, units=4
    )

    read = figures()

    assert read[f"advisory_job_runs_total({task.name},done)"] == 2
    assert read[f"advisory_job_runs_total({task.name},failed)"] == 1
    assert read[f"advisory_job_seconds_total({task.name})"] == 7.5
    assert read[f"advisory_job_last_seconds({task.name})"] == 2.5
    assert read["advisory_nightly_run_seconds"] == 80
    assert read["advisory_nightly_run_units(all)"] == 4


def test_a_line_of_the_log_is_an_object_that_names_no_person() -> None:
    record = logging.LogRecord(
        "x",
        logging.WARNING,
        "f.py",
        1,
        "Mail to %s: 550 <%s> unknown",
        ("a.b@c.example",) * 2,
        None,
    )
    number, job = trace.request_id.set("r-12345678"), trace.job_name.set("some.job")
    try:
        raise ValueError('Key (email)=(a.b@c.example) already exists, at /unsubscribe/ab"c')
    except ValueError as error:
        record.exc_info = (type(error), error, error.__traceback__)
    line = json.loads(JsonLines().format(record))
    trace.request_id.reset(number)
    trace.job_name.reset(job)

    assert line["message"] == "Mail to (address): 550 <(address)> unknown"
    assert (line["level"], line["request_id"], line["job"]) == ("WARNING", "r-12345678", "some.job")
    assert "c.example" not in json.dumps(line)
    assert line["error"].startswith("Traceback")


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("Not Found: /units/12/plan/oil_change/", "Not Found: /units/12/plan/oil_change/"),
        ("Not Found: /calendar/Zk3fj29fjs_-dkfj29fjsldk.ics", "Not Found: /calendar/..."),
        ("Gone: /from-mail/WzEsMSwyXQ:1sEk:Zx-9/done/", "Gone: /from-mail/.../done/"),
        ("Not Found: /find/?q=penhallow&x=1", "Not Found: /find/?..."),
        ("DETAIL:  Failing row contains (1, Orla, x).", "DETAIL:  Failing row contains (...)."),
    ],
)
def test_what_opens_something_is_taken_out_of_the_log(text, kept) -> None:
    assert without_persons(text) == kept


def test_each_request_has_a_number_and_a_line_with_its_route(settings, caplog) -> None:
    caplog.set_level(logging.INFO, "advisory.requests")
    given = {"X-Request-ID": "from-the-proxy-1"}
    assert len(look("/calendar/a-secret-address.ics", **given)["X-Request-ID"]) == 32
    settings.BEHIND_PROXY = True
    assert look("/health/live/", **given)["X-Request-ID"] == "from-the-proxy-1"
    assert len(look("/health/live/", **{"X-Request-ID": "a b\r\n"})["X-Request-ID"]) == 32
    lines = [record for record in caplog.records if record.name == "advisory.requests"]
    assert lines[0].getMessage() == "GET /calendar/<str:secret>.ics: 404"
    assert lines[0].__dict__["status"] == 404


def test_a_job_bears_the_number_of_the_request_that_started_it() -> None:
    token = trace.request_id.set("r-12345678")
    headers: dict[str, str] = {}
    job_tally.take_number_along(headers=headers)
    trace.request_id.reset(token)
    assert headers == {"request_id": "r-12345678"}
