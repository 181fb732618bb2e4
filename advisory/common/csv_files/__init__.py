"""Reading CSV files as people's spreadsheets write them: pure, and guessing nothing."""

from advisory.common.csv_files.dates import DateCell, DateOrder, possible_orders, read_cell
from advisory.common.csv_files.text import LARGEST_FILE, FileRefused, Row, decode, rows_of

__all__ = [
    "LARGEST_FILE",
    "DateCell",
    "DateOrder",
    "FileRefused",
    "Row",
    "decode",
    "possible_orders",
    "read_cell",
    "rows_of",
]
