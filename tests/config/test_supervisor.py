"""The supervisor: what it starts, starts again and stops, and what it never leaves behind."""

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from advisory.config.machine import ROOT
from advisory.config.machine.supervisor import (
    MOST_RESTARTS,
    Service,
    ServiceFailed,
    Supervisor,
)
from advisory.config.machine.waiting import wait_until

pytestmark = pytest.mark.one_database

# Notes its process id, has a child of its own, and ends when asked; `stubborn` won't be asked.
PROGRAM = """
import os, signal, subprocess, sys
if "stubborn" in sys.argv:
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    subprocess.Popen([sys.executable, "-c", "import signal; signal.pause()"])
with open(sys.argv[1], "a") as file:
    print(os.getpid(), file=file)
signal.pause()
"""
SUPERVISE = """
import sys
from pathlib import Path
from advisory.config.machine import child
from advisory.config.machine.supervisor import Service, Supervisor
folder = Path(sys.argv[1])
services = [
    Service(name, [sys.executable, "-c", sys.argv[2], str(folder / name)], (folder / name).exists)
    for name in ("one", "two")
]
try:
    with child.stoppable(), Supervisor(folder, say=print) as supervisor:
        for service in services:
            supervisor.start(service)
        print("ready", flush=True)
        supervisor.watch()
except KeyboardInterrupt:
    print("stopped", flush=True)
"""


def is_alive(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except FileNotFoundError:
        return False
    return state != "Z"


def pids(path: Path) -> list[int]:
    return [int(line) for line in path.read_text().split()]


def group_is_empty(group: int) -> bool:
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return True
    return False


def service(tmp_path: Path, name: str, *arguments: str) -> Service:
    noted = tmp_path / f"{name}.pids"
    command = [sys.executable, "-c", PROGRAM, str(noted), *arguments]
    return Service(name, command, noted.exists, seconds_to_answer=20)


def test_leaves_nothing_running(tmp_path: Path) -> None:
    with Supervisor(tmp_path, say=print) as supervisor:
        supervisor.start(service(tmp_path, "one"))
        supervisor.start(service(tmp_path, "two"))
        running = pids(tmp_path / "one.pids") + pids(tmp_path / "two.pids")
        assert all(map(is_alive, running))
    assert not any(map(is_alive, running))


def test_ends_what_will_not_be_asked_with_its_children(tmp_path: Path) -> None:
    with Supervisor(tmp_path, say=print, grace=0.2) as supervisor:
        supervisor.start(service(tmp_path, "deaf", "stubborn"))
        (pid,) = pids(tmp_path / "deaf.pids")
    wait_until(lambda: group_is_empty(pid), seconds=5, what="The end of the children")


def test_start_shows_the_log_of_what_does_not_start(tmp_path: Path) -> None:
    failing = Service("web", [sys.executable, "-c", "raise SystemExit('no port')"], lambda: False)
    with (
        Supervisor(tmp_path, say=print) as supervisor,
        pytest.raises(ServiceFailed, match=r"The web did not start(.|\n)*no port"),
    ):
        supervisor.start(failing)


def test_start_gives_up_on_what_never_answers(tmp_path: Path) -> None:
    silent = Service(
        "web",
        [sys.executable, "-c", "import signal; signal.pause()"],
        lambda: False,
        seconds_to_answer=0.3,
    )
    with (
        Supervisor(tmp_path, say=print) as supervisor,
        pytest.raises(ServiceFailed, match=r"gave no answer in 0\.3 s"),
    ):
        supervisor.start(silent)


def test_program_that_is_not_there_is_named(tmp_path: Path) -> None:
    with (
        Supervisor(tmp_path, say=print) as supervisor,
        pytest.raises(ServiceFailed, match="no-such-program: No such file"),
    ):
        supervisor.start(Service("web", ["no-such-program"], lambda: False))


def test_starts_again_what_dies_but_not_for_ever(tmp_path: Path) -> None:
    said: list[str] = []
    noted = tmp_path / "one.pids"

    def say(message: str) -> None:
        said.append(message)

    with Supervisor(tmp_path, say=say) as supervisor:
        supervisor.start(service(tmp_path, "one"))
        die = Service(
            "killer",
            [sys.executable, "-c", KILLER, str(noted), str(MOST_RESTARTS + 1)],
            lambda: True,
        )
        supervisor.start(die)
        with pytest.raises(ServiceFailed, match=r"The (one|killer) died 4 times within a minute"):
            supervisor.watch()
    of_one = [message for message in said if message.startswith("The one died (signal 9)")]
    assert len(of_one) == MOST_RESTARTS
    assert len(pids(noted)) == MOST_RESTARTS + 1


# Kills each process that the other one noted, as soon as it is noted; then stays.
KILLER = """
import os, signal, sys, threading
path, count = sys.argv[1], int(sys.argv[2])
done, pause = set(), threading.Event()
while len(done) < count:
    for pid in {int(line) for line in open(path)} - done:
        os.kill(pid, signal.SIGKILL)
        done.add(pid)
    pause.wait(0.02)
signal.pause()
"""


@pytest.fixture
def supervised(tmp_path: Path) -> Callable[[], "subprocess.Popen[str]"]:
    """Start a supervisor with two services in a process of its own, and wait until both answer."""

    def start() -> "subprocess.Popen[str]":
        process = subprocess.Popen(
            [sys.executable, "-c", SUPERVISE, str(tmp_path), PROGRAM],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        return process

    return start


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_stops_all_when_asked(
    supervised: Callable[[], "subprocess.Popen[str]"], tmp_path: Path, number: signal.Signals
) -> None:
    with supervised() as process:
        running = pids(tmp_path / "one") + pids(tmp_path / "two")
        process.send_signal(number)
        assert process.communicate(timeout=20)[0] == "stopped\n"
        assert process.returncode == 0
    assert not any(map(is_alive, running))


def test_leaves_nothing_running_when_killed(
    supervised: Callable[[], "subprocess.Popen[str]"], tmp_path: Path
) -> None:
    with supervised() as process:
        running = pids(tmp_path / "one") + pids(tmp_path / "two")
        assert all(map(is_alive, running))
        process.send_signal(signal.SIGKILL)
        process.wait()
    wait_until(lambda: not any(map(is_alive, running)), seconds=10, what="The services' end")
