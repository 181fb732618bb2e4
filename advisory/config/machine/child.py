"""Starting and stopping programs that never outlive the process that started them."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

from advisory.config.machine import ROOT

TIED = Path(__file__).with_name("tied.py")


def start(
    command: Sequence[str],
    *,
    log: Path | int | None = None,
    environ: Mapping[str, str] | None = None,
    user: int | None = None,
    death_signal: signal.Signals = signal.SIGKILL,
    pass_fds: Sequence[int] = (),
    own_session: bool = True,
) -> subprocess.Popen[bytes]:
    """Start a program tied to this process; in its own session, so that Ctrl-C is ours to pass on.

    `log` is a file to append to, or what `subprocess` takes (None: the output of this process).
    Call it from the main thread: the kernel ties the program to the thread that started it.
    """
    tied = [sys.executable, "-I", "-S", str(TIED), str(os.getpid()), str(death_signal.value)]
    tied += ["-" if user is None else str(user), *command]
    stdin = subprocess.DEVNULL if own_session else None
    descriptor: int | None
    if isinstance(log, Path):
        log.parent.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(log, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    else:
        descriptor = log
    try:
        return subprocess.Popen(
            tied,
            cwd=ROOT if user is None else "/",
            env=None if environ is None else dict(environ),
            stdin=stdin,
            stdout=descriptor,
            stderr=None if log is None else subprocess.STDOUT,
            pass_fds=pass_fds,
            start_new_session=own_session,
        )
    finally:
        if isinstance(log, Path) and descriptor is not None:
            os.close(descriptor)


def stop(
    process: subprocess.Popen[bytes],
    *,
    ask: signal.Signals = signal.SIGTERM,
    grace: float = 10,
) -> None:
    """Ask a program of its own session to end; after the grace end it and its children."""
    if process.poll() is not None:
        return
    process.send_signal(ask)
    try:
        process.wait(grace)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()


@contextmanager
def stoppable() -> Iterator[None]:
    """Raise KeyboardInterrupt for SIGTERM and a closed terminal too, so that all is tidied up."""

    def interrupt(_number: int, _frame: object) -> None:
        raise KeyboardInterrupt

    numbers = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    before = {number: signal.signal(number, interrupt) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


@contextmanager
def uninterrupted() -> Iterator[None]:
    """Let tidying up go to its end whatever key is pressed: it is short and bounded."""
    numbers = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    before = {number: signal.signal(number, signal.SIG_IGN) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
