"""`manage.py make_fleet --cars N --seed S`: an invented fleet of any size, to measure with."""

from argparse import ArgumentParser
from typing import Any

from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import IntegrityError

from advisory.common.commands import RecordsCommand
from advisory.config.invented_fleet import Fleet, make_fleet
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.register.models import Car

MORE = "--among-what-is-there"


class Command(RecordsCommand):
    """Write the fleet, lot by lot, and have its plans reckoned."""

    help = (
        "Writes an invented fleet of any size: owners, cars, units, readings, sheets, services. "
        "Never into a database that holds anything, unless asked."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the arguments."""
        parser.add_argument("--cars", type=int, required=True, metavar="N")
        parser.add_argument("--seed", type=int, default=1, metavar="S")
        parser.add_argument(
            "--without-plans", action="store_true", help="leave the plans to `recompute`"
        )
        parser.add_argument(
            MORE,
            action="store_true",
            dest="among",
            help="write also where there are people or cars already; nothing takes it out again",
        )

    def handle(
        self, *, cars: int, seed: int, without_plans: bool, among: bool, **options: Any
    ) -> None:
        """Refuse, or write."""
        if cars < 1 or seed < 0:
            raise CommandError("Ask for at least one car, and a seed of nought or more.")
        if not among and (Person.objects.exists() or Car.objects.exists()):
            raise CommandError(
                "There are people or cars in this database, and an invented fleet is never taken "
                f"out again. Use an empty database; or, if it is meant, add {MORE}."
            )
        try:
            fleet = make_fleet(cars, seed=seed, today=today_of(None), report=self.told)
        except IntegrityError as error:
            raise CommandError(
                f"A fleet of seed {seed} is there already: choose another. ({error})"
            ) from error
        self.told(fleet, ending="\n")
        if not without_plans:
            call_command("recompute", "--anew")

    def told(self, fleet: Fleet, ending: str = "\r") -> None:
        """Say how far it has come."""
        self.stdout.write(
            f"{fleet.cars:,} cars, {fleet.units:,} units, {fleet.owners:,} owners, "
            f"{fleet.readings:,} readings",
            ending=ending,
        )
        self.stdout.flush()
