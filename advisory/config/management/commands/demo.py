"""`manage.py demo`: the whole service with an invented club in it, on this machine."""

import os
import shutil
import sys
from argparse import ArgumentParser, ArgumentTypeError
from collections.abc import Mapping
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from advisory.config.machine import ROOT, child, services
from advisory.config.machine.broker import Broker
from advisory.config.machine.embedded import (
    FIRST_PORT,
    NAME,
    InUse,
    demo_environment,
    listen,
    only_one,
)
from advisory.config.machine.run_folder import run_folder
from advisory.config.machine.supervisor import ServiceFailed, Supervisor

LOADED = "scenario-loaded"
# The broker writes its log already; the lock is held; the key only keeps sessions valid.
KEPT = {"in-use", "log", "secret_key"}


def port_number(text: str) -> int:
    """Read a port, and say what one is where it isn't."""
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 65535):
        raise ArgumentTypeError(f"{text!r} is no port; write a number from 1 to 65535.")
    return int(text)


class Command(BaseCommand):
    """Set the demo up, run it, and leave nothing running."""

    help = (
        "Sets up a demo with an invented club, two workshops and their owners, and serves it until "
        "Ctrl-C. Its data lies in the folder demo inside ADVISORY_DATA; nothing else is touched."
    )
    # This process only starts others; what they need is checked in them.
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the options."""
        parser.add_argument(
            "--port",
            type=port_number,
            default=FIRST_PORT,
            help=f"the port to serve at (default {FIRST_PORT}); where it is taken, a free one",
        )
        parser.add_argument("--fresh", action="store_true", help="start over with new data")
        parser.add_argument(
            "--no-serve",
            action="store_true",
            help="do all but serve: run the nightly jobs once, print what is due today, and end",
        )

    def handle(self, *, port: int, fresh: bool, no_serve: bool, **_options: Any) -> None:
        """Run until interrupted, or without serving until the list is printed."""
        data = Path(settings.DATA).resolve() / "demo"
        note = "the nightly jobs" if no_serve else "a demo"
        try:
            with child.stoppable(), only_one(data, note):
                if fresh:
                    self.empty(data)
                self.run_demo(data, port=port, serve=not no_serve)
        except KeyboardInterrupt:
            self.say("Stopped; nothing is left running.")
        except InUse as other:
            raise CommandError(
                f"In the folder {data} something is at work already: {other}. Stop it first, or "
                "give this one a folder of its own with ADVISORY_DATA."
            ) from None
        except (ServiceFailed, OSError) as error:
            raise CommandError(str(error)) from None

    def run_demo(self, data: Path, *, port: int, serve: bool) -> None:
        """Start the services in their order, prepare the data, and watch."""
        with ExitStack() as stack:
            run = stack.enter_context(run_folder("demo"))
            listener = stack.enter_context(listen(port)) if serve else None
            served_at = listener.getsockname()[1] if listener else port
            if served_at != port:
                self.say(f"Port {port} is not free; this demo is at {served_at}.")
            broker = Broker(run)
            environ = demo_environment(os.environ, data=data, port=served_at, broker_url=broker.url)
            supervisor = stack.enter_context(
                Supervisor(data / "log", say=self.say, environ=environ)
            )
            supervisor.start(services.broker_service(broker))
            self.prepare(data, environ)
            worker = services.worker_service(broker.url)
            if listener is None:
                supervisor.start(worker)
                self.say("Running the nightly jobs ...")
                self.steps("night", "due", environ=environ)
                return
            self.say("Starting the services and running the nightly jobs ...")
            supervisor.start(worker, services.clock_service(run), services.web_service(listener))
            self.steps("night", environ=environ)
            self.welcome(data, served_at)
            supervisor.watch()

    def prepare(self, data: Path, environ: Mapping[str, str]) -> None:
        """Bring the database up to date, and load the scenario where it isn't loaded already."""
        loaded = data / LOADED
        if loaded.exists():
            self.steps("migrate", environ=environ)
            return
        # What an interrupted loading left is half a scenario.
        self.empty(data)
        self.say("Setting up the database and loading the demo scenario ...")
        self.steps("migrate", "load", environ=environ)
        loaded.touch()

    def steps(self, *names: str, environ: Mapping[str, str]) -> None:
        """Do steps in a process of its own, in the demo's environment."""
        command = [sys.executable, str(ROOT / "manage.py"), "demo_step", *names]
        process = child.start(command, environ=environ)
        try:
            if process.wait() != 0:
                raise CommandError("The demo could not be set up, see above.")
        finally:
            child.stop(process)

    def empty(self, data: Path) -> None:
        """Remove all that an earlier demo left in its folder."""
        for path in data.iterdir():
            if path.name in KEPT:
                continue
            if path.is_dir():
                shutil.rmtree(path)
            else:
                path.unlink()

    def welcome(self, data: Path, port: int) -> None:
        """Say where to go, and as whom."""
        from advisory.config.demo import SIGN_INS

        width = max(len(email) for _role, email, _password in SIGN_INS)
        roles = max(len(role) for role, _email, _password in SIGN_INS)
        self.say(f"\nThe demo is at  http://{NAME}:{port}\n\nSign in as")
        for role, email, password in SIGN_INS:
            self.say(f"  {role:<{roles}}  {email:<{width}}  password: {password}")
        self.say(
            f"\nMails land in   {data / 'mail'}\nLogs are in     {data / 'log'}\nCtrl-C stops it.\n"
        )

    def say(self, message: str) -> None:
        """Print at once, also where the output is no terminal."""
        self.stdout.write(message)
        self.stdout.flush()
