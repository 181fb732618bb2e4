"""A report as it is read: sections of sentences, tables and charts; page, PDF and files follow."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.utils.translation import gettext as _

from advisory.common.charts import Chart
from advisory.common.quantities import Preferences
from advisory.reports.shown.figures import MEASURES, NOT_SHOWN, Words, in_words, numbers

# A cell with more characters than this may be broken into lines.
SHORT = 16


@dataclass(frozen=True)
class Column:
    """One column of a table: which cell, what it is called, and how it is told."""

    cell: str
    label: Words
    kind: str


@dataclass(frozen=True)
class TableRow:
    """One row: what it is about, and its cells in words."""

    label: str
    cells: Sequence[str]


@dataclass(frozen=True)
class Table:
    """A table: in words for people, in numbers for files."""

    key: str
    title: str
    kind: str  # what its rows are about
    columns: Sequence[Column]
    rows: Sequence[tuple[str, dict[str, Any]]]
    prefs: Preferences
    left_out: Sequence[str] = ()
    # of a curve: the distance of each row [m], which a file wants as a number
    ages: Sequence[float] = ()

    @property
    def is_curve(self) -> bool:
        """Whether its rows are a curve's points, the farthest last."""
        return bool(self.ages)

    @property
    def head(self) -> list[str]:
        """The columns' names."""
        return [str(column.label) for column in self.columns]

    @cached_property
    def in_words(self) -> list[TableRow]:
        """The rows in words."""
        return [
            TableRow(
                label,
                [in_words(cells.get(c.cell), c.kind, self.prefs) for c in self.columns],
            )
            for label, cells in self.rows
        ]

    @cached_property
    def is_narrow(self) -> bool:
        """Whether all its cells are short enough to stand side by side without a break."""
        return all(len(cell) <= SHORT for row in self.in_words for cell in row.cells)

    @cached_property
    def labelled(self) -> list[tuple[str, list[tuple[str, str, bool]]]]:
        """The rows with each cell's column, and whether it is shown, for narrow screens."""
        return [
            (
                r.label,
                [(h, c, c != str(NOT_SHOWN)) for h, c in zip(self.head, r.cells, strict=True)],
            )
            for r in self.in_words
        ]

    def in_numbers(self) -> list[list[Any]]:
        """Return the table for a file: a head, then the rows, one number a cell."""
        parts: dict[str, list[str]] = {}
        for column in self.columns:
            found = [
                numbers(cells.get(column.cell), column.kind, self.prefs) for _l, cells in self.rows
            ]
            parts[column.cell] = list(dict.fromkeys(part for each in found for part in each)) or [
                "value"
            ]
        far = MEASURES["distance"]
        head: list[Any] = [f"{self.kind} [{far.unit(self.prefs)}]" if self.ages else self.kind]
        for column in self.columns:
            unit = MEASURES[column.kind].unit(self.prefs)
            for part in parts[column.cell]:
                name = str(column.label) if part == "value" else f"{column.label}, {part}"
                head.append(f"{name} [{unit}]" if unit and part not in {"part", "of"} else name)
        rows = [head]
        places = [numbers(age, "distance", self.prefs)["value"] for age in self.ages]
        for number, (label, cells) in enumerate(self.rows):
            row: list[Any] = [places[number] if places else label]
            for column in self.columns:
                held = numbers(cells.get(column.cell), column.kind, self.prefs)
                row += ["" if held.get(part) is None else held[part] for part in parts[column.cell]]
            rows.append(row)
        return rows


@dataclass(frozen=True)
class Section:
    """A part of the report."""

    key: str
    title: str
    shows: str  # what it shows
    not_said: str  # and what not
    tables: Sequence[Table] = ()
    charts: Sequence[Chart] = ()
    notes: Sequence[str] = field(default_factory=list)


@dataclass(frozen=True)
class Document:
    """The whole."""

    title: str
    question: str
    lead: str
    sections: Sequence[Section]
    # whether figures are held back for the few owners that are behind them
    withholds: bool
    # of which moment its figures are, where that is not its day
    notes: Sequence[str] = ()
    designs: str = ""
    years: str = ""

    @property
    def parts(self) -> list[tuple[Section, list[tuple[Table, str]]]]:
        """Each section with its tables, and what is said below each of what is left out."""
        return [
            (section, [(table, self.left_out_words(table)) for table in section.tables])
            for section in self.sections
        ]

    def left_out_words(self, table: Table) -> str:
        """Say which rows of a table are not there, and why."""
        if not table.left_out:
            return ""
        names = {"names": ", ".join(table.left_out)}
        if not self.withholds:
            return _("Nothing to tell under: %(names)s.") % names
        return (
            _(
                "Not shown, because nobody has it, or too few, or it would give another away: "
                "%(names)s."
            )
            % names
        )

    @property
    def tables(self) -> list[Table]:
        """All tables, in order."""
        return [table for section in self.sections for table in section.tables]
