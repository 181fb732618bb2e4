"""What holds for every test holds: no other machine is reached."""

import socket
import urllib.request

import pytest

from tests.guards import NetworkTouched

pytestmark = pytest.mark.one_database


@pytest.mark.parametrize("address", [("192.0.2.1", 80), ("2001:db8::1", 80), ("a.example", 80)])
def test_connection_to_another_machine_is_refused(address: tuple[str, int]) -> None:
    family = socket.AF_INET6 if ":" in address[0] else socket.AF_INET
    with socket.socket(family) as connection:
        with pytest.raises(NetworkTouched):
            connection.connect(address)
        with pytest.raises(NetworkTouched):
            connection.connect_ex(address)


def test_name_of_another_machine_is_not_looked_up() -> None:
    with pytest.raises(NetworkTouched):
        urllib.request.urlopen("http://a.example/")


def test_this_machine_is_reached() -> None:
    with (
        socket.create_server(("127.0.0.1", 0)) as server,
        socket.create_connection(server.getsockname()) as connection,
    ):
        assert connection.getpeername() == server.getsockname()
