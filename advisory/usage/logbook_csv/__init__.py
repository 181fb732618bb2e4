"""Reading a logbook from a CSV file: pure, and guessing nothing that the file doesn't decide."""

from advisory.usage.logbook_csv.columns import Column
from advisory.usage.logbook_csv.dates import DateOrder
from advisory.usage.logbook_csv.reader import Flaw, Line, Logbook, read_logbook
from advisory.usage.logbook_csv.text import LogbookError

__all__ = [
    "Column",
    "DateOrder",
    "Flaw",
    "Line",
    "Logbook",
    "LogbookError",
    "read_logbook",
]
