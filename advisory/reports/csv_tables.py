"""A report's tables as CSV files (RFC 4180) in one archive."""

import csv
import io
import zipfile
from datetime import date

from django.utils.translation import gettext as _

from advisory.reports.shown import Document

# A fixed date in the archive: the same report gives the same bytes.
# What a spreadsheet takes for the beginning of a formula, and the mark that says it is none.
FORMULAS = frozenset("=+-@\t\r'")
_STAMP = (1980, 1, 1, 0, 0, 0)


def zipped(document: Document, on: date) -> bytes:
    """Return an archive with one file a table, and one that says what they are about."""
    files = [("00-about.csv", _about(document, on))] + [
        (f"{number:02d}-{table.key.replace('_', '-')}.csv", table.in_numbers())
        for number, table in enumerate(document.tables, start=1)
    ]
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for called, rows in files:
            text = io.StringIO()
            csv.writer(text).writerows([[harmless(cell) for cell in row] for row in rows])
            name = zipfile.ZipInfo(called, _STAMP)
            name.compress_type = zipfile.ZIP_DEFLATED
            # with the mark by which a spreadsheet knows UTF-8
            archive.writestr(name, text.getvalue().encode("utf-8-sig"))
    return held.getvalue()


def _about(document: Document, on: date) -> list[list[object]]:
    """Say which report it is, and what each table shows and does not: a file travels alone."""
    rows: list[list[object]] = [
        [_("What"), _("Says")],
        [_("Report"), document.question],
        [_("Day"), on.isoformat()],
        [_("Designs"), document.designs],
        [_("Years"), document.years],
        [_("Answer"), f"{document.title}. {document.lead}"],
    ]
    rows += [[_("Note"), note] for note in document.notes]
    for section in document.sections:
        rows.append([section.title, f"{section.shows} {section.not_said}"])
        rows += [[section.title, note] for note in section.notes]
        for table in section.tables:
            left_out = document.left_out_words(table)
            if left_out:
                rows.append([table.title, left_out])
    return rows


def harmless(cell: object) -> object:
    """Keep a spreadsheet from taking what somebody typed for a formula; `as_typed` undoes it."""
    if isinstance(cell, str) and cell[:1] in FORMULAS:
        return f"'{cell}"
    return cell


def as_typed(cell: str) -> str:
    """Return a cell as it was typed."""
    return cell.removeprefix("'")
