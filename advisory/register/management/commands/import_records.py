"""`manage.py import_records FILE --workshop ID --by EMAIL`: the same import as on the page."""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext as _

from advisory.common.commands import RecordsCommand
from advisory.common.csv_files import DateOrder, FileRefused
from advisory.common.errors import NotAllowed, Refused
from advisory.people.clock import today_of
from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation, Person
from advisory.register.actions import import_records, look_through
from advisory.register.records_csv import read_records


class Command(RecordsCommand):
    """Take a workshop's old records in."""

    help = "Takes a workshop's old records in from a CSV file: all or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the arguments."""
        parser.add_argument("file", metavar="FILE", help="the CSV file, or - for standard input")
        parser.add_argument("--workshop", type=int, required=True, metavar="ID")
        parser.add_argument("--by", required=True, metavar="EMAIL", help="who takes them in")
        parser.add_argument("--dates", choices=DateOrder.values)
        parser.add_argument("--sign", action="store_true", help="sign each sheet as of its day")
        parser.add_argument("--dry-run", action="store_true", help="show, and keep nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        """Read, show, take in."""
        workshop = Organisation.objects.filter(
            pk=options["workshop"], kind=OrganisationKind.WORKSHOP
        ).first()
        by = Person.objects.filter(email=options["by"].lower(), is_active=True).first()
        if workshop is None or by is None:
            raise CommandError(_("There is no such workshop, or no such person."))
        path = options["file"]
        try:
            data = sys.stdin.buffer.read() if path == "-" else Path(path).read_bytes()
            order = DateOrder(options["dates"]) if options["dates"] else None
            records = read_records(data, today=today_of(by), order=order)
        except OSError as error:
            raise CommandError(str(error)) from error
        except FileRefused as error:
            raise CommandError(error.message) from error
        if records.orders:
            raise CommandError(
                _("“%(example)s” can be read in more than one way: say --dates.")
                % {"example": records.example}
            )
        said = {"workshop": workshop, "records": records, "by": by, "sign": options["sign"]}
        try:
            seen = look_through(**said)
            for problem in seen.problems:
                self.stdout.write(f"{problem.line.number}: {problem.message}")
            words = _("%(units)d units, %(builds)d sheets, %(sizes)d sizes.") % vars(seen)
            self.stdout.write(words)
            if options["dry_run"]:
                self.stdout.write(_("Nothing was kept: this was a dry run."))
                return
            import_records(name=Path(path).name, **said)
        except NotAllowed as error:
            raise CommandError(_("This person may not do that at this workshop.")) from error
        except Refused as refused:
            raise CommandError(refused.message) from refused
        self.stdout.write(_("Taken in."))
