"""What a person drives: which number is believed after which."""

from __future__ import annotations

from enum import Enum
from itertools import pairwise

from advisory.engineering.errors import OutOfRange
from advisory.engineering.odometer.instruments import Instrument, Shown

#: The farthest that is believed without a word, by days between two readings: (days, metres).
#: Between them by straight lines. Common practice, no source: a day at the wheel, a day and a
#: night, a touring week at over 400 km a day, a month of touring, and a year of a car in daily use;
#: old cars seldom cover a third of that. A longer way is asked about, not refused.
FARTHEST = ((0, 800e3), (1, 1_200e3), (7, 3_000e3), (30, 6_000e3), (365, 16_000e3))

#: What is added a year beyond the last of these [m]. Common practice, no source.
FARTHEST_PER_FURTHER_YEAR = 10_000e3

#: An instrument is believed to have gone round only where that needs at most this share of its
#: whole range; beyond it a mistyped number is the likelier story. Set by us, no source.
ROUND_AT_MOST = 0.5


class Step(Enum):
    """How one reading follows another."""

    FORWARD = "forward"
    ROUND = "round"
    BACKWARDS = "backwards"
    JUMP = "jump"
    UNKNOWN = "unknown"


def farthest_in(days: int) -> float:
    """Compute the farthest way that is believed without a word.

    Parameters
    ----------
    days : int
        Days between two readings [d], not negative.

    Returns
    -------
    float
        Distance [m], by straight lines between the entries of `FARTHEST`.

    Raises
    ------
    OutOfRange
        For a negative number of days.

    Examples
    --------
    >>> farthest_in(7)
    3000000.0
    >>> farthest_in(365 + 365)
    26000000.0
    """
    if not days >= 0:
        raise OutOfRange("days", "at least 0 d", days)
    for (left, low), (right, high) in pairwise(FARTHEST):
        if days <= right:
            return low + (high - low) * (days - left) / (right - left)
    last_days, last_metres = FARTHEST[-1]
    return last_metres + FARTHEST_PER_FURTHER_YEAR * (days - last_days) / 365


def step_between(instrument: Instrument, earlier: Shown, later: Shown) -> Step:
    """Say how one number follows another, by what a person drives.

    Parameters
    ----------
    instrument : Instrument
        The instrument that showed both.
    earlier, later : Shown
        The two, in order.

    Returns
    -------
    Step
        FORWARD or ROUND where the way is believed; BACKWARDS or JUMP where it isn't.

    Examples
    --------
    >>> five = Instrument(1609.344, 5)
    >>> step_between(five, Shown(0, 99_950), Shown(7, 120)).value
    'round'
    >>> step_between(five, Shown(0, 45_210), Shown(7, 45_120)).value
    'backwards'
    """
    counts = later.shown - earlier.shown
    if counts >= 0:
        if later.confirmed:
            return Step.FORWARD
        far = counts * instrument.metres_per_count > farthest_in(later.day - earlier.day)
        return Step.JUMP if far else Step.FORWARD
    if later.went_round:
        return Step.ROUND
    round_counts = counts + instrument.counts
    if round_counts > ROUND_AT_MOST * instrument.counts:
        return Step.BACKWARDS
    far = round_counts * instrument.metres_per_count > farthest_in(later.day - earlier.day)
    return Step.BACKWARDS if far else Step.ROUND
