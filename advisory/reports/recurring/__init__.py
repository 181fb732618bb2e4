"""What comes back again: a workshop's findings by design, position, filter, batch and origin."""

from advisory.reports.recurring.behind import UnitBehind, units_behind
from advisory.reports.recurring.counted import Row, Table, Tables, tables_of
from advisory.reports.recurring.gathering import Watched, watched_by

__all__ = [
    "Row",
    "Table",
    "Tables",
    "UnitBehind",
    "Watched",
    "tables_of",
    "units_behind",
    "watched_by",
]
