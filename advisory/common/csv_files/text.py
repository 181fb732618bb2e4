"""From the bytes of a file to rows of cells: encoding, delimiter, quotes."""

import codecs
import csv
import io
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

DELIMITERS = (",", ";", "\t")
LARGEST_FILE = 8 * 1024 * 1024  # bytes; 50 000 lines of a logbook are about two
LONGEST_CELL = 5_000
_ROWS_TRIED = 60
_SIGNATURES = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")  # zipped and old-style spreadsheets
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f]")
_SEPARATOR_LINE = re.compile(r"sep=(.)\s*", re.IGNORECASE)


class FileRefused(ValueError):
    """The file can't be read; `message` says what to do, `code` is for programs."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message


@dataclass(frozen=True)
class Row:
    """The cells of one row, and the line of the file that it begins on."""

    line: int
    cells: tuple[str, ...]


def decode(data: bytes) -> str:
    """Return the text of a file: UTF-8, UTF-16 with its mark, otherwise Windows or Latin-1.

    Raises
    ------
    FileRefused
        For an empty file, one that is too large, and one that is no text.
    """
    if len(data) > LARGEST_FILE:
        raise FileRefused(
            "too_large",
            _("The file is larger than 8 MB. Split it, and import the parts one by one."),
        )
    if data.startswith(_SIGNATURES):
        raise FileRefused(
            "spreadsheet",
            _("This is a spreadsheet file. Open it and save the sheet as CSV, then import that."),
        )
    text = _decoded(data)
    if not text.strip():
        raise FileRefused(
            "empty", _("The file is empty. Choose one with a heading line and lines below it.")
        )
    if _CONTROL.search(text):
        raise FileRefused(
            "not_text", _("This is no text file. Choose a file that was saved as CSV.")
        )
    return text


def _decoded(data: bytes) -> str:
    marks = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"),
             (codecs.BOM_UTF16_BE, "utf-16-be"))  # fmt: skip
    for mark, encoding in marks:
        if data.startswith(mark):
            return data[len(mark) :].decode(encoding, errors="replace")
    for encoding in ("utf-8", "cp1252"):
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1")


def rows_of(text: str, fits: Callable[[Sequence[str]], int]) -> list[Row]:
    """Split a text into rows, by the delimiter that makes most of its first line.

    Parameters
    ----------
    text
        The whole file.
    fits
        Says of the cells of the first row how many columns they name.

    Raises
    ------
    FileRefused
        Where no delimiter makes columns, or a quotation mark is never closed.
    """
    first = 1
    delimiters: Sequence[str] = DELIMITERS
    told = _SEPARATOR_LINE.fullmatch(text.partition("\n")[0])
    if told is not None:
        delimiters, first = (told[1],), 2
        text = text.partition("\n")[2]
    scores = {mark: _score(text, mark, fits) for mark in delimiters}
    delimiter = max(delimiters, key=scores.__getitem__)
    if scores[delimiter] is _NO_COLUMNS:
        raise FileRefused(
            "no_columns",
            _("There are no columns. Separate them by a comma, semicolon or tab."),
        )
    return list(_rows(text, delimiter, first))


_NO_COLUMNS = (-1, 0.0, 0)


def _score(
    text: str, delimiter: str, fits: Callable[[Sequence[str]], int]
) -> tuple[int, float, int]:
    rows: list[Row] = []
    try:
        for row in _rows(text, delimiter, 1):
            rows.append(row)
            if len(rows) == _ROWS_TRIED:
                break
    except FileRefused:
        if not rows:
            return _NO_COLUMNS
    width = len(rows[0].cells) if rows else 0
    if width < 2:
        return _NO_COLUMNS
    alike = sum(len(row.cells) == width for row in rows) / len(rows)
    return fits(rows[0].cells), alike, width


def _rows(text: str, delimiter: str, first: int) -> Iterator[Row]:
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    begins = first
    try:
        for cells in lines:
            if any(len(cell) > LONGEST_CELL for cell in cells):
                raise _quote_open(begins)
            if any(cell.strip() for cell in cells):
                yield Row(begins, tuple(cell.strip() for cell in cells))
            begins = first + lines.line_num
    except csv.Error as error:
        raise _quote_open(begins) from error


def _quote_open(line: int) -> FileRefused:
    return FileRefused(
        "quote_open",
        _("From line %(line)s on a quotation mark is not closed. Mend that line.") % {"line": line},
    )
