"""`manage.py demo` as a visitor starts it, whole."""

import os
import re
import signal
import sqlite3
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from advisory.config.demo import SIGN_INS
from advisory.config.machine import ROOT
from advisory.config.machine.embedded import listen
from advisory.config.machine.waiting import wait_until

pytestmark = [pytest.mark.one_database, pytest.mark.xdist_group("demo")]


def environ(data: Path) -> dict[str, str]:
    # What a production set would say must not reach the demo.
    outside = {"ADVISORY_DATA": str(data), "DATABASE_URL": "", "BROKER_URL": "redis://127.0.0.1:1"}
    return os.environ | outside | {"DJANGO_SETTINGS_MODULE": "advisory.config.settings"}


def demo(data: Path, *arguments: str) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "manage.py", "demo", *arguments],
        cwd=ROOT,
        env=environ(data),
        capture_output=True,
        text=True,
        check=False,
    )


def processes_of(data: Path) -> list[str]:
    """Return the command lines of what works with the data, by environment or by open files."""
    inside = f"{data}/demo"
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            environment = (folder / "environ").read_bytes().split(b"\0")
            files = [str(link.readlink()) for link in (folder / "fd").iterdir()]
            command = (folder / "cmdline").read_bytes().replace(b"\0", b" ").decode()
        except OSError:
            continue
        opened = any(file.startswith(inside) for file in files)
        if command and (opened or f"ADVISORY_DATA={inside}".encode() in environment):
            found.append(command)
    return found


@contextmanager
def serving(data: Path, *arguments: str) -> "Iterator[tuple[subprocess.Popen[str], list[str]]]":
    """Give a demo that serves, with what it said so far."""
    with subprocess.Popen(
        [sys.executable, "manage.py", "demo", *arguments],
        cwd=ROOT,
        env=environ(data),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    ) as process:
        assert process.stdout is not None
        said: list[str] = []
        for line in process.stdout:
            said.append(line)
            if "Ctrl-C" in line:
                break
        try:
            yield process, said
        finally:
            process.kill()


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("data")


@pytest.fixture(scope="module")
def first(data: Path) -> "subprocess.CompletedProcess[str]":
    """Run the demo for the first time, without serving."""
    done = demo(data, "--no-serve")
    assert done.returncode == 0, done.stdout + done.stderr
    return done


def test_without_serving_it_prints_what_is_due_and_ends(
    first: "subprocess.CompletedProcess[str]", data: Path
) -> None:
    assert first.stderr == ""
    assert first.stdout.count("Oil change") >= 12
    log = (data / "demo" / "log" / "worker.log").read_text()
    assert log.count("succeeded") >= 3
    assert "Traceback" not in log
    with closing(sqlite3.connect(data / "demo" / "advisory.sqlite3")) as kept:
        mails = dict(kept.execute("SELECT state, count(*) FROM notices_mail GROUP BY state"))
    sent = len(list((data / "demo" / "mail").glob("*")))
    assert sent == mails.get("sent", 0)
    # at night where the owners live, what is to be said waits for the morning
    assert mails
    assert set(mails) <= {"sent", "waiting", "held"}
    assert processes_of(data) == []


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGKILL])
def test_it_serves_until_stopped_and_leaves_nothing_running(
    first: "subprocess.CompletedProcess[str]", data: Path, number: signal.Signals
) -> None:
    with listen(0) as taken:
        port = taken.getsockname()[1]
        with serving(data, "--port", str(port)) as (process, said):
            text = "".join(said)
            assert f"Port {port} is not free" in text
            assert "loading the demo scenario" not in text
            for role, email, password in SIGN_INS:
                assert any(role in line and email in line and password in line for line in said)
            assert str(data / "demo" / "mail") in text
            address = text.partition("The demo is at")[2].split()[0]
            with urllib.request.urlopen(address, timeout=30) as answer:
                page = answer.read().decode()
            assert answer.status == 200
            assert "<!doctype html>" in page.lower()
            for kind, expected in (("stylesheet", "text/css"), ("icon", "image/svg+xml")):
                (path,) = re.findall(rf'<link rel="{kind}" href="([^"]+)"', page)
                with urllib.request.urlopen(address + path, timeout=30) as answer:
                    assert answer.headers["Content-Type"].startswith(expected)
            running = processes_of(data)
            for name in ("valkey-server", "celery", "beat", "gunicorn"):
                assert any(name in command for command in running), running
            assert demo(data, "--no-serve").returncode == 1  # one at a time
            process.send_signal(number)
            process.wait(timeout=30)
            if number != signal.SIGKILL:
                assert process.returncode == 0
                assert process.stdout is not None
                assert "nothing is left running" in process.stdout.read()
    wait_until(lambda: processes_of(data) == [], seconds=10, what="The end of all services")


@pytest.mark.parametrize("port", ["0", "70000", "-1", "http"])
def test_bad_port_is_refused_with_what_to_write(port: str) -> None:
    with pytest.raises(CommandError, match=r"is no port; write a number from 1 to 65535"):
        call_command("demo", f"--port={port}")


def test_steps_refuse_to_work_outside_the_demo(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "manage.py", "demo_step", "load"],
        cwd=ROOT,
        env=environ(tmp_path),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert "belongs to `manage.py demo`" in done.stderr
