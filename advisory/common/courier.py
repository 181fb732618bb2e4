"""The process that speaks with the mail server, started by ``smtp.py`` for each connection.

It outlives the worker that it works for by the letter in its hands: a worker killed while the mail
server takes a letter would leave nobody who heard the yes. Here it is heard, and noted at once in
the file that came along with the letter. Only the standard library, so that it starts quickly.
"""

import os
import signal
import smtplib
import socket
import ssl
import sys
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Any


def main(descriptor: int) -> None:
    """Do what is asked over the line, one thing after another, until the other end is gone."""
    for each in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP, signal.SIGQUIT):
        signal.signal(each, signal.SIG_IGN)  # it ends with its worker, and after the letter
    server: smtplib.SMTP | None = None
    with Connection(descriptor) as line, suppress(EOFError, OSError):
        while True:
            name, args, mark = line.recv()
            note = None if mark is None else _noted_in(descriptor)
            try:
                if name == "connect":
                    server = _connected(*args)
                else:
                    _do(server, name, args)
                if note is not None:
                    with suppress(OSError):  # a disk that is full makes no no of a yes
                        os.pwrite(note, mark, 0)
                said: Exception | None = None
            except Exception as error:  # noqa: BLE001  # goes to who asked
                said = error
            finally:
                if note is not None:
                    os.close(note)
            line.send(said)


def _noted_in(descriptor: int) -> int:
    """Take the open file that comes after a letter; its lock holds as long as it is open here."""
    with socket.fromfd(descriptor, socket.AF_UNIX, socket.SOCK_STREAM) as line:
        _word, files, _flags, _address = socket.recv_fds(line, 1, 1)
    if not files:
        raise EOFError
    return files[0]


def _connected(host: str, port: int, over_tls: bool, options: dict[str, Any]) -> smtplib.SMTP:
    if over_tls:
        return smtplib.SMTP_SSL(host, port, context=ssl.create_default_context(), **options)
    return smtplib.SMTP(host, port, **options)


def _do(server: smtplib.SMTP | None, name: str, args: tuple[Any, ...]) -> None:
    if server is None:
        raise smtplib.SMTPServerDisconnected("There is no connection to the mail server.")
    if name == "starttls":
        server.starttls(context=ssl.create_default_context())
    elif name == "login":
        server.login(*args)
    elif name == "sendmail":
        server.sendmail(*args)
    elif name == "quit":
        server.quit()
    else:
        raise ValueError(name)


if __name__ == "__main__":
    main(int(sys.argv[1]))
