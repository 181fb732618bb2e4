"""A mail server of our own, in this process, that keeps what it is given and fails when told to."""

import asyncio
import email
import logging
import socket
import threading
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

logging.getLogger("mail.log").setLevel(logging.WARNING)  # it tells of each line otherwise


class Sink:
    """Keeps the mails by Message-ID; `refuse` holds replies to RCPT, by address."""

    def __init__(self) -> None:
        self.taken: Counter[str] = Counter()
        self.bodies: dict[str, str] = {}
        self.refuse: dict[str, str] = {}
        # breaks the connection after it took so many mails, before it says so; once each
        self.break_after: list[int] = []
        # closed, no letter is taken: they stand in DATA, by Message-ID, until it is open
        self.gate = threading.Event()
        self.gate.set()
        self.let_through: set[str] = set()
        self.standing: set[str] = set()

    async def handle_RCPT(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if address in self.refuse:
            return self.refuse[address]
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def _pass_the_gate(self, message_id: str) -> None:
        self.standing.add(message_id)
        try:
            while not self.gate.is_set() and message_id not in self.let_through:
                await asyncio.sleep(0.005)
        finally:  # whoever is killed is gone from here
            self.standing.discard(message_id)

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:  # noqa: N802
        message = email.message_from_bytes(envelope.content)
        await self._pass_the_gate(message["Message-ID"])
        if server.transport is None or server.transport.is_closing():
            return "421 Gone"
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
