"""Documents on paper: set by Typst from a template and data, tagged, and the same each time."""

import json
import re
from collections.abc import Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, Literal

import typst

# Accessible, and for keeping (ISO 14289-1).
STANDARD: Literal["ua-1"] = "ua-1"
# What the font in the wheel is sure to have: Latin, Greek and Cyrillic letters, signs of the trade.
# A sign that it lacks would make the document one that can't be read aloud, and is refused.
_IN_THE_FONT = re.compile(
    "[^\n -~\u00a0-\u017f\u0386-\u03ce\u0400-\u045f\u2010-\u2026\u2030\u2032\u2033"
    "\u20ac\u2116\u2122\u2212]"
)
_PLAIN = re.compile(r"[^\n -~]")
MISSING = "?"


def set_pdf(template: Path, data: Mapping[str, Any], on: date) -> bytes:
    """Set a template as a PDF; `data` goes in as values, so that no word of it is read as markup.

    The same data on the same day gives the same bytes. A letter that the font lacks is set as a
    question mark.
    """
    whole = {**data, "date": [on.year, on.month, on.day]}
    for missing in (None, _IN_THE_FONT):
        try:
            return _compiled(template, _without(whole, missing), on)
        except typst.TypstError as error:
            if "could not be displayed" not in str(error):
                raise
    return _compiled(template, _without(whole, _PLAIN), on)


def _without(value: Any, missing: "re.Pattern[str] | None") -> Any:
    """Return data with some letters of all its texts set as missing."""
    if missing is None:
        return value
    if isinstance(value, str):
        # a picture is drawn, not set
        return value if value.startswith("<svg") else missing.sub(MISSING, value)
    if isinstance(value, Mapping):
        return {key: _without(one, missing) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_without(one, missing) for one in value]
    return value


def _compiled(template: Path, data: Any, on: date) -> bytes:
    return typst.compile(
        template.read_bytes(),
        format="pdf",
        sys_inputs={"data": json.dumps(data)},
        pdf_standards=STANDARD,
        ignore_system_fonts=True,
        timestamp=int(datetime(on.year, on.month, on.day, tzinfo=UTC).timestamp()),
    )
