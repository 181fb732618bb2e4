"""Running time from what an hour counter showed, and the mean speed that follows from it.

Days are proleptic ordinals (`datetime.date.toordinal`), running time seconds. Like distance,
running time is always worked out anew from all that the counter showed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from advisory.engineering.arguments import require

# Below so much running time a mean speed says more of one outing than of the car's use.
# Set by us: about a week-end's driving.
LEAST_RUN = 5 * 3600.0
# A mean speed outside of this is a mistake in the numbers, not a way to drive. Set by us.
SLOWEST, FASTEST = 5 / 3.6, 150 / 3.6


@dataclass(frozen=True)
class CounterShown:
    """What the counter showed on a day; `anew`: the first number of another counter.

    `running_time` in seconds.
    """

    day: int
    running_time: float
    anew: bool = False


@dataclass(frozen=True)
class CounterMark:
    """Running time [s] counted up to a day; `stretch` is counted up at each change of counter."""

    day: int
    run: float
    stretch: int


@dataclass(frozen=True)
class CounterTrace:
    """The running time at each reading that is believed, in the order of days."""

    marks: tuple[CounterMark, ...] = ()

    @property
    def last(self) -> CounterMark | None:
        """The last reading."""
        return self.marks[-1] if self.marks else None

    def at(self, day: int) -> CounterMark | None:
        """Return the running time on a day, in proportion between two readings of one counter.

        Parameters
        ----------
        day
            Proleptic ordinal.

        Returns
        -------
        CounterMark or None
            None before the first reading, after the last one, and between two counters.
        """
        for mark in reversed(self.marks):
            if mark.day == day:
                return mark
        for before, after in pairwise(self.marks):
            if before.day < day < after.day and before.stretch == after.stretch:
                share = (day - before.day) / (after.day - before.day)
                run = before.run + share * (after.run - before.run)
                return CounterMark(day, run, after.stretch)
        return None

    def since(self, day: int) -> float | None:
        """Return the running time [s] from a day to the last reading; None where it isn't known."""
        begun, last = self.at(day), self.last
        if begun is None or last is None or begun.stretch != last.stretch:
            return None
        return last.run - begun.run

    @property
    def first_of_last(self) -> CounterMark | None:
        """The first reading of the counter that is there now."""
        last = self.last
        if last is None:
            return None
        return next(mark for mark in self.marks if mark.stretch == last.stretch)


def counter_trace(shown: Sequence[CounterShown]) -> CounterTrace:
    """Work out the running time at every reading.

    A number that is lower than the one before it, without another counter, is left out: an hour
    counter does not go back.

    Parameters
    ----------
    shown
        What the counter showed, in any order; of two on one day the larger is the later.

    Returns
    -------
    CounterTrace
        Running time counted from the first reading.

    Examples
    --------
    >>> trace = counter_trace([CounterShown(10, 3600.0), CounterShown(30, 7200.0)])
    >>> trace.at(20).run
    1800.0
    """
    marks: list[CounterMark] = []
    showed = 0.0
    for one in sorted(shown, key=lambda one: (one.day, one.anew, one.running_time)):
        require("running_time", one.running_time, at_least=0)
        if not marks:
            marks.append(CounterMark(one.day, 0.0, 0))
        elif one.anew:
            marks.append(CounterMark(one.day, marks[-1].run, marks[-1].stretch + 1))
        elif one.running_time >= showed:
            run = marks[-1].run + one.running_time - showed
            marks.append(CounterMark(one.day, run, marks[-1].stretch))
        else:
            continue
        showed = one.running_time
    return CounterTrace(tuple(marks))


def mean_speed(distance: float, running_time: float) -> float | None:
    """Return the mean speed: distance over time.

    Parameters
    ----------
    distance
        Distance covered [m].
    running_time
        Running time meanwhile [s].

    Returns
    -------
    float or None
        Mean speed [m/s]. None where the running time is too short to tell, or the speed is none
        that a car of this kind is driven at.

    Examples
    --------
    >>> mean_speed(450e3, 10 * 3600.0)
    12.5
    """
    if not running_time >= LEAST_RUN:
        return None
    speed = distance / running_time
    return speed if SLOWEST <= speed <= FASTEST else None
