"""`calculate NAME [FILE]`: one calculator, JSON in, JSON out."""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils.translation import gettext as _

from advisory.common.calculation import (
    Answers,
    CalculationRefused,
    read_json,
    registry,
    write_json,
)
from advisory.common.problems import problem


class Command(BaseCommand):
    """Compute, and exit 1 with a problem object where the input can't be used."""

    help = (
        "Compute one case, or an array of cases, with a calculator. JSON is read from FILE or "
        "from standard input, and written to standard output. Exit status 1: a problem object "
        "(RFC 9457) says what is wrong; in an array it stands in the place of the bad case."
    )
    # It computes; it needs no database, migrated or not.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a name, a file, or one of the two questions."""
        parser.add_argument("name", nargs="?", metavar="NAME", help="Name of the calculator.")
        parser.add_argument(
            "file", nargs="?", metavar="FILE", default="-", help="JSON file; - is standard input."
        )
        parser.add_argument("--list", action="store_true", help="Name the calculators.")
        parser.add_argument(
            "--describe", action="store_true", help="Print the JSON schema of the input."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Answer, or print the problem and exit 1."""
        try:
            if options["list"]:
                self._list()
                return
            calculator = registry.get(self._name(options["name"]))
            if options["describe"]:
                self.stdout.write(write_json(calculator.described()))
                return
            answer = calculator.run(read_json(self._given(options["file"])))
        except CalculationRefused as refused:
            self.stdout.write(write_json(refused.problem.as_dict()))
            sys.exit(1)
        self.stdout.write(write_json(answer))
        if isinstance(answer, Answers) and answer.refused:
            sys.exit(1)

    def _list(self) -> None:
        width = max(len(name) for name in registry.names())
        for name in registry.names():
            self.stdout.write(f"{name:{width}}  {registry.get(name).summary}")

    @staticmethod
    def _name(name: str | None) -> str:
        if name is not None:
            return name
        raise CalculationRefused(
            problem(
                "no-calculator",
                _("No calculator named"),
                _("Name a calculator: %(names)s.") % {"names": ", ".join(registry.names())},
            )
        )

    @staticmethod
    def _given(file: str) -> bytes:
        if file == "-":
            return sys.stdin.buffer.read()
        try:
            return Path(file).read_bytes()
        except OSError as error:
            raise CalculationRefused(
                problem(
                    "no-file",
                    _("The file can't be read"),
                    _("“%(file)s” can't be read: %(why)s.")
                    % {"file": file, "why": error.strerror or error},
                )
            ) from error
