"""`manage.py test`: everything that must hold, by one command."""

import argparse
import os
import re
import signal
import subprocess
import sys
import time
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from advisory.config.machine import browser, child
from advisory.config.machine.checks import Outcome, run_checks
from advisory.config.machine.postgres import NoPostgres, running_postgres
from advisory.config.machine.run_folder import run_folder

DESCRIPTION = """\
Without arguments: style, types, layers, templates, migrations, settings and the API's schema, then
all tests on SQLite, then again on PostgreSQL those that depend on the database.
With arguments, which go to pytest: only those tests, on SQLite unless --database says otherwise."""
SECONDS_FOR_PYTEST_TO_END = 30
COLOR = re.compile(r"\x1b\[[0-9;]*m")


def passes_for(database: str | None, arguments: list[str]) -> list[str]:
    """Return the databases to test on, in order."""
    if database is None:
        database = "sqlite" if arguments else "both"
    return ["sqlite", "postgresql"] if database == "both" else [database]


class Command(BaseCommand):
    """Check, test, and say clearly how it went."""

    help = DESCRIPTION
    requires_system_checks = []

    def run_from_argv(self, argv: list[str]) -> None:
        """Take what is ours from the command line and leave the rest to pytest.

        Django's own way would refuse pytest's options, and take `-v` and `-h` for its own.
        """
        parser = argparse.ArgumentParser(
            prog="manage.py test",
            usage="%(prog)s [--database sqlite|postgresql|both] [pytest arguments]",
            description=DESCRIPTION,
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        parser.add_argument("--database", choices=["sqlite", "postgresql", "both"])
        ours, arguments = parser.parse_known_args(argv[2:])
        try:
            with child.stoppable():
                outcomes = self.run_all(ours.database, arguments)
        except KeyboardInterrupt:
            self.say("Stopped; nothing is left running.")
            sys.exit(130)
        sys.exit(0 if all(outcome.passed for outcome in outcomes) else 1)

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Refuse to be called from code: `run_from_argv` takes the command line as it is."""
        raise CommandError("Start it as a process: python3 manage.py test.")

    def run_all(self, database: str | None, arguments: list[str]) -> list[Outcome]:
        """Run the checks and the passes; one that fails does not keep the others from running."""
        began = time.monotonic()
        outcomes: list[Outcome] = []
        with run_folder("check") as folder:
            # Many processes start in a run; each would compile the service for itself.
            compiled = {"PYTHONPYCACHEPREFIX": str(folder / "compiled")}
            os.environ.update(compiled | {"PYTHONDONTWRITEBYTECODE": ""})
            if not arguments:
                environ = os.environ | {"ADVISORY_DATA": str(folder / "data")}
                for outcome in run_checks(environ):
                    self.report(outcome)
                    outcomes.append(outcome)
            self.provide_browser()
            for number, one in enumerate(passes_for(database, arguments)):
                self.say(f"\n=== Tests on {one} ===")
                narrowed = ["-m", "not one_database"] if number and not arguments else []
                outcomes.append(self.run_pass(one, [*narrowed, *arguments]))
        self.summarise(outcomes, time.monotonic() - began)
        return outcomes

    def run_pass(self, database: str, arguments: list[str]) -> Outcome:
        """Run pytest on one of the databases."""
        name = f"tests on {database}"
        if database == "sqlite":
            return self.run_pytest(name, arguments, database_url="")
        given = os.environ.get("DATABASE_URL", "")
        if given.startswith("postgres"):
            return self.run_pytest(name, arguments, database_url=given)
        try:
            with running_postgres() as url:
                return self.run_pytest(name, arguments, database_url=url)
        except (NoPostgres, TimeoutError) as error:
            return Outcome(name, passed=False, seconds=0, note=str(error))

    def run_pytest(self, name: str, arguments: list[str], *, database_url: str) -> Outcome:
        """Run pytest, show what it writes as it comes, and keep its last line."""
        began = time.monotonic()
        color = ["--color=yes"] if sys.stdout.isatty() else []
        process = child.start(
            [sys.executable, "-m", "pytest", *color, *arguments],
            log=subprocess.PIPE,
            environ=os.environ | {"PYTHONUNBUFFERED": "1", "DATABASE_URL": database_url},
        )
        try:
            tail = self.show(process)
            process.wait()
        except KeyboardInterrupt:
            # Let pytest say how far it came; a second interrupt ends that too.
            process.send_signal(signal.SIGINT)
            self.show(process)
            raise
        finally:
            with child.uninterrupted():
                child.stop(process, ask=signal.SIGINT, grace=SECONDS_FOR_PYTEST_TO_END)
        lines = COLOR.sub("", tail.decode(errors="replace")).strip().splitlines()
        last = lines[-1].strip("= ") if lines else ""
        return Outcome(name, process.returncode == 0, time.monotonic() - began, last)

    def show(self, process: "subprocess.Popen[bytes]") -> bytes:
        """Pass on what a process writes, as it comes, to its end; return the last of it."""
        assert process.stdout is not None
        tail = b""
        while block := os.read(process.stdout.fileno(), 65536):
            sys.stdout.buffer.write(block)
            sys.stdout.flush()
            tail = (tail + block)[-4000:]
        return tail

    def provide_browser(self) -> None:
        """Install Chromium where it is missing and that is possible here."""
        if browser.find_chromium() is None and browser.can_install():
            self.say("Installing Chromium for the browser tests ...")
            if not browser.install_chromium():
                self.say("That did not work; the message above says why.")

    def report(self, outcome: Outcome) -> None:
        """Say how one check went, with all that it wrote where it failed."""
        word = "ok" if outcome.passed else "FAILED"
        self.say(f"{word:<7} {outcome.name:<24} {outcome.seconds:6.1f} s")
        if not outcome.passed:
            self.say(outcome.note)

    def summarise(self, outcomes: list[Outcome], seconds: float) -> None:
        """Say at the end what went how."""
        self.say("\n=== Summary ===")
        for outcome in outcomes:
            word = "ok" if outcome.passed else "FAILED"
            # What a failed check wrote stands above; of a pass the last line says it all.
            note = outcome.note if outcome.name.startswith("tests on") else ""
            self.say(f"{word:<7} {outcome.name:<24} {outcome.seconds:6.1f} s  {note}".rstrip())
        if browser.find_chromium() is None:
            self.say(f"SKIPPED browser tests: no Chromium here. {browser.HOW_TO_GET_IT}")
        failed = sum(not outcome.passed for outcome in outcomes)
        verdict = f"{failed} of {len(outcomes)} FAILED" if failed else "All passed"
        self.say(f"{verdict} in {seconds:.0f} s.")

    def say(self, message: str) -> None:
        """Print at once, also where the output is no terminal."""
        self.stdout.write(message)
        self.stdout.flush()
