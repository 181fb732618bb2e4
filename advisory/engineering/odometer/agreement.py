"""Which of many readings agree with one another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from advisory.engineering.odometer.instruments import Instrument, Shown
from advisory.engineering.odometer.plausible import Step, step_between

#: How many readings must speak against a confirmed one before the distance over it counts as
#: unknown rather than those readings as wrong. Set by us, no source.
READINGS_AGAINST_CONFIRMED = 2.5

_CONFIRMED_WEIGHT = 1e6
_WAYS_KEPT = 24


def in_order(readings: Iterable[Shown], counts: int) -> list[Shown]:
    """Put readings in order: by day, and on one day the way the instrument turns.

    Parameters
    ----------
    readings : iterable of Shown
        In any order.
    counts : int
        Numbers that the instrument has.

    Returns
    -------
    list of Shown
        On one day the shortest way round is taken: 99 990 comes before 00 020.

    Examples
    --------
    >>> [r.shown for r in in_order([Shown(3, 20), Shown(3, 99_990), Shown(1, 99_900)], 100_000)]
    [99900, 99990, 20]
    """
    ordered = sorted(readings, key=lambda reading: (reading.day, reading.shown))
    start = 0
    while start < len(ordered):
        end = start + 1
        while end < len(ordered) and ordered[end].day == ordered[start].day:
            end += 1
        if end - start > 1:
            ordered[start:end] = _the_short_way_round(ordered[start:end], counts)
        start = end
    return ordered


def weight(reading: Shown) -> float:
    """Say how much a reading counts against others.

    Parameters
    ----------
    reading : Shown
        Any reading.

    Returns
    -------
    float
        One; more than any number of others for what a person confirmed.
    """
    return _CONFIRMED_WEIGHT if reading.confirmed or reading.went_round else 1.0


def believed(
    instrument: Instrument, readings: Sequence[Shown], weights: Sequence[float] | None = None
) -> list[tuple[int, Step | None]]:
    """Choose the readings that agree with one another.

    Parameters
    ----------
    instrument : Instrument
        What showed them.
    readings : sequence of Shown
        In order.
    weights : sequence of float, optional
        How much each counts; `weight` of each where left out.

    Returns
    -------
    list of (int, Step or None)
        Places of the chosen, in order, and how each follows the chosen one before it.

    Examples
    --------
    >>> five = Instrument(1609.344, 5)
    >>> typed = [Shown(0, 41_200), Shown(9, 91_310), Shown(20, 41_400), Shown(30, 41_520)]
    >>> [place for place, _step in believed(five, typed)]
    [0, 2, 3]
    """
    plain: list[tuple[int, Step | None]] = [(0, None)] if readings else []
    for place, (earlier, later) in enumerate(pairwise(readings), start=1):
        step = step_between(instrument, earlier, later)
        if step not in (Step.FORWARD, Step.ROUND):
            return _heaviest(instrument, readings, weights or [weight(r) for r in readings])
        plain.append((place, step))
    return plain


def _the_short_way_round(same_day: list[Shown], counts: int) -> list[Shown]:
    gaps = [later.shown - earlier.shown for earlier, later in pairwise(same_day)]
    gaps.append(same_day[0].shown + counts - same_day[-1].shown)
    widest = max(range(len(gaps)), key=gaps.__getitem__)
    # ascending, unless the way past nought is clearly the shorter one
    if gaps[widest] <= counts / 2 or widest == len(gaps) - 1:
        return same_day
    return same_day[widest + 1 :] + same_day[: widest + 1]


def _heaviest(
    instrument: Instrument, readings: Sequence[Shown], weights: Sequence[float]
) -> list[tuple[int, Step | None]]:
    """Find the heaviest chain of readings in which each follows the one before believably."""
    before: list[tuple[int, Step] | None] = []
    best: list[float] = []
    ways: list[int] = []  # places at which the heaviest chains so far end
    for place, reading in enumerate(readings):
        link, gain = None, 0.0
        for end in ways:
            worth = best[end]
            if worth <= gain:
                break
            step = step_between(instrument, readings[end], reading)
            if step in (Step.BACKWARDS, Step.JUMP):
                if not reading.confirmed:
                    continue
                step, worth = Step.UNKNOWN, worth - READINGS_AGAINST_CONFIRMED
            if worth > gain:
                link, gain = (end, step), worth
        before.append(link)
        best.append(gain + weights[place])
        ways.append(place)
        ways.sort(key=lambda end: (-best[end], end))
        del ways[_WAYS_KEPT:]
    chosen: list[tuple[int, Step | None]] = []
    here: int | None = min(range(len(best)), key=lambda end: (-best[end], end))
    while here is not None:
        link = before[here]
        chosen.append((here, link[1] if link else None))
        here = link[0] if link else None
    return chosen[::-1]
