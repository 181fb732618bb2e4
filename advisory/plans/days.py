"""Days on which a plan reads differently by itself, though nothing was written down.

Between two of them, from the same rows, a plan comes out the same: what compares with today in
`computation`, `spread` and `reckoning` is named here. One too many costs a reckoning by day; one
too few leaves the owner with yesterday's plan until the night.
"""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from advisory.engineering.usage_forecast import lay_up_ends
from advisory.plans.computation import GRACE, Due, step_back
from advisory.plans.spread import YOUNG_READING, Spread
from advisory.plans.work import Work
from advisory.usage.models import LayUp

TOMORROW = timedelta(days=1)


def days_that_matter(
    due: Due, expected: date | None, spread: Spread, work: Work, lapses: date | None
) -> list[date]:
    """Return the days on which one item changes by itself, past ones among them.

    `lapses` is the day from which there is no more point in it this season.
    """
    days = []
    if due.date is not None:
        days += [due.date, due.date + GRACE + TOMORROW]
    if expected is not None:
        days += [expected, expected - work.lead, expected - step_back(work.lead)]
    if spread.middle is not None:
        days.append(spread.middle)
    if spread.since is not None and spread.first is not None:
        days += [spread.since + YOUNG_READING + TOMORROW, spread.first - work.lead]
    if lapses is not None:
        days.append(lapses)
    return days


def days_of_lay_ups(lay_ups: Sequence[LayUp], today: date, season_ahead: timedelta) -> list[date]:
    """Return the days on which a car's lay-ups change what is known of it."""
    days = []
    for spell in lay_ups:
        days.append(spell.from_date)
        if spell.until_date is not None:
            days += [spell.until_date, spell.until_date + TOMORROW]
            continue
        # it is taken to last until spring, and after that from one day to the next
        begun, on = ((day + season_ahead).toordinal() for day in (spell.from_date, today))
        ends = date.fromordinal(lay_up_ends(begun, None, on)) - season_ahead
        days.append(ends + TOMORROW)
    return days


def next_of(days: Iterable[date], today: date) -> date | None:
    """Return the first of the days that is still to come."""
    return min((day for day in days if day > today), default=None)
