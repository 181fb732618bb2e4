"""Reading an archive that comes from outside: nothing but what it may hold, in bounded pieces."""

import csv
import io
import json
import re
import zipfile
import zlib
from collections.abc import Iterator
from typing import IO, Any

from django.db.models import Model
from django.utils.translation import gettext as _

from advisory.common.errors import Refused
from advisory.reports.archive.tables import FORMAT, TABLES, file_of, has_photos
from advisory.reports.csv_tables import as_typed

MOST_FILES = 500_000
LARGEST_PHOTO = 8 * 1024 * 1024
LARGEST_TABLE = 2 * 1024 * 1024 * 1024
LONGEST_CELL = 1024 * 1024
# A CSV file of ours shrinks some fifteenfold; what shrinks more was made to burst.
MOST_SHRUNK = 200
# All that zipfile is known to raise for a file that is broken, or packed in a way it doesn't know.
_UNREADABLE = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    OSError,
    ValueError,
)
_PHOTO = re.compile(r"photos/([a-z]+)-[0-9]{1,18}\.jpg")
_OTHERS = frozenset(
    {"README.txt", "archive.json", "person.csv", "organisation.csv", "membership.csv"}
)


class OpenedArchive:
    """An archive whose list of contents has been looked through.

    Raises
    ------
    Refused
        For what is no archive of ours: nothing of it is unpacked then.
    """

    def __init__(self, file: "IO[bytes]") -> None:
        try:
            self._zip = zipfile.ZipFile(file)
        except _UNREADABLE as error:
            raise Refused(_("This is no ZIP file that can be read here.")) from error
        infos = self._zip.infolist()
        if len(infos) > MOST_FILES:
            raise Refused(_("There are too many files in it for an archive of this service."))
        tables = {file_of(model): model for model, _permission in TABLES}
        pictured = {model._meta.model_name for model in tables.values() if has_photos(model)}
        self._names: set[str] = set()
        for info in infos:
            _check(info, tables, pictured)
            if info.filename in self._names:
                raise Refused(_("“%(name)s” is in it twice.") % {"name": info.filename})
            self._names.add(info.filename)
        self.head = self._read_head()

    def _read_head(self) -> dict[str, Any]:
        try:
            head = json.loads(self._bytes("archive.json", 10_000))
            of_ours = head["format"] == FORMAT and isinstance(head["person"], int)
        except (KeyError, TypeError, ValueError, Refused) as error:
            raise _not_ours() from error
        if not of_ours:
            raise _not_ours()
        return dict(head)

    def rows(self, name: str) -> Iterator[tuple[int, dict[str, str]]]:
        """Return the lines of a table with their numbers, each as what stands in which column."""
        if name not in self._names:
            return
        csv.field_size_limit(LONGEST_CELL)
        with self._opened(name) as file:
            lines = csv.DictReader(io.TextIOWrapper(file, "utf-8-sig", newline=""), strict=True)
            try:
                for row in lines:
                    if None in row or None in row.values():
                        raise _broken(name, lines.line_num)
                    yield (
                        lines.line_num,
                        {column: as_typed(cell) for column, cell in row.items()},
                    )
            except (csv.Error, UnicodeDecodeError, *_UNREADABLE) as error:
                raise _broken(name, lines.line_num) from error

    def photo(self, name: str) -> bytes | None:
        """Return a picture; None where there is only a row of it."""
        return self._bytes(name, LARGEST_PHOTO) if name in self._names else None

    def _opened(self, name: str) -> "IO[bytes]":
        try:
            return self._zip.open(name)
        except _UNREADABLE as error:
            raise _broken(name, 0) from error

    def _bytes(self, name: str, most: int) -> bytes:
        try:
            with self._opened(name) as file:
                content = file.read(most + 1)
        except _UNREADABLE as error:
            raise _broken(name, 0) from error
        if len(content) > most:
            raise Refused(_("“%(name)s” is too large.") % {"name": name})
        return content


def _check(
    info: zipfile.ZipInfo, tables: dict[str, type[Model]], pictured: set[str | None]
) -> None:
    name = info.filename
    photo = _PHOTO.fullmatch(name)
    known = name in _OTHERS or name in tables or (photo and photo[1] in pictured)
    if not known or info.flag_bits & 0x1:
        raise Refused(
            _("“%(name)s” does not belong into an archive of this service.") % {"name": name[:80]}
        )
    largest = LARGEST_PHOTO if photo else LARGEST_TABLE
    if info.file_size > largest or info.file_size > max(info.compress_size, 64) * MOST_SHRUNK:
        raise Refused(_("“%(name)s” is too large.") % {"name": name})


def _not_ours() -> Refused:
    return Refused(
        _("This is no archive of this service, or one of an older kind. Take a new one along.")
    )


def _broken(name: str, line: int) -> Refused:
    return Refused(
        _("“%(name)s” is broken at line %(line)d. Take the archive along anew.")
        % {"name": name, "line": line}
    )
