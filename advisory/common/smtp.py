"""Mail over SMTP whose yes is heard also where the process that sends is killed meanwhile.

Django's own backend, but the connection lies in a process of its own (``courier.py``). A letter may
bear a receipt: an open file in which that process notes the mail server's yes.
"""

import smtplib
import socket
import subprocess
import sys
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, NamedTuple

from django.core.exceptions import ImproperlyConfigured
from django.core.mail import EmailMessage, EmailMultiAlternatives
from django.core.mail.backends.smtp import EmailBackend

COURIER = Path(__file__).with_name("courier.py")
SECONDS_TO_END = 5.0


class Receipt(NamedTuple):
    """Where a yes is noted: `mark` is written over the beginning of an open file."""

    descriptor: int
    mark: bytes


class ReceiptedMessage(EmailMultiAlternatives):
    """A message that may bear a receipt."""

    receipt: Receipt | None = None


class CourierBackend(EmailBackend):
    """Django's SMTP backend, speaking through a courier; without a certificate of one's own.

    Raises
    ------
    ImproperlyConfigured
        Where EMAIL_SSL_CERTFILE or EMAIL_SSL_KEYFILE is set.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.ssl_certfile or self.ssl_keyfile:
            raise ImproperlyConfigured("Mail is sent without a certificate of one's own.")

    connection: "Courier | None"  # type: ignore[assignment]  # stands in for smtplib's

    @property
    def connection_class(self) -> Any:
        """Give what stands in for smtplib's class."""
        return TlsCourier if self.use_ssl else Courier

    ssl_context = None  # type: ignore[assignment]  # the courier makes it, where it is needed

    def _send(self, email_message: EmailMessage) -> bool:
        if self.connection is not None:
            self.connection.receipt = getattr(email_message, "receipt", None)
        return super()._send(email_message)  # type: ignore[misc,no-any-return]


class Courier:
    """A connection to a mail server in another process, with the methods of smtplib that we use.

    Raises
    ------
    OSError, smtplib.SMTPException
        As smtplib does; `SMTPServerDisconnected` also where the courier itself is gone.
    """

    over_tls = False
    receipt: Receipt | None = None

    def __init__(self, host: str, port: int, *, context: None = None, **options: Any) -> None:
        ours, theirs = socket.socketpair()
        with ours, theirs:
            self._process = subprocess.Popen(
                [sys.executable, "-I", "-S", str(COURIER), str(theirs.fileno())],
                pass_fds=[theirs.fileno()],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                start_new_session=True,  # what ends the group of the worker does not end it
            )
            self._line = Connection(ours.detach())
        try:
            self._ask("connect", host, port, self.over_tls, options)
        except BaseException:
            self.close()
            raise

    def starttls(self, *, context: None = None) -> None:
        """Go on in TLS, with a server whose certificate is good."""
        self._ask("starttls")

    def login(self, user: str, password: str) -> None:
        """Say who we are."""
        self._ask("login", user, password)

    def sendmail(self, sender: str, recipients: list[str], message: bytes) -> None:
        """Hand a message over, and its receipt with it."""
        receipt, self.receipt = self.receipt, None
        self._ask("sendmail", sender, recipients, message, receipt=receipt)

    def quit(self) -> None:
        """Take leave of the server."""
        try:
            self._ask("quit")
        finally:
            self.close()

    def close(self) -> None:
        """End the courier."""
        self._line.close()
        with suppress(subprocess.TimeoutExpired):
            self._process.wait(SECONDS_TO_END)

    def _ask(self, name: str, *args: Any, receipt: Receipt | None = None) -> None:
        if self._line.closed:
            raise smtplib.SMTPServerDisconnected("The connection to the mail server is closed.")
        try:
            self._line.send((name, args, receipt and receipt.mark))
            if receipt is not None:
                _pass_on(self._line, receipt.descriptor)
            said: Exception | None = self._line.recv()
        except BaseException as error:
            self._line.close()  # an answer that comes later is none to what is asked next
            if not isinstance(error, EOFError | OSError):
                raise
            raise smtplib.SMTPServerDisconnected(
                f"The process that speaks with the mail server ended ({error or 'no answer'})."
            ) from error
        try:
            if said is not None:
                raise said
        finally:
            del said  # it holds this frame, and with it the letter


class TlsCourier(Courier):
    """One that speaks TLS from the beginning."""

    over_tls = True


def _pass_on(line: Connection, descriptor: int) -> None:
    with socket.fromfd(line.fileno(), socket.AF_UNIX, socket.SOCK_STREAM) as way:
        socket.send_fds(way, [b"."], [descriptor])
