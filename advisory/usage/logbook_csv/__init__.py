"""Reading a logbook from a CSV file: pure, and guessing nothing that the file doesn't decide."""

from advisory.common.csv_files.dates import DateOrder
from advisory.common.csv_files.text import FileRefused
from advisory.usage.logbook_csv.columns import Column
from advisory.usage.logbook_csv.reader import Flaw, Line, Logbook, read_logbook

__all__ = [
    "Column",
    "DateOrder",
    "FileRefused",
    "Flaw",
    "Line",
    "Logbook",
    "read_logbook",
]
