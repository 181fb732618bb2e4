"""Posting a message: to a machine that was looked at, once, without following it elsewhere."""

import http.client
import socket
import ssl
import threading
from collections.abc import Mapping
from contextlib import suppress

from django.utils.translation import gettext as _

from advisory.notices.webhooks.addresses import NotReached, Target

# For each answer of the other side, and for all of them together.
SECONDS_AN_ANSWER = 5.0
SECONDS_IN_ALL = 10.0


class _Pinned(http.client.HTTPConnection):
    """A connection to one machine, which must prove the name that it answers for."""

    def __init__(self, target: Target, machine: str) -> None:
        super().__init__(target.host, target.port, timeout=SECONDS_AN_ANSWER)
        self._target, self._machine = target, machine

    def connect(self) -> None:
        """Go to the machine that was looked at, and ask nobody for the name again."""
        self.sock = socket.create_connection((self._machine, self.port), self.timeout)
        if self._target.scheme == "https":
            self.sock = ssl.create_default_context().wrap_socket(
                self.sock, server_hostname=self._target.host, do_handshake_on_connect=False
            )
            self.sock.do_handshake()

    def cut(self) -> None:
        """End it from another thread, whatever it waits for."""
        if (sock := self.sock) is not None:
            with suppress(OSError):
                socket.socket.shutdown(sock, socket.SHUT_RDWR)


def post(target: Target, body: bytes, headers: Mapping[str, str]) -> int:
    """Post `body` and return the status that came back; what else is said is not read.

    Raises
    ------
    NotReached
        If nothing, or nothing that can be read, came back in time.
    """
    unreached: OSError | None = None
    for machine in target.machines[:3]:
        connection = _Pinned(target, machine)
        watch = threading.Timer(SECONDS_IN_ALL, connection.cut)
        watch.daemon = True
        watch.start()
        try:
            try:
                connection.connect()
            except ssl.SSLError as error:
                raise NotReached(
                    _("Its certificate doesn't hold: %(why)s") % {"why": error.reason or error}
                ) from error
            except OSError as error:
                unreached = error
                continue
            return _status(connection, target, body, headers)
        finally:
            watch.cancel()
            connection.close()
    why = unreached and (unreached.strerror or unreached)
    raise NotReached(_("It can't be reached: %(why)s") % {"why": why}) from unreached


def _status(connection: _Pinned, target: Target, body: bytes, headers: Mapping[str, str]) -> int:
    try:
        connection.request("POST", target.path, body, {**headers, "Host": target.host_header})
        return connection.getresponse().status
    except TimeoutError as error:
        raise NotReached(
            _("It did not answer within %(n)d seconds.") % {"n": int(SECONDS_AN_ANSWER)}
        ) from error
    except (http.client.HTTPException, OSError) as error:
        raise NotReached(_("It broke off before it answered.")) from error
