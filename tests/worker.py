"""A real worker behind a real broker, on the database under test.

With the fixture `worker` a job sent by the test (`some_task.delay()`) is done by another process,
which a test may kill: `worker.kill()`, `worker.start()`, `worker.wait_for_quiet()`.
"""

import os
import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from django.conf import settings as django_settings
from django.db import connection

from advisory.config.celery import app
from advisory.config.machine import child
from advisory.config.machine.broker import Broker, running_broker
from advisory.config.machine.jobs import wait_for_quiet
from advisory.config.machine.services import worker_answers, worker_command
from advisory.config.machine.waiting import wait_until

SECONDS_TO_ANSWER = 60


def database_url() -> str:
    """Return the address of the database under test, as DATABASE_URL takes it."""
    known = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{known['NAME']}"
    password = f":{quote(known['PASSWORD'], safe='')}" if known["PASSWORD"] else ""
    port = f":{known['PORT']}" if known["PORT"] else ""
    host = quote(known["HOST"] or "", safe="")
    return f"postgresql://{quote(known['USER'])}{password}@{host}{port}/{known['NAME']}"


@contextmanager
def jobs_go_to(url: str) -> Iterator[None]:
    """Let this process send its jobs to another broker than its settings say."""
    before = app.conf.broker_url, app.conf.result_backend

    def switch(broker: str | None, results: str | None) -> None:
        app.conf.update(broker_url=broker, result_backend=results)
        # What is kept open is kept for the broker before.
        app._pool = None
        app.amqp._producer_pool = None
        app._backend_cache = None
        app._local.__dict__.pop("backend", None)

    switch(url, url)
    try:
        yield
    finally:
        switch(*before)


class Worker:
    """A worker that can be killed and started again."""

    def __init__(
        self, broker: Broker, folder: Path, *, name: str = "worker", **environ: str
    ) -> None:
        self.broker = broker
        self.name = f"{name}@test"
        self.mail = folder / "mail"
        self.log = folder / f"{name}.log"
        self.environ = os.environ | {
            "DJANGO_SETTINGS_MODULE": "advisory.config.settings",
            "ADVISORY_DATA": str(django_settings.DATA),
            "DATABASE_URL": database_url(),
            "BROKER_URL": broker.url,
            "MAIL_URL": f"folder://{self.mail}",
            "PYTHONUNBUFFERED": "1",
            **environ,
        }
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it, and wait until it answers."""
        self.spawn()
        self.wait()

    def spawn(self) -> None:
        """Start it."""
        command = worker_command(self.name)
        self.process = child.start(command, log=self.log, environ=self.environ)

    def wait(self) -> None:
        """Wait until it answers."""

        def answers() -> bool:
            assert self.process is not None
            assert self.process.poll() is None, self.log.read_text()
            return worker_answers(self.broker.url, self.name)

        wait_until(answers, seconds=SECONDS_TO_ANSWER, what="The worker's answer")

    def kill(self) -> None:
        """End it at once, in the middle of whatever it does."""
        assert self.process is not None
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()

    def stop(self) -> None:
        """Ask it to end, where it runs."""
        if self.process is not None:
            child.stop(self.process)

    def wait_for_quiet(self, *, seconds: float = 60) -> None:
        """Wait until no job waits and none is in work."""
        wait_for_quiet(app, seconds=seconds)


@pytest.fixture
def broker() -> Iterator[Broker]:
    """Give a real broker, with the jobs of this process going to it."""
    with running_broker() as running, jobs_go_to(running.url):
        yield running


@pytest.fixture
def worker(
    transactional_db: None, broker: Broker, settings: Any, tmp_path: Path
) -> Iterator[Worker]:
    """Give a worker that answers, and works on the database under test."""
    settings.BROKER_URL = broker.url
    working = Worker(broker, tmp_path)
    working.start()
    yield working
    working.stop()
