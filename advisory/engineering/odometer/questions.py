"""Numbers that are not believed without a word."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from advisory.engineering.odometer.agreement import believed, in_order, weight
from advisory.engineering.odometer.instruments import Instrument, Shown
from advisory.engineering.odometer.plausible import Step, farthest_in, step_between


class Doubt(Enum):
    """Why a number is not believed without a word."""

    GOES_BACKWARDS = "goes_backwards"
    JUMP_NOBODY_DRIVES = "jump_nobody_drives"


@dataclass(frozen=True, slots=True)
class Question:
    """Why a new number is not believed: against which other, how far [m] and what would be [m].

    `round_metres` is how far it would be if the instrument had gone past its last number since the
    other [m]; None where that explains nothing.
    """

    doubt: Doubt
    other: Shown
    metres: float
    farthest: float
    round_metres: float | None = None

    @property
    def may_have_gone_round(self) -> bool:
        """Whether somebody may have driven past the last number since the other."""
        return self.round_metres is not None and self.round_metres <= self.farthest


def question_about(instrument: Instrument, new: Shown) -> Question | None:
    """Say whether a new number is believed beside those that are there.

    Parameters
    ----------
    instrument : Instrument
        With the readings that are there already.
    new : Shown
        The number that somebody typed; its own `confirmed` and `went_round` count.

    Returns
    -------
    Question or None
        None where it fits between its neighbours.
    """
    return questions_about(instrument, (new,))[0]


def questions_about(instrument: Instrument, new: Sequence[Shown]) -> list[Question | None]:
    """Say of many new numbers at once which are not believed beside those that are there.

    Parameters
    ----------
    instrument : Instrument
        With the readings that are there already; where they agree among themselves, they count for
        more than any number of new ones.
    new : sequence of Shown
        The new ones.

    Returns
    -------
    list of (Question or None)
        One for each new number, in the order given.
    """
    there = in_order(instrument.readings, instrument.counts)
    standing = {id(there[place]) for place, _step in believed(instrument, there)}
    both = in_order([*there, *new], instrument.counts)
    weights = [weight(r) * (1e3 if id(r) in standing else 1.0) for r in both]
    chosen = [place for place, _step in believed(instrument, both, weights)]
    places = {id(reading): place for place, reading in enumerate(both)}
    return [question_at(instrument, both, chosen, places[id(reading)]) for reading in new]


def question_at(
    instrument: Instrument, readings: Sequence[Shown], chosen: Sequence[int], place: int
) -> Question | None:
    """Say why the reading at a place is not among the chosen.

    Parameters
    ----------
    instrument : Instrument
        What showed them.
    readings : sequence of Shown
        In order.
    chosen : sequence of int
        Places of the believed ones, ascending.
    place : int
        The place asked about.

    Returns
    -------
    Question or None
        None where it is believed, or fits both its neighbours.
    """
    after = bisect_left(chosen, place)
    if after < len(chosen) and chosen[after] == place:
        return None
    pairs = []
    if after > 0:
        pairs.append((chosen[after - 1], place, chosen[after - 1]))
    if after < len(chosen):
        pairs.append((place, chosen[after], chosen[after]))
    for first, second, other in pairs:
        earlier, later = readings[first], readings[second]
        step = step_between(instrument, earlier, later)
        if step in (Step.FORWARD, Step.ROUND):
            continue
        doubt = Doubt.JUMP_NOBODY_DRIVES if step is Step.JUMP else Doubt.GOES_BACKWARDS
        counts = later.shown - earlier.shown
        way = counts * instrument.metres_per_count
        round_way = None
        if counts < 0 and other == first:
            round_way = way + instrument.counts * instrument.metres_per_count
        farthest = farthest_in(later.day - earlier.day)
        return Question(doubt, readings[other], way, farthest, round_way)
    return None
