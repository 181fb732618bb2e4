"""What holds for every test: no network, an empty cache."""

import ipaddress
import socket
from collections.abc import Iterator
from typing import Any

import pytest
from django.core.cache import cache


class NetworkTouched(BaseException):
    """A test reached for another machine. Not an Exception, so that no code under test hides it."""


def _is_here(address: Any) -> bool:
    if not isinstance(address, tuple):
        return True  # a path: a unix socket
    host = str(address[0])
    if host in {"localhost", ""}:
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


@pytest.fixture(autouse=True, scope="session")
def no_network() -> Iterator[None]:
    """Refuse connections to anything but this machine."""
    with pytest.MonkeyPatch.context() as patch:
        for name in ("connect", "connect_ex"):
            original = getattr(socket.socket, name)

            def guarded(self: socket.socket, address: Any, _original: Any = original) -> Any:
                if not _is_here(address):
                    raise NetworkTouched(f"A test reached for {address!r}.")
                return _original(self, address)

            patch.setattr(socket.socket, name, guarded)
        resolve = socket.getaddrinfo

        def guarded_resolve(host: Any, *args: Any, **kwargs: Any) -> Any:
            if not _is_here((host or "", 0)):
                raise NetworkTouched(f"A test asked for the address of {host!r}.")
            return resolve(host, *args, **kwargs)

        patch.setattr(socket, "getaddrinfo", guarded_resolve)
        yield


@pytest.fixture(autouse=True)
def empty_cache() -> Iterator[None]:
    """Let no test see what another left in the cache: limits, sessions, answers."""
    yield
    cache.clear()
