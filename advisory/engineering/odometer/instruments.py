"""What an odometer showed, and what the instrument is."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from typing import NamedTuple

#: Metres of one count. The mile is exact: International Yard and Pound Agreement of 1959,
#: 1 yd = 0.9144 m, 1760 yd to the mile.
METRES_PER_COUNT = {"mile": 1609.344, "km": 1000.0}


class Shown(NamedTuple):
    """A number that an instrument showed.

    Parameters
    ----------
    day : int
        The day, as an ordinal.
    shown : int
        The whole counts, as the instrument shows them.
    confirmed : bool
        A person was asked about this number and said that it is right.
    went_round : bool
        A person said that the instrument has gone past its last number since the reading before.
    key : hashable, optional
        The caller's name for the reading; None for numbers that are no readings of their own.
    """

    day: int
    shown: int
    confirmed: bool = False
    went_round: bool = False
    key: Hashable = None


@dataclass(frozen=True, slots=True)
class Instrument:
    """One instrument and all that it showed, in any order.

    Parameters
    ----------
    metres_per_count : float
        Length of one count [m].
    digits : int
        Number of whole digits; after all nines it shows nought again.
    readings : tuple of Shown
        What it showed.
    fitted_on : int, optional
        Day on which it replaced another, as an ordinal.
    shown_when_fitted : int, optional
        What it showed then; None where nobody knows.
    predecessor_showed : int, optional
        What the one before showed last; None where nobody knows.
    """

    metres_per_count: float
    digits: int
    readings: tuple[Shown, ...] = ()
    fitted_on: int | None = None
    shown_when_fitted: int | None = None
    predecessor_showed: int | None = None

    @property
    def counts(self) -> int:
        """Numbers from nought to all nines."""
        return int(10**self.digits)
