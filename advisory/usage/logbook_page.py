"""The rows of a car's logbook as they are shown: newest first, with distance and doubts."""

from dataclasses import dataclass
from datetime import date

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from advisory.engineering.odometer import Doubt, Point, Step
from advisory.register.models import Odometer
from advisory.register.shown import in_figures
from advisory.usage.use import CarUse

DOUBTS: dict[Doubt, Promise] = {
    Doubt.GOES_BACKWARDS: _("Does not fit the readings around it, so it is not counted."),
    Doubt.JUMP_NOBODY_DRIVES: _("Farther than anybody drives, so it is not counted."),
}
STEPS: dict[Step | None, Promise] = {
    Step.ROUND: _("The odometer has gone past its last number."),
    Step.UNKNOWN: _("Counted anew: the distance before it is not known."),
}


@dataclass(frozen=True)
class LogbookRow:
    """One reading: the number, how far since the one before it, and what is to be said of it."""

    date: date
    shown: str
    metres: float | None
    since: float | None
    words: Promise | str
    doubtful: bool
    odometer: Odometer
    reading_pk: int | None
    note: str = ""
    confirmed: bool = False


def logbook_rows(use: CarUse) -> list[LogbookRow]:
    """Return a row for each reading of a car, the newest first."""
    kept = {row.pk: row for row in use.rows}
    rows: list[LogbookRow] = []
    before: Point | None = None
    for point in use.trace.points:
        since = None
        if point.metres is not None:
            if before is not None and before.metres is not None and point.step is not Step.UNKNOWN:
                since = point.metres - before.metres
            before = point
        key = point.reading.key
        stored = kept.get(key) if isinstance(key, int) else None
        rows.append(
            LogbookRow(
                date=date.fromordinal(point.reading.day),
                shown=in_figures(point.reading.shown),
                metres=point.metres,
                since=since,
                words=DOUBTS[point.doubt] if point.doubt else STEPS.get(point.step, ""),
                doubtful=point.doubt is not None,
                odometer=use.odometers[point.instrument],
                reading_pk=None if stored is None else stored.pk,
                note="" if stored is None else stored.note,
                confirmed=stored is not None and stored.confirmed,
            )
        )
    return rows[::-1]


def recent_readings(use: CarUse, count: int = 5) -> list[LogbookRow]:
    """Return the last few rows, for other apps' pages."""
    return logbook_rows(use)[:count]
