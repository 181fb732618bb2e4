"""One line of a sheet, its parts in columns."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _

from advisory.common.bench.typed import Unreadable, typed_cell, yes_or_no
from advisory.common.calculation import Field

#: What parts the columns of a line: a semicolon as we write it, a tab as a spreadsheet copies it.
_COLUMN = re.compile(r"[;\t]")


def cells_of(line: str) -> list[str]:
    """Return the cells of a line; none where all are empty."""
    cells = [cell.strip() for cell in _COLUMN.split(line)]
    return cells if any(cells) else []


def read_line(line: str, number: int, columns: Sequence[Field]) -> dict[str, Any]:
    """Read a line to the JSON of its columns, without those that are empty."""
    cells = cells_of(line)
    if len(cells) > len(columns):
        raise Unreadable(
            _("Line %(number)d has more than %(most)d columns.")
            % {"number": number, "most": len(columns)}
        )
    try:
        return {
            column.name: typed_cell(cell, column)
            for column, cell in zip(columns, cells, strict=False)
            if cell
        }
    except Unreadable as error:
        raise Unreadable(
            _("Line %(number)d: %(what)s") % {"number": number, "what": error.message}
        ) from error


def line_of(one: Mapping[str, Any], columns: Sequence[Field]) -> str:
    """Write a line as a person would have typed it."""
    cells = []
    for column in columns:
        value = one.get(column.name, "")
        cells.append(yes_or_no(value) if isinstance(value, bool) else str(value))
    return "; ".join(cells).rstrip("; ")
