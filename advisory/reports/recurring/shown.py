"""What comes back again, as a page shows it and as a file holds it."""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _

from advisory.reports.csv_tables import harmless
from advisory.reports.enums import Cut, Stands
from advisory.reports.recurring.counted import Interval, Row, Sums, Table, Tables
from advisory.reports.recurring.words import (
    COMPARED,
    cell_in_words,
    found_in_words,
    interval_in_words,
    standing_in_words,
    stands_in_words,
    years_in_words,
)

# A list that nobody reads to its end helps nobody; the file has all of it.
MOST_ROWS = 30
# Rows on which nothing was found say nothing there, and there are many of them.
_ONLY_FOUND = frozenset({Cut.POSITION, Cut.MARK, Cut.CAUSE, Cut.BATCH, Cut.ORIGIN})


@dataclass(frozen=True)
class RowShown:
    """A row in words; `sentence` says all of it where it stands out."""

    cut: Cut
    key: str
    name: str
    found: str
    years: str
    rate: str
    other: str
    ratio: str
    stands: str
    sentence: str


@dataclass(frozen=True)
class TableShown:
    """A cut as its page shows it, and how many rows are left to the file."""

    cut: Cut
    title: str
    compared: Promise | str
    rows: tuple[RowShown, ...]
    left_out: int


def row_shown(cut: Cut, row: Row) -> RowShown:
    """Say a row in words."""
    return RowShown(
        cut=cut,
        key=row.cell.key,
        name=cell_in_words(cut, row.cell),
        found=found_in_words(row),
        years=years_in_words(row.own.years),
        rate=interval_in_words(row.own.rate),
        other=interval_in_words(row.others.rate),
        ratio=interval_in_words(row.ratio),
        stands=stands_in_words(row),
        sentence="" if row.stands == Stands.NOT else standing_in_words(row),
    )


def table_shown(table: Table) -> TableShown:
    """Say a cut in words: what stands out, then what has most findings."""
    rows = [
        row
        for row in table.rows
        if row.own.findings or row.stands != Stands.NOT or table.cut not in _ONLY_FOUND
    ]
    return TableShown(
        cut=table.cut,
        title=str(table.cut.label),
        compared=COMPARED[table.cut],
        rows=tuple(row_shown(table.cut, row) for row in rows[:MOST_ROWS]),
        left_out=len(table.rows) - min(len(rows), MOST_ROWS),
    )


def csv_of(tables: Tables) -> bytes:
    """Return every row of every cut as one CSV file (RFC 4180), with all that was reckoned."""
    text = io.StringIO()
    csv.writer(text).writerows([harmless(cell) for cell in line] for line in _lines(tables))
    # with the mark by which a spreadsheet knows UTF-8
    return text.getvalue().encode("utf-8-sig")


def _lines(tables: Tables) -> Iterator[list[object]]:
    own = [_("findings"), _("units with any"), _("units"), _("years")]
    rate = [_("a year"), _("at least"), _("at most")]
    yield [
        _("counted"),
        _("what"),
        *own,
        *rate,
        *(_("others: %(what)s") % {"what": head} for head in (*own, *rate)),
        _("times as often"),
        _("at least"),
        _("at most"),
        _("p, allowing for all comparisons"),
        _("stands out"),
    ]
    for table in tables.tables:
        for row in table.rows:
            yield [
                table.cut.label,
                cell_in_words(table.cut, row.cell),
                *_sums(row.own),
                *_sums(row.others),
                *_ends(row.ratio),
                float(f"{row.adjusted:.3g}"),
                stands_in_words(row),
            ]


def _sums(sums: Sums) -> list[object]:
    years = round(sums.years, 2)
    return [sums.findings, sums.units_with, sums.units, years, *_ends(sums.rate)]


def _ends(found: Interval | None) -> list[object]:
    if found is None:
        return ["", "", ""]
    ends = (found.value, found.lower, found.upper)
    return ["" if end is None else float(f"{end:.4g}") for end in ends]
