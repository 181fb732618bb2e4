"""`manage.py bring_in ARCHIVE.zip`: take an archive into an empty service."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext as _

from advisory.common.commands import RecordsCommand
from advisory.common.errors import Refused
from advisory.reports.archive import bring_in
from advisory.reports.archive.opened import OpenedArchive


class Command(RecordsCommand):
    """Take everything of an archive in."""

    help = "Takes what an owner or a workshop took along (a ZIP file) into an empty service."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the arguments."""
        parser.add_argument("archive", metavar="ARCHIVE.zip")

    def handle(self, *args: Any, **options: Any) -> None:
        """Open it, take it in, say what came."""
        try:
            with Path(options["archive"]).open("rb") as file:
                brought = bring_in(archive=OpenedArchive(file))
        except OSError as error:
            raise CommandError(str(error)) from error
        except Refused as refused:
            raise CommandError(refused.message) from refused
        for name, count in brought.rows.items():
            self.stdout.write(f"{count:>8} {name}")
        self.stdout.write(_("%(n)d photos.") % {"n": brought.photos})
        people = ", ".join(brought.people)
        self.stdout.write(
            _("Everything is in. %(people)s: set a password with “Lost the password?”.")
            % {"people": people}
        )
