"""The steps of `manage.py demo` that work with its database, in its environment."""

import os
from argparse import ArgumentParser
from typing import Any

from celery.exceptions import TimeoutError as JobTimeoutError
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from advisory.config.celery import app
from advisory.config.machine.embedded import MARK
from advisory.config.machine.jobs import run_jobs


class Command(BaseCommand):
    """Migrate, load the scenario, run the nightly jobs, or print what is due."""

    help = "Does steps of the demo. `manage.py demo` calls it; it refuses to work by itself."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the steps."""
        parser.add_argument("steps", nargs="+", choices=["migrate", "load", "night", "due"])

    def handle(self, *, steps: list[str], **_options: Any) -> None:
        """Do the steps in the order given."""
        if MARK not in os.environ:
            raise CommandError("This belongs to `manage.py demo`: start that.")
        for step in steps:
            getattr(self, step)()

    def migrate(self) -> None:
        """Bring the database up to date."""
        call_command("migrate", verbosity=0)

    def load(self) -> None:
        """Load the demo scenario, through the same actions as real data."""
        from advisory.config.demo import load_scenario

        load_scenario(report=self.say)

    def night(self) -> None:
        """Run each job of the clock's table once, through broker and worker, in its order."""
        jobs = [str(entry["task"]) for entry in settings.CELERY_BEAT_SCHEDULE.values()]
        try:
            run_jobs(app, jobs)
        except JobTimeoutError as error:
            raise CommandError(f"{error} The worker's log says why.") from None

    def due(self) -> None:
        """Print today's due list of the whole fleet."""
        from advisory.config.demo import due_table

        self.say(due_table())

    def say(self, message: str) -> None:
        """Print at once, also where the output is no terminal."""
        self.stdout.write(message)
        self.stdout.flush()
