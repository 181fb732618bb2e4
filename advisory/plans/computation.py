"""When work is due and how near that is: arithmetic on dates and distances, no rows, no clock.

Distances are in metres, on the unit's own count; a due date is a date in the owner's zone.
"""

import calendar
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from advisory.plans.enums import CountedFrom, DueState

# Lead and grace. Common practice, no source: chosen so that parts can be ordered and a free
# week-end found, and so that work done a little after the mark still counts as done in time.
USUAL_LEAD = timedelta(days=21)
LEAD_SHARE = 0.10  # of the distance between two times, too
GRACE = timedelta(days=14)
GRACE_SHARE = 0.10
# A state is taken back only when the forecast has moved beyond the lead by this much, so that a
# forecast that shakes doesn't make it come and go. Common practice, no source.
LEAST_STEP_BACK = timedelta(days=14)
STEP_BACK_SHARE = 0.25


@dataclass(frozen=True)
class Spell:
    """Days on which a unit stood still, both included; open while it lasts."""

    since: date
    until: date | None = None

    def holds(self, day: date) -> bool:
        """Say whether `day` lies in it."""
        return self.since <= day and (self.until is None or day <= self.until)


class Anchor(NamedTuple):
    """What limits are counted from; `distance` is None where the unit's distance is unknown."""

    date: date
    distance: float | None
    counted_from: CountedFrom


class Limits(NamedTuple):
    """How long one kind of work may wait: whichever comes first.

    `distance` in metres, `running_time` in seconds and `months` count from the anchor; `on` is a
    day that the calendar sets. `goes_with_distance` is the running time that `distance` comes to,
    as an estimate, and limits nothing by itself.
    """

    distance: float | None = None
    running_time: float | None = None
    goes_with_distance: float | None = None
    months: int | None = None
    on: date | None = None

    @property
    def counts_distance(self) -> bool:
        """Whether a limit is counted on the way that the unit comes."""
        return self.distance is not None or self.running_time is not None


class Due(NamedTuple):
    """When it is due by each limit; None where a limit doesn't bind or can't be told."""

    distance: float | None
    date: date | None
    interval: float | None


class Standing(NamedTuple):
    """Where the unit stands today."""

    today: date
    distance: float | None
    still: bool


def add_months(anchor: date, months: int) -> date:
    """Count calendar months from `anchor`; a day that the month lacks becomes its last one."""
    year, month = divmod(anchor.year * 12 + anchor.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(anchor.day, last))


def next_season(after: date, month: int, day: int) -> date:
    """Return the first such day of the year that comes after `after`."""
    this_year = date(after.year, month, day)
    return this_year if this_year > after else date(after.year + 1, month, day)


def after_standing(day: date, spells: Iterable[Spell]) -> date:
    """Move a due day that falls into a spell of standing still to the spell's end.

    What falls due while a car is laid up is wanted before it runs again, not earlier.
    """
    for spell in sorted(spells, key=lambda spell: spell.since):
        if spell.until is not None and spell.holds(day):
            day = spell.until
    return day


def due_of(
    limits: Limits,
    anchor: Anchor,
    spells: Iterable[Spell] = (),
    *,
    ran_out_at: float | None = None,
) -> Due:
    """Return when work is due that was last done at `anchor`.

    `ran_out_at` is the unit's distance at which the limit's running time is used up.
    """
    marks = [] if ran_out_at is None else [ran_out_at]
    if limits.distance is not None and anchor.distance is not None:
        marks.append(anchor.distance + limits.distance)
    by_distance = min(marks, default=None)
    interval = limits.distance
    if by_distance is not None and anchor.distance is not None:
        interval = max(by_distance - anchor.distance, 0.0)
    days = [] if limits.months is None else [add_months(anchor.date, limits.months)]
    days += [] if limits.on is None else [limits.on]
    by_date = after_standing(min(days), spells) if days else None
    return Due(by_distance, by_date, interval)


def is_late(due: Due, day: date, distance: float | None) -> bool:
    """Say whether the due point lies back by more than the grace on `day`, at `distance`."""
    if due.date is not None and day > due.date + GRACE:
        return True
    if due.distance is None or distance is None:
        return False
    return distance > due.distance + GRACE_SHARE * (due.interval or 0.0)


def was_in_time(due: Due, day: date, distance: float | None) -> bool | None:
    """Say whether work done on `day` came in time; None where the plan had no due point."""
    if due.date is None and (due.distance is None or distance is None):
        return None
    return not is_late(due, day, distance)


def is_reached(due: Due, standing: Standing) -> bool:
    """Say whether the due point is reached for certain: by the calendar, or by a reading."""
    if due.date is not None and standing.today >= due.date:
        return True
    return (
        due.distance is not None
        and standing.distance is not None
        and standing.distance >= due.distance
    )


def first_day(due: Due, forecast: date | None) -> date | None:
    """Return the day on which the first limit is expected to be met."""
    return min((day for day in (due.date, forecast) if day is not None), default=None)


def step_back(lead: timedelta) -> timedelta:
    """Return how long before its day work that was near stays near."""
    return lead + max(LEAST_STEP_BACK, STEP_BACK_SHARE * lead)


def state_of(
    due: Due,
    expected: date | None,
    standing: Standing,
    *,
    lead: timedelta = USUAL_LEAD,
    before: DueState | None = None,
) -> DueState:
    """Say how near work is.

    Parameters
    ----------
    due
        When it is due by each limit.
    expected
        The day on which the first limit is expected to be met.
    standing
        Where the unit stands; a unit that stands still lets everything rest.
    lead
        How long before that day it is brought to the owner's notice.
    before
        The state of the same cycle when last computed, if any: it holds until the forecast has
        moved away by more than it may shake.
    """
    if standing.still:
        return DueState.RESTING
    if is_late(due, standing.today, standing.distance):
        return DueState.LATE
    reached = due.distance is not None and (
        standing.distance is not None and standing.distance >= due.distance
    )
    if reached or (expected is not None and standing.today >= expected):
        return DueState.DUE
    left = None
    if due.distance is not None and standing.distance is not None and due.interval:
        left = (due.distance - standing.distance) / due.interval
    if expected is None and left is None:
        return DueState.RESTING
    if before in {DueState.NEAR, DueState.DUE, DueState.LATE}:
        lead = step_back(lead)
    if left is not None and left <= LEAD_SHARE:
        return DueState.NEAR
    if expected is not None and expected - standing.today <= lead:
        return DueState.NEAR
    return DueState.AHEAD
