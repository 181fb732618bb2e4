"""Documents on paper: set by Typst from a template and data, tagged, and the same each time."""

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, Literal

import typst

# Accessible, and for keeping (ISO 14289-1).
STANDARD: Literal["ua-1"] = "ua-1"


def set_pdf(template: Path, data: Mapping[str, Any], on: date) -> bytes:
    """Set a template as a PDF; `data` goes in as values, so that no word of it is read as markup.

    The same data on the same day gives the same bytes.
    """
    return typst.compile(
        template.read_bytes(),
        format="pdf",
        sys_inputs={"data": json.dumps({**data, "date": [on.year, on.month, on.day]})},
        pdf_standards=STANDARD,
        ignore_system_fonts=True,
        timestamp=int(datetime(on.year, on.month, on.day, tzinfo=UTC).timestamp()),
    )
