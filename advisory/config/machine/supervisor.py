"""One process that starts the others, starts again what dies, and stops all of them together."""

import subprocess
import time
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from typing import Self

from advisory.config.machine import child

BETWEEN_TWO_LOOKS = 0.2
MOST_RESTARTS = 3
WITHIN_SECONDS = 60.0
LINES_OF_LOG_SHOWN = 15


@dataclass(frozen=True)
class Service:
    """One program: how to start it, and how to see that it answers."""

    name: str
    command: Sequence[str]
    answers: Callable[[], bool]
    pass_fds: Sequence[int] = ()
    seconds_to_answer: float = 120


class ServiceFailed(Exception):
    """A service doesn't start, or dies again and again; the message shows the end of its log."""


@dataclass
class _Running:
    """A service with its process, and when it was started again."""

    service: Service
    process: subprocess.Popen[bytes]
    restarts: deque[float] = field(default_factory=deque)


class Supervisor:
    """Runs services, started in their order; as a context it leaves nothing behind."""

    def __init__(
        self,
        logs: Path,
        *,
        say: Callable[[str], None],
        environ: Mapping[str, str] | None = None,
        grace: float = 10,
    ) -> None:
        self.logs = logs
        self.environ = environ
        self.say = say
        self.grace = grace
        self._running: list[_Running] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        with child.uninterrupted():
            self.stop()

    def log_of(self, service: Service) -> Path:
        """Return the file that the service's output goes to."""
        return self.logs / f"{service.name}.log"

    def start(self, *services: Service) -> None:
        """Start services together and wait until each answers."""
        starting = []
        for service in services:
            starting.append(_Running(service, self._spawn(service)))
            self._running.append(starting[-1])
        for running in starting:
            self._wait_for(running)

    def watch(self) -> None:
        """Start again what dies, until interrupted; raise ServiceFailed where that is no help."""
        while True:
            for running in self._running:
                if running.process.poll() is not None:
                    self._start_again(running)
            time.sleep(BETWEEN_TWO_LOOKS)  # noqa: TID251

    def stop(self) -> None:
        """Stop all services, last started first."""
        while self._running:
            child.stop(self._running[-1].process, grace=self.grace)
            self._running.pop()

    def _spawn(self, service: Service) -> subprocess.Popen[bytes]:
        return child.start(
            service.command,
            log=self.log_of(service),
            environ=self.environ,
            pass_fds=service.pass_fds,
        )

    def _wait_for(self, running: _Running) -> None:
        service = running.service
        deadline = time.monotonic() + service.seconds_to_answer
        while not service.answers():
            if running.process.poll() is not None:
                raise ServiceFailed(self._last_words(running, "did not start"))
            if time.monotonic() > deadline:
                raise ServiceFailed(
                    self._last_words(running, f"gave no answer in {service.seconds_to_answer:g} s")
                )
            time.sleep(BETWEEN_TWO_LOOKS / 2)  # noqa: TID251

    def _start_again(self, running: _Running) -> None:
        now = time.monotonic()
        while running.restarts and now - running.restarts[0] > WITHIN_SECONDS:
            running.restarts.popleft()
        if len(running.restarts) >= MOST_RESTARTS:
            raise ServiceFailed(
                self._last_words(running, f"died {MOST_RESTARTS + 1} times within a minute")
            )
        running.restarts.append(now)
        self.say(
            f"The {running.service.name} died ({_ending(running.process)}); starting it again "
            f"({len(running.restarts)} of at most {MOST_RESTARTS} a minute)."
        )
        running.process = self._spawn(running.service)

    def _last_words(self, running: _Running, what: str) -> str:
        log = self.log_of(running.service)
        lines = log.read_text(errors="replace").splitlines()[-LINES_OF_LOG_SHOWN:]
        return f"The {running.service.name} {what}. The end of {log}:\n" + "\n".join(
            f"    {line}" for line in lines
        )


def _ending(process: subprocess.Popen[bytes]) -> str:
    """Say how a process ended."""
    code = process.returncode
    return f"signal {-code}" if code < 0 else f"exit {code}"
