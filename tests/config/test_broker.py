"""The embedded broker."""

import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from advisory.config.machine import ROOT
from advisory.config.machine.broker import Broker, running_broker
from advisory.config.machine.waiting import wait_until

pytestmark = pytest.mark.one_database

HOLDER = """
import sys
from advisory.config.machine.broker import running_broker
with running_broker() as broker:
    print(broker.socket, flush=True)
    sys.stdin.read()
"""


def can_connect(path: Path) -> bool:
    with socket.socket(socket.AF_UNIX) as connection:
        try:
            connection.connect(str(path))
        except OSError:
            return False
        return True


def test_broker_answers_while_it_runs_and_is_gone_afterwards() -> None:
    with running_broker() as broker:
        assert broker.answers()
        assert broker.url == f"redis+socket://{broker.socket}"
    assert not broker.answers()
    assert not broker.folder.exists()


def test_socket_has_a_path_short_enough_for_the_kernel(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    long = tmp_path / ("x" * 90)
    long.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(long))
    with running_broker() as broker:
        assert len(str(broker.socket)) < 107
        assert broker.answers()


def test_nobody_else_reaches_the_socket() -> None:
    with running_broker() as broker:
        assert broker.folder.stat().st_mode & 0o077 == 0
        assert broker.socket.stat().st_mode & 0o077 == 0


def test_broker_ends_with_a_starter_that_is_killed() -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as holder:
        assert holder.stdout is not None
        path = Path(holder.stdout.readline().strip())
        assert can_connect(path)
        holder.send_signal(signal.SIGKILL)
        holder.wait()
        wait_until(lambda: not can_connect(path), seconds=10, what="The broker's end")


def test_answers_is_no_where_nothing_listens(tmp_path: Path) -> None:
    assert not Broker(tmp_path).answers()
