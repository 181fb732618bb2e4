"""Dates as logbooks write them. Day or month first is decided by the whole file, or by a person."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy


class DateOrder(TextChoices):
    """Which part of a date comes first where only figures are written."""

    ISO = "iso", gettext_lazy("Year first")
    DAY_FIRST = "day-first", gettext_lazy("Day first")
    MONTH_FIRST = "month-first", gettext_lazy("Month first")


MONTHS = {
    name: number
    for number, names in enumerate(
        ("jan january", "feb february", "mar march", "apr april", "may", "jun june", "jul july",
         "aug august", "sep sept september", "oct october", "nov november", "dec december"),
        start=1,
    )
    for name in names.split()
}  # fmt: skip

_TIME = re.compile(
    r"[T ,]+[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:[.,][0-9]+)?)?\s*(?:[ap]\.?m\.?)?"
    r"\s*(?:Z|[+-][0-9]{2}:?[0-9]{2})?$",
    re.IGNORECASE,
)
_YEAR_FIRST = re.compile(r"([0-9]{4})([-/. ])([0-9]{1,2})\2([0-9]{1,2})\.?")
_COMPACT = re.compile(r"((?:18|19|20)[0-9]{2})([0-9]{2})([0-9]{2})")
_FIGURES = re.compile(r"([0-9]{1,2})\s*([-/. ])\s*([0-9]{1,2})\s*\2\s*([0-9]{4}|[0-9]{2})\.?")
_WEEKDAY = re.compile(r"(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*[.,]?\s+", re.IGNORECASE)
_DAY_NAME = re.compile(
    r"([0-9]{1,2})(?:st|nd|rd|th)?[-/. ]+([a-z]+)[-/., ]+([0-9]{4}|[0-9]{2})", re.IGNORECASE
)
_NAME_DAY = re.compile(
    r"([a-z]+)[-/. ]+([0-9]{1,2})(?:st|nd|rd|th)?[-/., ]+([0-9]{4}|[0-9]{2})", re.IGNORECASE
)


@dataclass(frozen=True)
class DateCell:
    """What the text of a cell can mean, by the order of its parts; empty where it is no date."""

    meanings: dict[DateOrder, date]
    # only figures, so that the order matters
    open: bool = False

    def read(self, order: DateOrder | None) -> date | None:
        """Return the date, given the order of the file."""
        if not self.open:
            return next(iter(self.meanings.values()), None)
        return self.meanings.get(order) if order else None


@lru_cache(maxsize=20_000)
def read_cell(text: str, this_year: int) -> DateCell:
    """Return what a cell can mean as a date."""
    tidy = _WEEKDAY.sub("", " ".join(_TIME.sub("", text.strip()).split()), count=1)
    if match := _YEAR_FIRST.fullmatch(tidy) or _COMPACT.fullmatch(tidy):
        year, month, day = (match[1], *match.groups()[-2:])
        return DateCell(_meaning(DateOrder.ISO, year, month, day, this_year))
    if match := _DAY_NAME.fullmatch(tidy):
        return DateCell(_named(match[3], match[2], match[1], this_year))
    if match := _NAME_DAY.fullmatch(tidy):
        return DateCell(_named(match[3], match[1], match[2], this_year))
    if match := _FIGURES.fullmatch(tidy):
        first, mark, second, last = match.groups()
        meanings = {
            **_meaning(DateOrder.DAY_FIRST, last, second, first, this_year),
            **_meaning(DateOrder.MONTH_FIRST, last, first, second, this_year),
        }
        if mark == "-" and len(last) == 2 and len(first) == 2:
            meanings |= _meaning(DateOrder.ISO, first, second, last, this_year)
        return DateCell(meanings, open=True)
    return DateCell({})


def possible_orders(cells: Iterable[DateCell]) -> tuple[DateOrder, ...]:
    """Return the orders in which every date of a file makes sense; all alike count as one.

    A cell that is no date in any order says nothing. Of orders that give the same dates throughout
    the first stands for all. None where the cells contradict one another.
    """
    readable = {
        tuple(sorted(cell.meanings.items())) for cell in cells if cell.open and cell.meanings
    }
    if not readable:
        return ()
    told = [dict(meanings) for meanings in readable]
    orders = [order for order in DateOrder if all(order in meanings for meanings in told)]
    different: list[DateOrder] = []
    for order in orders:
        if not any(all(m[order] == m[other] for m in told) for other in different):
            different.append(order)
    return tuple(different)


def _named(year: str, month: str, day: str, this_year: int) -> dict[DateOrder, date]:
    number = MONTHS.get(month.casefold())
    if number is None:
        return {}
    return _meaning(DateOrder.ISO, year, str(number), day, this_year)


def _meaning(
    order: DateOrder, year: str, month: str, day: str, this_year: int
) -> dict[DateOrder, date]:
    full = int(year)
    if len(year) == 2:
        # the last hundred years: a logbook holds what has been
        full += 2000 if 2000 + full <= this_year else 1900
    try:
        return {order: date(full, int(month), int(day))}
    except ValueError:
        return {}
