"""A workshop's old records from a CSV file: one line a measurement, as a spreadsheet keeps them."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db.models import TextChoices
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.csv_files import (
    DateOrder,
    FileRefused,
    Row,
    decode,
    possible_orders,
    read_cell,
    rows_of,
)

# One import is looked through by a person: more than that goes in parts.
MOST_LINES = 5000
LARGEST_TEXT = 1_000_000  # letters: it goes back and forth with the page


class RecordColumn(TextChoices):
    """What a column of old records holds."""

    SERIAL = "serial", gettext_lazy("Serial number")
    DESIGN = "design", gettext_lazy("Design")
    BUILT_ON = "built on", gettext_lazy("Built on")
    POSITION = "position", gettext_lazy("Position")
    SIZE = "size", gettext_lazy("Size, with its unit")
    UNIT = "unit", gettext_lazy("Unit of the size")
    NAME = "name", gettext_lazy("Name of the unit")
    BATCH = "batch", gettext_lazy("Batch")


NEEDED = (RecordColumn.SERIAL, RecordColumn.DESIGN, RecordColumn.BUILT_ON)
HEADINGS: dict[RecordColumn, frozenset[str]] = {
    RecordColumn.SERIAL: frozenset({"serial", "serial number", "serial no", "number"}),
    RecordColumn.DESIGN: frozenset({"design", "pattern", "type"}),
    RecordColumn.BUILT_ON: frozenset({"built on", "built", "date", "rebuilt", "rebuilt on"}),
    RecordColumn.POSITION: frozenset({"position", "place", "bearing"}),
    RecordColumn.SIZE: frozenset({"size", "measured", "value", "clearance"}),
    RecordColumn.UNIT: frozenset({"unit", "units", "in"}),
    RecordColumn.NAME: frozenset({"name", "called"}),
    RecordColumn.BATCH: frozenset({"batch", "metal batch", "lot"}),
}


@dataclass(frozen=True)
class RecordLine:
    """One line of the file, as it is read; `flaw` says what to mend in it."""

    number: int
    serial: str = ""
    design: str = ""
    built_on: date | None = None
    position: str = ""
    size: str = ""
    name: str = ""
    batch: str = ""
    flaw: str = ""


@dataclass(frozen=True)
class OldRecords:
    """The lines of a file; `orders` are those in which its dates can be read, where it is open."""

    lines: tuple[RecordLine, ...] = ()
    orders: tuple[DateOrder, ...] = field(default=())
    example: str = ""

    @property
    def flaws(self) -> list[RecordLine]:
        """The lines that can't be read."""
        return [line for line in self.lines if line.flaw]


def read_records(data: bytes, *, today: date, order: DateOrder | None = None) -> OldRecords:
    """Read a workshop's old records.

    Raises
    ------
    FileRefused
        Where nothing can be read at all; the message says what to do.
    """
    rows = rows_of(decode(data), lambda cells: len(_named(cells)))
    if not rows:
        raise FileRefused("empty", _("The file is empty."))
    columns = _named(rows[0].cells)
    missing = [column for column in NEEDED if column not in columns]
    if missing:
        raise FileRefused(
            "no_such_column",
            _("The first line names the columns. These are missing: %(names)s.")
            % {"names": ", ".join(column.value for column in missing)},
        )
    body = rows[1:]
    if not body:
        raise FileRefused("no_lines", _("There are headings, but no lines below them."))
    if len(body) > MOST_LINES:
        raise FileRefused(
            "too_many", _("More than 5,000 lines. Split the file, and import the parts.")
        )
    cells = {row.line: read_cell(_cell(row, columns, RecordColumn.BUILT_ON), today.year)
             for row in body}  # fmt: skip
    orders = possible_orders(cells.values())
    open_orders = orders if len(orders) > 1 and order not in orders else ()
    chosen = order if order in orders else next(iter(orders), None)
    example = next(
        (_cell(row, columns, RecordColumn.BUILT_ON) for row in body if cells[row.line].open), ""
    )
    if open_orders:
        return OldRecords(orders=tuple(open_orders), example=example)
    return OldRecords(
        tuple(_line(row, columns, cells[row.line].read(chosen)) for row in body), (), example
    )


def _named(cells: Sequence[str]) -> dict[RecordColumn, int]:
    found: dict[RecordColumn, int] = {}
    for place, heading in enumerate(cells):
        words = " ".join(heading.casefold().replace("_", " ").split())
        for column, names in HEADINGS.items():
            if words in names and column not in found:
                found[column] = place
    return found


def _cell(row: Row, columns: dict[RecordColumn, int], column: RecordColumn) -> str:
    place = columns.get(column)
    return row.cells[place] if place is not None and place < len(row.cells) else ""


def _line(row: Row, columns: dict[RecordColumn, int], built_on: date | None) -> RecordLine:
    cells = {column: _cell(row, columns, column) for column in RecordColumn}
    size, unit = cells[RecordColumn.SIZE], cells[RecordColumn.UNIT]
    if size and unit and not any(map(str.isalpha, size)):
        size = f"{size} {unit}"
    flaw = ""
    if not cells[RecordColumn.SERIAL]:
        flaw = _("It has no serial number.")
    elif built_on is None:
        flaw = _("“%(text)s” is no day.") % {"text": cells[RecordColumn.BUILT_ON]}
    elif size and not cells[RecordColumn.POSITION]:
        flaw = _("It has a size and no position.")
    elif size and not any(map(str.isalpha, size)) and '"' not in size:
        flaw = _("Write the unit too: thou or mm.")
    return RecordLine(
        number=row.line,
        serial=cells[RecordColumn.SERIAL],
        design=cells[RecordColumn.DESIGN],
        built_on=built_on,
        position=cells[RecordColumn.POSITION],
        size=size,
        name=cells[RecordColumn.NAME],
        batch=cells[RecordColumn.BATCH],
        flaw=flaw,
    )
