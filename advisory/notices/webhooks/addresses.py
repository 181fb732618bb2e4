"""Where a message may go: http or https, and from production never into the net around us.

Who chooses an address could make the service knock at doors that only it can reach (server-side
request forgery). A name is resolved once, all that it resolves to is looked at, and the connection
goes to one of these very addresses: a name that answers differently the next time gains nothing.
"""

import ipaddress
import re
import socket
from dataclasses import dataclass
from urllib.parse import SplitResult, urlsplit

from django.conf import settings
from django.utils.translation import gettext as _

from advisory.common.errors import Refused
from advisory.notices.models.webhooks import LONGEST_ADDRESS

PORTS = {"http": 80, "https": 443}
# RFC 6052: an IPv4 address behind a translator.
BEHIND_A_TRANSLATOR = ipaddress.ip_network("64:ff9b::/96")
HERE = re.compile(r"(^|\.)(localhost|local|internal|lan|home\.arpa)\.?$")


class NotReached(Exception):
    """It could not be told; the words say why."""


@dataclass(frozen=True)
class Target:
    """An address taken apart, and the addresses of the machines that answer for it."""

    scheme: str
    host: str
    port: int
    path: str
    machines: tuple[str, ...]

    @property
    def host_header(self) -> str:
        """The name as it stands in a request."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return host if self.port == PORTS[self.scheme] else f"{host}:{self.port}"


def checked_address(typed: str) -> str:
    """Return an address as it is kept, without asking anybody where it leads.

    Raises
    ------
    Refused
        The message says what to write instead.
    """
    typed = typed.strip()
    if len(typed) > LONGEST_ADDRESS:
        raise Refused(
            _("Write an address of at most %(n)d signs.") % {"n": LONGEST_ADDRESS}, field="url"
        )
    if not re.fullmatch(r"[!-~]+", typed):
        raise Refused(
            _("Copy the whole address from your system, without blanks: https://…"), field="url"
        )
    parts = _parts(typed)
    if parts is None:
        raise Refused(
            _("Write the whole address, beginning with https:// (or http://)."), field="url"
        )
    if parts.username or parts.password:
        raise Refused(
            _("Leave name and password out of it: each message is signed with the secret."),
            field="url",
        )
    if parts.fragment:
        raise Refused(_("Leave out what stands behind the # sign."), field="url")
    if not settings.WEBHOOKS_TO_INSIDE and _is_plainly_inside(parts.hostname or ""):
        raise Refused(
            _("That address leads into this service's own net. Write one of the open net."),
            field="url",
        )
    return typed


def resolved(url: str) -> Target:
    """Return where an address leads now.

    Raises
    ------
    NotReached
        If nobody answers for its name, or somebody to whom nothing is sent.
    """
    parts = _parts(url)
    if parts is None or parts.hostname is None:
        raise NotReached(_("The address is none. Enter it again."))
    port = parts.port or PORTS[parts.scheme]
    machines = _machines(parts.hostname, port)
    if not settings.WEBHOOKS_TO_INSIDE and not all(is_outside(machine) for machine in machines):
        raise NotReached(_("The name leads into this service's own net; nothing was sent there."))
    path = parts.path or "/"
    return Target(
        scheme=parts.scheme,
        host=parts.hostname,
        port=port,
        path=f"{path}?{parts.query}" if parts.query else path,
        machines=machines,
    )


def is_outside(machine: str) -> bool:
    """Say whether an address belongs to the open net, whatever it is wrapped in."""
    address = ipaddress.ip_address(machine.split("%", maxsplit=1)[0])
    if isinstance(address, ipaddress.IPv6Address):
        inner = address.ipv4_mapped or address.sixtofour
        if address.teredo is not None:
            inner = address.teredo[1]
        if address in BEHIND_A_TRANSLATOR:
            inner = ipaddress.IPv4Address(address.packed[-4:])
        if inner is not None:
            address = inner
    return address.is_global and not address.is_multicast and not address.is_reserved


def _parts(url: str) -> SplitResult | None:
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError:
        return None
    if parts.scheme not in PORTS or not parts.hostname or port == 0:
        return None
    return parts


def _is_plainly_inside(host: str) -> bool:
    """Say so of what can be told without asking; names are asked for when something is sent."""
    try:
        return not is_outside(host)
    except ValueError:
        return bool(HERE.search(host))


def _machines(host: str, port: int) -> tuple[str, ...]:
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise NotReached(_("Nobody answers for the name %(host)s.") % {"host": host}) from error
    return tuple(dict.fromkeys(str(address[0]) for *_what, address in found))
