"""The distance at every reading of a car, over all its instruments."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from advisory.engineering.odometer.agreement import believed, in_order
from advisory.engineering.odometer.instruments import Instrument, Shown
from advisory.engineering.odometer.plausible import Step
from advisory.engineering.odometer.questions import Doubt, question_at


class Point(NamedTuple):
    """A reading in its place.

    `metres` is the distance since the first believed reading, None for one that isn't believed
    (`doubt` then says why). A new `stretch` begins where the distance since the one before is
    unknown; over that gap `metres` doesn't grow. `step` is how it follows the believed one before.
    """

    reading: Shown
    instrument: int
    metres: float | None
    stretch: int
    doubt: Doubt | None
    step: Step | None


class Mark(NamedTuple):
    """Distance by a day [m] and the stretch it is counted on."""

    metres: float
    stretch: int


@dataclass(frozen=True)
class Trace:
    """The readings of a car in order, over all its instruments."""

    points: tuple[Point, ...]

    @cached_property
    def believed(self) -> tuple[Point, ...]:
        """The points that carry a distance."""
        return tuple(point for point in self.points if point.metres is not None)

    @cached_property
    def days(self) -> tuple[int, ...]:
        """The days of the believed points."""
        return tuple(point.reading.day for point in self.believed)

    def breaks(self) -> tuple[int, ...]:
        """Return the days on which a stretch began whose distance from the last is unknown."""
        line = self.believed
        return tuple(b.reading.day for a, b in pairwise(line) if b.stretch != a.stretch)

    def at(self, day: int, shown: int | None = None) -> Mark | None:
        """Return the distance by the end of a day, or when a number was shown on it.

        Between two readings by a straight line over the days; before the first and after the last
        that of the nearest; over a gap of unknown distance that before it. None without readings.
        """
        line, days = self.believed, self.days
        if not line:
            return None
        first, after = bisect_left(days, day), bisect_right(days, day)
        for point in line[first:after]:
            if point.reading.shown == shown:
                return _mark(point)
        if first < after:
            return _mark(line[after - 1])
        if after == 0:
            return _mark(line[0])
        before = line[after - 1]
        if after == len(line) or line[after].stretch != before.stretch:
            return _mark(before)
        start, end = _mark(before), _mark(line[after])
        share = (day - days[after - 1]) / (days[after] - days[after - 1])
        return Mark(start.metres + share * (end.metres - start.metres), start.stretch)


def trace(instruments: Sequence[Instrument]) -> Trace:
    """Work out the distance at every reading of a car.

    The largest set of readings that agree with one another is believed, and what a person confirmed
    weighs more than any number of others. Where two confirmed numbers contradict each other, or an
    instrument was replaced by one whose numbers nobody knows, the distance between is unknown and a
    new stretch begins.

    Parameters
    ----------
    instruments : sequence of Instrument
        In the order in which they were fitted.

    Returns
    -------
    Trace
        All readings, in order, believed or not.

    Examples
    --------
    >>> line = trace([Instrument(1609.344, 5, (Shown(0, 99_950), Shown(7, 120)))])
    >>> round(line.points[-1].metres / 1609.344)
    170
    """
    points: list[Point] = []
    metres, stretch, anything = 0.0, 0, False
    for number, instrument in enumerate(instruments):
        after = instruments[number + 1] if number + 1 < len(instruments) else None
        readings = in_order(_with_its_ends(instrument, after), instrument.counts)
        chosen = dict(believed(instrument, readings))
        places = sorted(chosen)
        joined = instrument.shown_when_fitted is not None and (
            instrument.predecessor_showed is not None
        )
        last: Shown | None = None
        for place, reading in enumerate(readings):
            if place not in chosen:
                asked = question_at(instrument, readings, places, place)
                doubt = asked.doubt if asked else Doubt.JUMP_NOBODY_DRIVES
                points.append(Point(reading, number, None, stretch, doubt, None))
                continue
            step = chosen[place]
            if last is None and anything and not joined:
                step = Step.UNKNOWN
            if step is Step.UNKNOWN:
                stretch += 1
            elif last is not None:
                counts = (reading.shown - last.shown) % instrument.counts
                metres += counts * instrument.metres_per_count
            points.append(Point(reading, number, metres, stretch, None, step))
            last, anything = reading, True
    return Trace(tuple(points))


def _mark(point: Point) -> Mark:
    assert point.metres is not None
    return Mark(point.metres, point.stretch)


def _with_its_ends(instrument: Instrument, after: Instrument | None) -> list[Shown]:
    readings = list(instrument.readings)
    if instrument.fitted_on is not None and instrument.shown_when_fitted is not None:
        readings.append(Shown(instrument.fitted_on, instrument.shown_when_fitted, confirmed=True))
    if after is not None and after.fitted_on is not None and after.predecessor_showed is not None:
        readings.append(Shown(after.fitted_on, after.predecessor_showed, confirmed=True))
    return readings
