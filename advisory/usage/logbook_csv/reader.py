"""A file's lines as dates and numbers, each marked where it can't be read."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import Enum

from django.utils.translation import gettext as _

from advisory.common.csv_files.dates import DateCell, DateOrder, possible_orders, read_cell
from advisory.common.csv_files.text import FileRefused, Row, decode, rows_of
from advisory.register.shown import NotANumber, read_shown
from advisory.usage.logbook_csv.columns import (
    NEEDED,
    Column,
    chosen_columns,
    named_columns,
    unit_in,
)

_UNIT_BEHIND = re.compile(r"\s*(?:mi|miles?|kms?|kilomet(?:re|er)s?)\.?$", re.IGNORECASE)
_LONGEST_NOTE = 300


class Flaw(Enum):
    """Why a line can't be read."""

    NO_DATE = "no_date"
    DATE_UNREADABLE = "date_unreadable"
    NO_NUMBER = "no_number"
    NUMBER_UNREADABLE = "number_unreadable"
    TOO_MANY_CELLS = "too_many_cells"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a logbook: as it stands in the file, and as it is read."""

    number: int
    date_text: str
    shown_text: str
    note: str
    date: date | None
    shown: int | None
    unit: str | None
    flaw: Flaw | None


@dataclass(frozen=True)
class Logbook:
    """A logbook as far as the file tells it; `unclear` and `orders` are what a person must say.

    Attributes
    ----------
    headings
        The headings, or "Column 1" and so on where the file has none.
    columns
        Which column holds what.
    unclear
        Columns that are needed and that no heading names clearly.
    order
        Order of the figures in dates; None where it doesn't matter, or isn't known.
    orders
        The orders that are possible, where the file leaves it open; empty otherwise.
    example
        A date of the file that can be read in more than one way.
    unit
        The unit that the reading's heading names.
    lines
        Empty while something is unclear.
    """

    headings: tuple[str, ...]
    columns: Mapping[Column, int]
    unclear: tuple[Column, ...] = ()
    order: DateOrder | None = None
    orders: tuple[DateOrder, ...] = ()
    example: str = ""
    unit: str | None = None
    lines: tuple[Line, ...] = field(default=())

    @property
    def is_clear(self) -> bool:
        """Whether nothing is left to ask about the file as a whole."""
        return not self.unclear and not self.orders


def read_logbook(
    data: bytes,
    *,
    today: date,
    order: DateOrder | None = None,
    columns: Mapping[Column, str] | None = None,
) -> Logbook:
    """Read a logbook.

    Parameters
    ----------
    data
        The file.
    today
        For years written with two figures.
    order
        The order of dates, where a person said it.
    columns
        Columns that a person named, by heading or by number from 1; an empty name is none.

    Raises
    ------
    FileRefused
        Where nothing can be read at all; the message says what to do.
    """
    rows = rows_of(decode(data), lambda cells: len(named_columns(cells)))
    headings, rows = _headings(rows, today)
    if not rows:
        raise FileRefused("no_lines", _("There are headings, but no lines below them."))
    chosen = chosen_columns(headings, columns or {})
    named = {
        column: place
        for column, place in named_columns(headings).items()
        if column not in (columns or {}) and place not in chosen.values()
    }
    places = {**named, **chosen}
    unclear = tuple(column for column in NEEDED if column not in places)
    if unclear:
        return Logbook(headings, places, unclear=unclear)
    unit = unit_in(headings[places[Column.READING]])
    cells = [read_cell(_cell(row, places[Column.DATE]), today.year) for row in rows]
    possible = possible_orders(cells)
    if order is None and len(possible) == 1:
        order = possible[0]
    if order is None and any(cell.open and cell.meanings for cell in cells):
        asked = possible or tuple(DateOrder)
        example = _example([_cell(row, places[Column.DATE]) for row in rows], cells)
        return Logbook(headings, places, orders=asked, example=example, unit=unit)
    lines = tuple(
        _line(row, cell.read(order), places, len(headings))
        for row, cell in zip(rows, cells, strict=True)
    )
    return Logbook(headings, places, order=order, unit=unit, lines=lines)


def _headings(rows: list[Row], today: date) -> tuple[tuple[str, ...], list[Row]]:
    """Return the headings and the rows below; a first row with a date in it is no heading."""
    first = rows[0].cells
    if any(read_cell(cell, today.year).meanings for cell in first):
        width = max(len(row.cells) for row in rows)
        made = (_("Column %(number)s") % {"number": number} for number in range(1, width + 1))
        return tuple(made), rows
    end = len(first)
    while end > 1 and not first[end - 1]:
        end -= 1
    named = (cell or _("Column %(number)s") % {"number": place}
             for place, cell in enumerate(first[:end], start=1))  # fmt: skip
    return tuple(named), rows[1:]


def _cell(row: Row, place: int | None) -> str:
    return row.cells[place] if place is not None and place < len(row.cells) else ""


def _example(texts: Sequence[str], cells: Sequence[DateCell]) -> str:
    """Choose a date to ask about: one that has several meanings, if there is one."""
    pairs = [(text, cell) for text, cell in zip(texts, cells, strict=True) if cell.open]
    several = [text for text, cell in pairs if len(set(cell.meanings.values())) > 1]
    return several[0] if several else next(text for text, cell in pairs if cell.meanings)


def _line(row: Row, day: date | None, places: Mapping[Column, int], width: int) -> Line:
    date_text = _cell(row, places[Column.DATE])
    shown_text = _cell(row, places[Column.READING])
    shown, unit, flaw = None, None, None
    if any(row.cells[width:]):
        flaw = Flaw.TOO_MANY_CELLS
    elif not date_text:
        flaw = Flaw.NO_DATE
    elif day is None:
        flaw = Flaw.DATE_UNREADABLE
    elif not shown_text:
        flaw = Flaw.NO_NUMBER
    else:
        unit = unit_in(shown_text)
        try:
            shown = read_shown(_UNIT_BEHIND.sub("", shown_text))
        except NotANumber:
            flaw = Flaw.NUMBER_UNREADABLE
    note = _cell(row, places.get(Column.NOTE))[:_LONGEST_NOTE]
    return Line(row.line, date_text, shown_text, note, day, shown, unit, flaw)
