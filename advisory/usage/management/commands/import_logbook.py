"""`manage.py import_logbook FILE --unit ID`: the same import as on the page."""

import sys
from argparse import ArgumentParser
from itertools import islice
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext as _

from advisory.common.commands import RecordsCommand
from advisory.common.csv_files.text import LARGEST_FILE
from advisory.common.errors import Question, Refused
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.register.models import Car, Unit
from advisory.register.queries import current_fitting
from advisory.register.shown import in_figures
from advisory.usage.actions import import_logbook
from advisory.usage.enums import DoubtfulLines
from advisory.usage.logbook_csv import Column, DateOrder, FileRefused, Logbook, read_logbook
from advisory.usage.logbook_preview import LineState, Preview, PreviewLine, preview_logbook
from advisory.usage.queries import car_use

DOUBTFUL_SHOWN = 40


class Command(RecordsCommand):
    """Take a logbook in for the car that a unit is fitted in."""

    help = "Takes the readings of a CSV logbook in, for the car that a unit is in: all or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the arguments."""
        parser.add_argument("file", metavar="FILE", help="the CSV file, or - for standard input")
        parser.add_argument(
            "--unit", type=int, required=True, metavar="ID", help="the unit's number"
        )
        parser.add_argument(
            "--dates",
            choices=DateOrder.values,
            help="what comes first in dates, where the file alone does not tell",
        )
        parser.add_argument(
            "--map",
            action="append",
            default=[],
            metavar="WHAT=COLUMN",
            help=f"a column by heading or number; WHAT is one of {', '.join(Column.values)}",
        )
        parser.add_argument(
            "--doubtful",
            choices=[DoubtfulLines.LEAVE_OUT.value, DoubtfulLines.RIGHT.value],
            default=DoubtfulLines.ASK.value,
            help="what to do with lines that are not believed",
        )
        parser.add_argument(
            "--leave-out-unreadable", action="store_true", help="leave out lines that can't be read"
        )
        parser.add_argument("--dry-run", action="store_true", help="show, and keep nothing")
        parser.add_argument("--yes", action="store_true", help="don't ask before taking it in")

    def handle(self, *args: Any, **options: Any) -> None:
        """Read, show, ask, take in."""
        car, owner = _car_of(options["unit"])
        content = _content(options["file"])
        logbook = _read(content, owner, options)
        preview = preview_logbook(car_use(car), logbook, today_of(owner))
        self._show(car, preview)
        if options["dry_run"]:
            self.stdout.write(_("Nothing was kept: this was a dry run."))
            return
        if preview.of(LineState.NEW) and not options["yes"] and not self._agreed():
            raise CommandError(_("Nothing was kept."))
        try:
            done = import_logbook(
                car=car,
                logbook=logbook,
                by=owner,
                name=Path(options["file"]).name,
                content=content,
                leave_out_unreadable=options["leave_out_unreadable"],
                doubtful=options["doubtful"],
            )
        except Question as question:
            how = _("Use --doubtful=right or --doubtful=leave-out.")
            raise CommandError(f"{question.message} {how}") from question
        except Refused as refused:
            how = _("Use --leave-out-unreadable.") if refused.code == "unreadable_lines" else ""
            raise CommandError(f"{refused.message} {how}".strip()) from refused
        self.stdout.write(
            _("Added %(added)s, there already %(there)s, left out %(left_out)s.")
            % {
                "added": in_figures(done.added),
                "there": in_figures(done.there),
                "left_out": in_figures(done.left_out),
            }
        )

    def _show(self, car: Car, preview: Preview) -> None:
        counts = {name: in_figures(count) for name, count in preview.counts.items()}
        self.stdout.write(
            _(
                "%(car)s: %(new)s new, %(there)s there already, %(doubtful)s doubtful,"
                " %(unreadable)s not readable."
            )
            % {"car": car, **counts}
        )
        for line in islice(preview.doubtful, DOUBTFUL_SHOWN):
            self.stderr.write(_line(line))
        more = len(preview.doubtful) - DOUBTFUL_SHOWN
        if more > 0:
            self.stderr.write(_("... and %(more)s more.") % {"more": in_figures(more)})

    def _agreed(self) -> bool:
        if not sys.stdin.isatty():
            raise CommandError(_("Nothing was kept. Nobody is there to ask: use --yes."))
        self.stdout.write(_("Take it in? [y/N] "), ending="")
        self.stdout.flush()
        return sys.stdin.readline().strip().lower() in {"y", "yes"}


def _line(line: PreviewLine) -> str:
    return _("line %(number)s: %(date)s %(shown)s: %(why)s") % {
        "number": line.line.number,
        "date": line.line.date_text,
        "shown": line.line.shown_text,
        "why": line.why,
    }


def _car_of(pk: int) -> tuple[Car, Person]:
    unit = Unit.objects.select_related("owner").filter(pk=pk).first()
    if unit is None:
        raise CommandError(_("There is no unit %(pk)s.") % {"pk": pk})
    if unit.owner is None:
        raise CommandError(_("Unit %(pk)s has no owner yet, so it has no logbook.") % {"pk": pk})
    fitting = current_fitting(unit)
    if fitting is None:
        raise CommandError(
            _("Unit %(pk)s is in no car. Say first on its page which car it is in.") % {"pk": pk}
        )
    return fitting.car, unit.owner


def _content(name: str) -> bytes:
    if name == "-":
        return sys.stdin.buffer.read(LARGEST_FILE + 1)
    try:
        with Path(name).open("rb") as file:
            return file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise CommandError(f"{name}: {error.strerror}.") from error


def _read(content: bytes, owner: Person, options: dict[str, Any]) -> Logbook:
    columns: dict[Column, str] = {}
    for told in options["map"]:
        what, mark, name = told.partition("=")
        if not mark or what not in Column.values or not name:
            raise CommandError(
                _("--map %(told)s: write WHAT=COLUMN, WHAT being one of %(what)s.")
                % {"told": told, "what": ", ".join(Column.values)}
            )
        columns[Column(what)] = name
    order = DateOrder(options["dates"]) if options["dates"] else None
    try:
        logbook = read_logbook(content, today=today_of(owner), order=order, columns=columns)
    except FileRefused as error:
        raise CommandError(error.message) from error
    if logbook.unclear:
        raise CommandError(
            _("No heading names clearly: %(what)s. Use --map, such as --map %(first)s=2. The"
              " columns are: %(headings)s.")
            % {
                "what": ", ".join(logbook.unclear),
                "first": logbook.unclear[0],
                "headings": ", ".join(logbook.headings),
            }
        )  # fmt: skip
    if logbook.orders:
        raise CommandError(
            _("The file does not tell what %(example)s means. Use --dates with one of: %(orders)s.")
            % {"example": logbook.example, "orders": ", ".join(logbook.orders)}
        )
    return logbook
