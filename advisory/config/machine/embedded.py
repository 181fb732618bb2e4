"""The environment of the demo: everything on this machine, nothing of a production set."""

import fcntl
import os
import socket
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

HOST = "127.0.0.1"
# Browsers take passkeys for a name, not for a number.
NAME = "localhost"
FIRST_PORT = 8000
MARK = "ADVISORY_DEMO"
OF_A_PRODUCTION_SET = (
    "DATABASE_URL", "MAIL_URL", "MAIL_FROM", "SECRET_KEY", "ALLOWED_HOSTS", "DEBUG",
    "BEHIND_PROXY", "SSL_REDIRECT", "METRICS_TOKEN", "METRICS_LOOPBACK",
)  # fmt: skip


class InUse(Exception):
    """Another process works with the folder; the message is the note that it left."""


def demo_environment(
    outside: Mapping[str, str], *, data: Path, port: int, broker_url: str
) -> dict[str, str]:
    """Return the environment that the demo's services and steps run in."""
    inside = {key: value for key, value in outside.items() if key not in OF_A_PRODUCTION_SET}
    return inside | {
        MARK: "1",
        "ADVISORY_DATA": str(data),
        "BASE_URL": f"http://{NAME}:{port}",
        "BROKER_URL": broker_url,
        # A child's output goes to a file: write it as it comes.
        "PYTHONUNBUFFERED": "1",
    }


def listen(port: int) -> socket.socket:
    """Open the port, or where it is taken any free one."""
    for number in (port, 0):
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((HOST, number))
        except OSError:
            listener.close()
            if number == 0:
                raise
            continue
        listener.listen(128)
        break
    return listener


@contextmanager
def only_one(folder: Path, note: str) -> Iterator[None]:
    """Work with the data folder alone; InUse tells what the other one noted."""
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "in-use").open("a+") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            file.seek(0)
            raise InUse(file.read().strip()) from None
        file.truncate(0)
        file.write(f"{note}, process {os.getpid()}\n")
        file.flush()
        yield
        file.truncate(0)
