"""The figures of a report: what is reckoned for one choice of designs and years."""

from typing import Any

from advisory.reports.figures.choice import (
    ALL,
    OF_A_CLUB,
    OF_A_WORKSHOP,
    Admission,
    Choice,
    Manners,
)
from advisory.reports.figures.found import found_by_position, wear_by_design
from advisory.reports.figures.lasting import lasting
from advisory.reports.figures.looked_after import (
    by_design,
    by_feed,
    by_filter,
    in_time,
    oil_changes,
    without_age,
)
from advisory.reports.figures.marks import found_by_mark
from advisory.reports.figures.prepared import Prepared

__all__ = [
    "ALL",
    "OF_A_CLUB",
    "OF_A_WORKSHOP",
    "Admission",
    "Choice",
    "Manners",
    "Prepared",
    "tables_of",
]


def tables_of(prepared: Prepared, may: Admission) -> dict[str, list[dict[str, Any]]]:
    """Reckon all tables of one choice; what may not be told is left out of them."""
    lives = lasting(prepared, may)
    return {
        "fleet": by_filter(prepared, may),
        "designs": by_design(prepared, may) if len(may.choice.designs) > 1 else [],
        "feeds": by_feed(prepared, may),
        "in_time": in_time(prepared, may),
        "oil": oil_changes(prepared, may),
        "found": found_by_position(prepared, may),
        "marks": found_by_mark(prepared, may),
        "lives": lives.curves,
        "compared": lives.compared,
        "weibull": lives.laws,
        "wear": wear_by_design(prepared, may),
        "aged": without_age(prepared, may),
    }
