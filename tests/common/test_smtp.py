"""The courier: what a mail server says is heard and noted, whoever is killed meanwhile."""

import fcntl
import os
import signal
import smtplib
import socket
import ssl
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, LoginPassword
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID
from django.core.exceptions import ImproperlyConfigured

from advisory.common.smtp import Courier, CourierBackend, Receipt, ReceiptedMessage
from advisory.config.machine.waiting import wait_until
from tests.notices.sink import Sink, free_port, running_sink
from tests.processes import couriers_of

MARK = b"+"
MESSAGE_ID = "<a1@advisory.example>"
# A process that hands one letter over, as a worker does: port, file of the receipt.
HANDS_OVER = """
import os, sys
from django.conf import settings
settings.configure(USE_I18N=False)
from advisory.common.smtp import CourierBackend, Receipt
from tests.common.test_smtp import letter, locked
backend = CourierBackend("127.0.0.1", int(sys.argv[1]), timeout=20)
backend.open()
message = letter()
message.receipt = Receipt(locked(sys.argv[2]), b"+")
backend.send_messages([message])
"""


def letter() -> ReceiptedMessage:
    return ReceiptedMessage(
        "Öl wechseln",
        "Dear Orla,\n.\nthe oil is due.",
        "advisory@example.com",
        ["orla@example.com"],
        headers={"Message-ID": MESSAGE_ID},
    )


def locked(path: str) -> int:
    descriptor = os.open(path, os.O_RDWR)
    fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    return descriptor


def is_free(path: Path) -> bool:
    try:
        os.close(locked(str(path)))
    except BlockingIOError:
        return False
    return True


@pytest.fixture
def note(tmp_path: Path) -> Path:
    path = tmp_path / "note"
    path.write_bytes(b"?{}")
    return path


@contextmanager
def backend_for(port: int, **options: Any) -> Iterator[CourierBackend]:
    backend = CourierBackend("127.0.0.1", port, **{"timeout": 20, **options})
    try:
        yield backend
    finally:
        backend.close()


# What it does like any other ----------------------------------------------------------------------


def test_letters_go_and_each_yes_is_noted(note: Path) -> None:
    with running_sink() as (sink, port), backend_for(port) as backend:
        message = letter()
        message.receipt = Receipt(locked(str(note)), MARK)
        assert backend.send_messages([message]) == 1
        assert note.read_bytes() == b"+{}"
        os.close(message.receipt.descriptor)
        backend.open()
        backend.send_messages([letter()])
        assert note.read_bytes() == b"+{}"
    assert sink.taken == {MESSAGE_ID: 2}
    assert sink.bodies[MESSAGE_ID].startswith("=?utf-8?")
    assert is_free(note)
    assert couriers_of(os.getpid()) == []


def test_a_no_comes_back_as_smtplib_says_it_and_is_not_noted(note: Path) -> None:
    with running_sink() as (sink, port), backend_for(port) as backend:
        sink.refuse["orla@example.com"] = "550 no such person here"
        message = letter()
        message.receipt = Receipt(locked(str(note)), MARK)
        backend.open()
        with pytest.raises(smtplib.SMTPRecipientsRefused) as refused:
            backend.send_messages([message])
        os.close(message.receipt.descriptor)
        assert refused.value.recipients == {"orla@example.com": (550, b"no such person here")}
        assert note.read_bytes() == b"?{}"
        assert is_free(note), "the courier holds it no longer"
        sink.refuse.clear()
        backend.send_messages([letter()])
    assert sink.taken == {MESSAGE_ID: 1}


def test_a_server_that_is_away_is_told_as_such() -> None:
    with pytest.raises(ConnectionRefusedError), backend_for(free_port()) as backend:
        backend.open()
    assert couriers_of(os.getpid()) == []


def test_a_silent_server_is_left_after_the_time_set() -> None:
    with socket.create_server(("127.0.0.1", 0)) as silent:
        port = silent.getsockname()[1]
        with (
            pytest.raises(smtplib.SMTPServerDisconnected, match="timed out"),
            backend_for(port, timeout=0.2) as backend,
        ):
            backend.open()
    assert couriers_of(os.getpid()) == []


def test_a_yes_that_cannot_be_noted_is_still_a_yes(note: Path) -> None:
    """A disk that is full, say: who sent is told of the yes, and marks it otherwise."""
    with running_sink() as (sink, port), backend_for(port) as backend:
        message = letter()
        message.receipt = Receipt(os.open(note, os.O_RDONLY), MARK)
        assert backend.send_messages([message]) == 1
        os.close(message.receipt.descriptor)
        assert note.read_bytes() == b"?{}"
    assert sink.taken == {MESSAGE_ID: 1}


def test_after_a_call_that_was_broken_off_no_answer_is_taken_for_another() -> None:
    with running_sink() as (sink, port):
        courier = Courier("127.0.0.1", port, timeout=20)
        sink.gate.clear()

        class BrokenOff(BaseException):
            """As an interrupt is."""

        def break_off() -> None:
            wait_until(lambda: bool(sink.standing), seconds=30, what="A letter at the gate")
            os.kill(os.getpid(), signal.SIGALRM)

        def on_alarm(_number: int, _frame: object) -> None:
            raise BrokenOff

        before = signal.signal(signal.SIGALRM, on_alarm)
        breaking = threading.Thread(target=break_off)
        breaking.start()
        try:
            with pytest.raises(BrokenOff):
                courier.sendmail("a@example.com", ["b@example.com"], letter().message().as_bytes())
        finally:
            signal.signal(signal.SIGALRM, before)
            breaking.join()
            sink.gate.set()
        with pytest.raises(smtplib.SMTPServerDisconnected, match="closed"):
            courier.sendmail("a@example.com", ["b@example.com"], b"x")
        courier.close()


def test_a_certificate_of_ones_own_is_refused_and_not_left_out() -> None:
    with pytest.raises(ImproperlyConfigured):
        CourierBackend("127.0.0.1", 25, ssl_certfile="mine.pem")


# Who is killed ------------------------------------------------------------------------------------


@pytest.fixture
def at_the_gate(note: Path) -> Iterator[tuple[Sink, "subprocess.Popen[bytes]"]]:
    """Give a server that has a letter before it and the process that hands it over."""
    with running_sink() as (sink, port):
        sink.gate.clear()
        command = [sys.executable, "-c", HANDS_OVER, str(port), str(note)]
        with subprocess.Popen(command, start_new_session=True) as worker:
            try:
                wait_until(lambda: bool(sink.standing), seconds=30, what="A letter at the gate")
                yield sink, worker
            finally:
                sink.gate.set()
                worker.kill()


@pytest.mark.parametrize("end", [os.kill, os.killpg], ids=["alone", "with its group"])
def test_killed_before_the_yes_its_courier_hears_and_notes_it(
    at_the_gate: tuple[Sink, "subprocess.Popen[bytes]"],
    note: Path,
    end: Callable[[int, signal.Signals], None],
) -> None:
    sink, worker = at_the_gate
    (courier,) = couriers_of(worker.pid)
    end(worker.pid, signal.SIGKILL)
    worker.wait()
    assert (sink.taken, note.read_bytes(), is_free(note)) == ({}, b"?{}", False)

    sink.gate.set()

    wait_until(lambda: is_free(note), seconds=10, what="The end of the courier's hold")
    assert (sink.taken, note.read_bytes()) == ({MESSAGE_ID: 1}, b"+{}")
    wait_until(lambda: not is_there(courier), seconds=10, what="The courier's end")


def is_there(pid: int) -> bool:
    return Path(f"/proc/{pid}").exists()


def test_asked_to_end_it_goes_on_to_the_end_of_its_worker(
    at_the_gate: tuple[Sink, "subprocess.Popen[bytes]"], note: Path
) -> None:
    """Who stops a service asks each of its processes to end; the letter goes on."""
    sink, worker = at_the_gate
    (courier,) = couriers_of(worker.pid)
    for each in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP, signal.SIGQUIT):
        os.kill(courier, each)
    sink.gate.set()

    assert worker.wait(10) == 0
    assert (sink.taken, note.read_bytes()) == ({MESSAGE_ID: 1}, b"+{}")


def test_killed_itself_it_is_a_lost_connection() -> None:
    with running_sink() as (sink, port), backend_for(port) as backend:
        backend.open()
        sink.gate.clear()

        def kill_it() -> None:
            wait_until(lambda: bool(sink.standing), seconds=30, what="A letter at the gate")
            (courier,) = couriers_of(os.getpid())
            os.kill(courier, signal.SIGKILL)

        killer = threading.Thread(target=kill_it)
        killer.start()
        with pytest.raises(smtplib.SMTPServerDisconnected, match="process"):
            backend.send_messages([letter()])
        killer.join()
        backend.close()
        assert couriers_of(os.getpid()) == []
        sink.gate.set()
        backend.send_messages([letter()])
        assert sink.taken == {MESSAGE_ID: 1}


def test_a_worker_that_dies_before_the_whole_letter_is_with_it_sends_nothing(note: Path) -> None:
    with running_sink() as (sink, port):
        courier = Courier("127.0.0.1", port, timeout=20)
        # the letter, but not yet the file in which its yes would be noted
        courier._line.send(("sendmail", ("a@example.com", ["b@example.com"], b"x"), MARK))
        courier.close()
        assert courier._process.returncode == 0
        assert sink.taken == {}


# TLS and passwords --------------------------------------------------------------------------------


class Certificate:
    """A certificate for an address that is its own authority."""

    def __init__(self, folder: Path, address: str = "127.0.0.1") -> None:
        key = ec.generate_private_key(ec.SECP256R1())
        name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "mail.example")])
        now = datetime.now(UTC)
        made = (
            x509.CertificateBuilder()
            .subject_name(name)
            .issuer_name(name)
            .public_key(key.public_key())
            .serial_number(x509.random_serial_number())
            .not_valid_before(now - timedelta(days=1))
            .not_valid_after(now + timedelta(days=1))
            .add_extension(
                x509.SubjectAlternativeName([x509.IPAddress(ip_address(address))]), False
            )
            .sign(key, hashes.SHA256())
        )
        self.path = folder / "certificate.pem"
        self.path.write_bytes(made.public_bytes(serialization.Encoding.PEM))
        key_path = folder / "key.pem"
        key_path.write_bytes(
            key.private_bytes(
                serialization.Encoding.PEM,
                serialization.PrivateFormat.PKCS8,
                serialization.NoEncryption(),
            )
        )
        self.context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
        self.context.load_cert_chain(self.path, key_path)


@pytest.fixture
def certificate(request: pytest.FixtureRequest, tmp_path: Path) -> Certificate:
    return Certificate(tmp_path, getattr(request, "param", "127.0.0.1"))


def knows(_server: Any, _session: Any, _envelope: Any, _way: str, said: Any) -> AuthResult:
    good = isinstance(said, LoginPassword) and said.password == b"white metal"
    return AuthResult(success=good, handled=False)


@contextmanager
def server_with(**options: Any) -> Iterator[tuple[Sink, int]]:
    sink, port = Sink(), free_port()
    controller = Controller(sink, hostname="127.0.0.1", port=port, **options)
    controller.start()
    try:
        yield sink, port
    finally:
        controller.stop()


@pytest.fixture(params=["from the beginning", "later"])
def over_tls(request: pytest.FixtureRequest, certificate: Certificate) -> Iterator[Any]:
    """Give a server that speaks TLS only, and what the backend is told of it."""
    if request.param == "later":
        server = {
            "tls_context": certificate.context,
            "require_starttls": True,
            "authenticator": knows,
            "auth_required": True,
        }
        with server_with(**server) as (sink, port):
            yield sink, port, {"use_tls": True, "username": "advisory", "password": "white metal"}
    else:
        with server_with(ssl_context=certificate.context) as (sink, port):
            yield sink, port, {"use_ssl": True}


def test_over_tls_to_a_server_whose_certificate_is_good(
    over_tls: Any, certificate: Certificate, monkeypatch: pytest.MonkeyPatch
) -> None:
    sink, port, options = over_tls
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate.path))
    with backend_for(port, **options) as backend:
        backend.send_messages([letter()])
    assert sink.taken == {MESSAGE_ID: 1}


def test_no_letter_to_a_server_whose_certificate_nobody_vouches_for(over_tls: Any) -> None:
    sink, port, options = over_tls
    with pytest.raises(ssl.SSLCertVerificationError), backend_for(port, **options) as backend:
        backend.send_messages([letter()])
    assert sink.taken == {}
    assert couriers_of(os.getpid()) == []


@pytest.mark.parametrize("certificate", ["127.0.0.2"], indirect=True)
def test_no_letter_to_a_server_whose_certificate_is_for_another(
    over_tls: Any, certificate: Certificate, monkeypatch: pytest.MonkeyPatch
) -> None:
    sink, port, options = over_tls
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate.path))
    with (
        pytest.raises(ssl.SSLCertVerificationError, match="not valid for"),
        backend_for(port, **options) as backend,
    ):
        backend.send_messages([letter()])
    assert sink.taken == {}


def test_a_wrong_password_is_told(
    certificate: Certificate, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate.path))
    server = {"tls_context": certificate.context, "authenticator": knows, "auth_required": True}
    options = {"use_tls": True, "username": "advisory", "password": "thin oil"}
    with (
        server_with(**server) as (_sink, port),
        pytest.raises(smtplib.SMTPAuthenticationError),
        backend_for(port, **options) as backend,
    ):
        backend.open()
    assert couriers_of(os.getpid()) == []
