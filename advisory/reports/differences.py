"""What differs between two reports: the figures that both tell, where they are not the same."""

from dataclasses import dataclass

from advisory.reports.shown import Document
from advisory.reports.shown.figures import NOT_SHOWN


@dataclass(frozen=True)
class Differs:
    """One figure, before and now."""

    row: str
    column: str
    before: str
    now: str


@dataclass(frozen=True)
class DiffersTable:
    """The figures of one table that differ."""

    title: str
    figures: list[Differs]


def differences_between(before: Document, now: Document) -> list[DiffersTable]:
    """Hold two reports of the same choice against each other, table by table."""
    earlier = {
        (table.key, row.label, head): cell
        for table in before.tables
        for row in table.in_words
        for head, cell in zip(table.head, row.cells, strict=True)
    }
    found = []
    for table in now.tables:
        figures = []
        for row in table.in_words:
            for head, cell in zip(table.head, row.cells, strict=True):
                then = earlier.get((table.key, row.label, head), str(NOT_SHOWN))
                if then != cell:
                    figures.append(Differs(row.label, head, then, cell))
        if figures:
            found.append(DiffersTable(table.title, figures))
    return found
