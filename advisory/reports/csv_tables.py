"""A report's tables as CSV files (RFC 4180) in one archive."""

import csv
import io
import zipfile

from advisory.reports.shown import Document

# A fixed date in the archive: the same report gives the same bytes.
# What a spreadsheet takes for the beginning of a formula, and the mark that says it is none.
FORMULAS = frozenset("=+-@\t\r'")
_STAMP = (1980, 1, 1, 0, 0, 0)


def zipped(document: Document) -> bytes:
    """Return an archive with one file a table."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for number, table in enumerate(document.tables, start=1):
            text = io.StringIO()
            csv.writer(text).writerows(
                [[harmless(cell) for cell in row] for row in table.in_numbers()]
            )
            name = zipfile.ZipInfo(f"{number:02d}-{table.key.replace('_', '-')}.csv", _STAMP)
            name.compress_type = zipfile.ZIP_DEFLATED
            # with the mark by which a spreadsheet knows UTF-8
            archive.writestr(name, text.getvalue().encode("utf-8-sig"))
    return held.getvalue()


def harmless(cell: object) -> object:
    """Keep a spreadsheet from taking what somebody typed for a formula; `as_typed` undoes it."""
    if isinstance(cell, str) and cell[:1] in FORMULAS:
        return f"'{cell}"
    return cell


def as_typed(cell: str) -> str:
    """Return a cell as it was typed."""
    return cell.removeprefix("'")
