"""A mail server of our own, in this process, that keeps what it is given and fails when told to."""

import email
import socket
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session


class Sink:
    """Keeps the mails by Message-ID; `refuse` holds replies to RCPT, by address."""

    def __init__(self) -> None:
        self.taken: Counter[str] = Counter()
        self.bodies: dict[str, str] = {}
        self.refuse: dict[str, str] = {}
        # breaks the connection after it took so many mails, before it says so; once each
        self.break_after: list[int] = []

    async def handle_RCPT(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if address in self.refuse:
            return self.refuse[address]
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:  # noqa: N802
        message = email.message_from_bytes(envelope.content)
        self.taken[message["Message-ID"]] += 1
        self.bodies[message["Message-ID"]] = str(message["Subject"])
        if self.break_after and sum(self.taken.values()) >= self.break_after[0]:
            self.break_after.pop(0)
            server.transport.abort()
        return "250 Taken"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def running_sink(port: int = 0) -> Iterator[tuple[Sink, int]]:
    sink = Sink()
    port = port or free_port()
    controller = Controller(sink, hostname="127.0.0.1", port=port)
    controller.start()
    try:
        yield sink, port
    finally:
        controller.stop()
