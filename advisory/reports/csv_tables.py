"""A report's tables as CSV files (RFC 4180) in one archive."""

import csv
import io
import zipfile

from advisory.reports.shown import Document

# A fixed date in the archive: the same report gives the same bytes.
_STAMP = (1980, 1, 1, 0, 0, 0)


def zipped(document: Document) -> bytes:
    """Return an archive with one file a table."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for number, table in enumerate(document.tables, start=1):
            text = io.StringIO()
            csv.writer(text).writerows(
                [[_harmless(cell) for cell in row] for row in table.in_numbers()]
            )
            name = zipfile.ZipInfo(f"{number:02d}-{table.key.replace('_', '-')}.csv", _STAMP)
            name.compress_type = zipfile.ZIP_DEFLATED
            # with the mark by which a spreadsheet knows UTF-8
            archive.writestr(name, text.getvalue().encode("utf-8-sig"))
    return held.getvalue()


def _harmless(cell: object) -> object:
    """Keep a spreadsheet from taking a name that somebody typed for a formula."""
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in "=+-@\t\r" and cell else cell
