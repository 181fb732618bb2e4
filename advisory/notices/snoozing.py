"""How long a reminder may be put off: arithmetic on dates, no rows, no clock.

To put it off holds back what is said, never what is due; it is no leave to run on.
"""

from datetime import date, timedelta

from advisory.plans.enums import DueState

# Common practice, no source: longer than parts take to come, shorter than anybody forgets.
LONGEST_AHEAD = timedelta(days=60)
# What is due already is put off for as long as a workshop's next free day takes, and no longer.
LONGEST_DUE = timedelta(days=28)

DUE_ALREADY = frozenset({DueState.DUE, DueState.LATE})


def latest_day(
    *, state: DueState, expected: date | None, stop_matter: bool, today: date
) -> date | None:
    """Return the last day to which an item may be put off; None where it may not be at all.

    Parameters
    ----------
    state
        How near the item stands.
    expected
        The day on which it is expected to fall due.
    stop_matter
        Whether leaving it past its day may cost the unit: then not past that day, and not at all
        once it has come.
    today
        The day it is where the person is.
    """
    if state in DUE_ALREADY:
        return None if stop_matter else today + LONGEST_DUE
    latest = today + LONGEST_AHEAD
    if not stop_matter:
        return latest
    if expected is None:
        return None  # nobody can say how near it is
    latest = min(latest, expected)
    return latest if latest > today else None
