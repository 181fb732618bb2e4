"""The worker fixture: jobs are done by another process, on the database under test."""

import pytest
from django.conf import settings

from advisory.config.celery import app
from advisory.config.machine.jobs import run_jobs, waiting_jobs
from tests.worker import Worker

NIGHTLY = [str(entry["task"]) for entry in settings.CELERY_BEAT_SCHEDULE.values()]


@pytest.mark.one_database
def test_job_sent_while_the_worker_is_dead_is_done_by_the_next(worker: Worker) -> None:
    worker.kill()
    app.send_task(NIGHTLY[-1])
    assert waiting_jobs(worker.broker.url, "celery") == 1
    worker.start()
    worker.wait_for_quiet()
    assert f"Task {NIGHTLY[-1]}" in worker.log.read_text()


def test_jobs_of_the_clocks_table_run_and_an_unknown_one_is_an_error(worker: Worker) -> None:
    # one worker for both: starting it takes longer than all that it does
    run_jobs(app, NIGHTLY)
    assert "succeeded" in worker.log.read_text()
    with pytest.raises(Exception, match="no_such_job"):
        run_jobs(app, ["advisory.no_such_job"])


def test_jobs_go_nowhere_without_the_fixture() -> None:
    assert app.conf.broker_url == "memory://"
    app.send_task(NIGHTLY[-1])
