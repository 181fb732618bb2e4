"""The production set on one machine: what README.md says to start, started and stopped together.

On a migrated PostgreSQL: a broker, gunicorn with several processes, two workers and one clock. A
test runs all of it; what a production set is told by its environment is told here in the same way.
"""

import os
import socket
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from advisory.config.machine.broker import Broker, running_broker
from advisory.config.machine.embedded import HOST, OF_A_PRODUCTION_SET, listen
from advisory.config.machine.services import (
    CELERY,
    web_answers,
    worker_answers,
    worker_command,
)
from advisory.config.machine.supervisor import Service, Supervisor

WORKERS = ("worker-1@production", "worker-2@production")
WEB_PROCESSES = 2


@dataclass(frozen=True)
class Production:
    """A production set that runs."""

    base_url: str
    broker: Broker
    supervisor: Supervisor
    clock: Path


def production_environment(
    outside: Mapping[str, str], *, data: Path, port: int, database: str, broker: str, mail: str
) -> dict[str, str]:
    """Return the environment of all its programs."""
    inside = {key: value for key, value in outside.items() if key not in OF_A_PRODUCTION_SET}
    return inside | {
        "DJANGO_SETTINGS_MODULE": "advisory.config.settings",
        "ADVISORY_DATA": str(data),
        "BASE_URL": f"http://{HOST}:{port}",
        "DATABASE_URL": database,
        "BROKER_URL": broker,
        "MAIL_URL": mail,
        "PYTHONUNBUFFERED": "1",
    }


def web_in_production(listener: socket.socket) -> Service:
    """Return gunicorn as README.md starts it, on a socket that is open already."""
    port: int = listener.getsockname()[1]
    command = [
        sys.executable, "-m", "gunicorn", "advisory.config.wsgi:application",
        "--config", "python:advisory.config.watch.serving", "--workers", str(WEB_PROCESSES),
        "--bind", f"fd://{listener.fileno()}",
    ]  # fmt: skip
    return Service(
        "web", command, lambda: web_answers(port, "/health/live/"), pass_fds=[listener.fileno()]
    )


def worker_in_production(broker_url: str, name: str) -> Service:
    """Return one worker."""
    return Service(
        name.partition("@")[0], worker_command(name), lambda: worker_answers(broker_url, name)
    )


def clock_in_production(schedule: Path) -> Service:
    """Return the clock; its schedule tells when it started what last, and gives it its name."""
    command = [
        *CELERY, "beat", "--schedule", str(schedule), "--loglevel", "INFO",
        "--pidfile", f"{schedule}.pid",
    ]  # fmt: skip
    return Service(schedule.name, command, lambda: any(schedule.parent.glob(f"{schedule.name}*")))


@contextmanager
def running_production(
    data: Path,
    *,
    database: str,
    mail: str,
    before_the_clock: Callable[[Path], None] = lambda schedule: None,
    **environ: str,
) -> Iterator[Production]:
    """Give a whole production set that answers; all of it is gone afterwards."""
    listener = listen(0)
    schedule = data / "clock"
    data.mkdir(parents=True, exist_ok=True)
    with listener, running_broker() as broker:
        port = listener.getsockname()[1]
        inside = production_environment(
            os.environ, data=data, port=port, database=database, broker=broker.url, mail=mail
        )
        inside |= environ
        with Supervisor(data / "logs", say=print, environ=inside) as supervisor:
            supervisor.start(
                web_in_production(listener),
                *(worker_in_production(broker.url, name) for name in WORKERS),
            )
            before_the_clock(schedule)
            supervisor.start(clock_in_production(schedule))
            yield Production(f"http://{HOST}:{port}", broker, supervisor, schedule)
