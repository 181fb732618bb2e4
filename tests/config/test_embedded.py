"""The demo's environment: its own folder, its own port, nothing of a production set."""

import socket
import subprocess
import sys
from pathlib import Path

import pytest

from advisory.config.machine import ROOT
from advisory.config.machine.embedded import InUse, demo_environment, listen, only_one
from advisory.config.machine.run_folder import remove_left_behind, run_folder

pytestmark = pytest.mark.one_database

HOLDER = """
import sys
from pathlib import Path
from advisory.config.machine.embedded import only_one
with only_one(Path(sys.argv[1]), "a demo"):
    print("ready", flush=True)
    sys.stdin.read()
"""


def test_production_set_is_left_out() -> None:
    outside = {
        "PATH": "/bin",
        "DATABASE_URL": "postgresql://db.example/advisory",
        "BROKER_URL": "redis://broker.example",
        "MAIL_URL": "smtp://mail.example",
        "SECRET_KEY": "the production key",
        "BASE_URL": "https://advisory.example",
    }
    inside = demo_environment(
        outside, data=Path("/data/demo"), port=8123, broker_url="redis+socket:///run/broker.sock"
    )
    assert inside["PATH"] == "/bin"
    assert inside["ADVISORY_DATA"] == "/data/demo"
    assert inside["BASE_URL"] == "http://localhost:8123"
    assert not [value for value in inside.values() if "example" in value or "production" in value]


def test_port_that_is_taken_gives_way_to_a_free_one() -> None:
    with listen(0) as first:
        port = first.getsockname()[1]
        with listen(port) as second:
            assert second.getsockname()[1] not in {0, port}
            assert second.getsockname()[0] == "127.0.0.1"
    with listen(port) as third:
        assert third.getsockname()[1] == port


def test_port_can_be_taken_again_at_once() -> None:
    with listen(0) as listener:
        port = listener.getsockname()[1]
        with socket.create_connection(("127.0.0.1", port)):
            served, _address = listener.accept()
            served.close()
    with listen(port) as again:
        assert again.getsockname()[1] == port


def test_second_one_in_the_folder_is_told_of_the_first(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(tmp_path)],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "ready\n"
        with pytest.raises(InUse, match=f"a demo, process {holder.pid}"), only_one(tmp_path, "me"):
            pass
        holder.kill()
        holder.wait()
    with only_one(tmp_path, "me"):
        assert "me, process" in (tmp_path / "in-use").read_text()


def test_folder_of_a_killed_run_is_removed_and_that_of_a_living_one_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("advisory.config.machine.run_folder.root_folder", lambda: tmp_path)
    monkeypatch.setattr("advisory.config.machine.run_folder.SETTLED_AFTER", -1.0)
    left = tmp_path / "advisory-demo-abc.run"
    (left / "inner").mkdir(parents=True)
    other = tmp_path / "somebody-elses.run"
    other.mkdir()
    with run_folder("living") as living:
        assert not left.exists()
        remove_left_behind(tmp_path)
        assert living.exists()
    assert not living.exists()
    assert other.exists()
