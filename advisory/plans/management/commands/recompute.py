"""`manage.py recompute`: all plans anew, with a bar that shows how far it is."""

import os
import subprocess
import sys
from argparse import SUPPRESS, ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.core.management.base import CommandError
from django.db import connection
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.common.commands import RecordsCommand
from advisory.plans.actions import open_run, work_on
from advisory.plans.models import PlanRun
from advisory.plans.progress import progress_of

MOST_WORKERS = 8


class Command(RecordsCommand):
    """Begin a run, or go on with the one that is under way, and show how far it is."""

    help = (
        "Reckons the plans of all units anew, as the night does. Stopped at any point, it goes on "
        "where it was when it is started again."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the arguments."""
        parser.add_argument(
            "--workers", type=int, metavar="N", help="processes; as many as there are processors"
        )
        parser.add_argument(
            "--anew", action="store_true", help="begin again though a run is under way"
        )
        # what it starts itself with, to lend a hand
        parser.add_argument("--help-only", action="store_true", dest="helping", help=SUPPRESS)

    def handle(self, *, workers: int | None, anew: bool, helping: bool, **options: Any) -> None:
        """Do it, beside other processes."""
        if helping:
            if (run := PlanRun.objects.filter(under_way=True).first()) is not None:
                work_on(run)
            return
        many = self._workers(workers)
        run = open_run(anew=anew)
        self._show(run)
        with self._helped_by(many - 1):
            work_on(run, told=lambda _part: self._show(run))
        run.refresh_from_db()
        self._show(run, ending="\n")
        self._say_what_came(run)

    def _workers(self, asked: int | None) -> int:
        if asked is not None and not 1 <= asked <= MOST_WORKERS:
            raise CommandError(_("Ask for one to %(most)d workers.") % {"most": MOST_WORKERS})
        # SQLite has one writer at a time
        most = 1 if connection.vendor == "sqlite" else MOST_WORKERS
        return min(asked or os.cpu_count() or 1, most)

    @contextmanager
    def _helped_by(self, many: int) -> Iterator[None]:
        """Work beside so many processes of the same command; wait for what they have in hand."""
        command = [sys.executable, sys.argv[0], "recompute", "--help-only"]
        helpers = [subprocess.Popen(command) for _number in range(many)]
        try:
            yield
        except BaseException:
            for helper in helpers:
                helper.terminate()  # what it had in hand, the database takes back
            raise
        finally:
            for helper in helpers:
                helper.wait()

    def _show(self, run: PlanRun, ending: str = "\r") -> None:
        self.stdout.write(progress_of(run).bar(), ending=ending)
        self.stdout.flush()

    def _say_what_came(self, run: PlanRun) -> None:
        came = progress_of(run)
        self.stdout.write(
            ngettext("%(n)d plan had changed.", "%(n)d plans had changed.", came.moved)
            % {"n": came.moved}
        )
        if came.failed:
            raise CommandError(
                ngettext(
                    "%(n)d unit could not be reckoned: the log says which and why.",
                    "%(n)d units could not be reckoned: the log says which and why.",
                    came.failed,
                )
                % {"n": came.failed}
            )
        if came.done < came.parts:
            raise CommandError(_("Another run was begun instead of this one."))
