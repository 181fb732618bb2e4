"""The services of the embedded set-up: broker, worker, clock and web server."""

import http.client
import socket
import sys
from pathlib import Path

from celery import Celery
from kombu.exceptions import OperationalError

from advisory.config.machine.broker import SECONDS_TO_ANSWER, Broker
from advisory.config.machine.supervisor import Service

CELERY = (sys.executable, "-m", "celery", "-A", "advisory.config")


def broker_service(broker: Broker) -> Service:
    """Return the broker as a service."""
    return Service("broker", broker.command, broker.answers, seconds_to_answer=SECONDS_TO_ANSWER)


def worker_answers(url: str, name: str) -> bool:
    """Whether the worker of that name answers through the broker at that address."""
    # An application of its own: this process may be set up for another broker, or for none.
    with Celery(broker=url, set_as_current=False) as asking:
        try:
            return bool(asking.control.ping(destination=[name], timeout=1.0))
        except OperationalError:
            return False


def worker_command(name: str, *, threads: int = 2) -> list[str]:
    """Return the command line of a worker whose jobs run in threads: no process outlives it."""
    return [
        *CELERY, "worker", "--pool", "threads", "--concurrency", str(threads), "--hostname", name,
        "--loglevel", "INFO", "--without-gossip", "--without-mingle",
    ]  # fmt: skip


def worker_service(url: str) -> Service:
    """Return the worker as a service; it reads the broker's address from the environment."""
    name = "worker@embedded"
    return Service("worker", worker_command(name), lambda: worker_answers(url, name))


def clock_service(folder: Path) -> Service:
    """Return the clock that starts jobs at their time.

    A process of its own: the clock inside a worker is a child of the worker, and would go on when
    that is killed.
    """
    schedule = folder / "clock"
    command = [*CELERY, "beat", "--schedule", str(schedule), "--loglevel", "INFO"]
    # It has no way of answering; its schedule is written once it has begun.
    return Service("clock", command, lambda: any(folder.glob("clock*")))


def web_answers(port: int, path: str = "/") -> bool:
    """Whether the web server gives any page but an error of its own."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        connection.request("GET", path)
        return connection.getresponse().status < http.client.INTERNAL_SERVER_ERROR
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()


def web_service(listener: socket.socket) -> Service:
    """Return the web server; the open socket is handed over, so that no other can take the port."""
    port: int = listener.getsockname()[1]
    command = [
        sys.executable, "-m", "gunicorn", "advisory.config.wsgi:application",
        "--config", "python:advisory.config.machine.web",
        "--bind", f"fd://{listener.fileno()}",
    ]  # fmt: skip
    return Service("web", command, lambda: web_answers(port), pass_fds=[listener.fileno()])
