"""What is known of the use of one car, or of many in one set of arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.usage_forecast.assumptions import BACK_IN_USE_MONTH

Days: TypeAlias = NDArray[np.int64]

_NO_DAYS: Days = np.empty(0, dtype=np.int64)


def lay_up_ends(from_day: int, until_day: int | None, today: int) -> int:
    """Say on which day a lay-up ends, or is taken to end.

    Parameters
    ----------
    from_day : int
        Its first day.
    until_day : int or None
        Its last day where it is known.
    today : int
        The day of asking.

    Returns
    -------
    int
        Last day of the lay-up.

    Examples
    --------
    >>> autumn = date(2024, 11, 3).toordinal()
    >>> date.fromordinal(lay_up_ends(autumn, None, autumn + 30)).isoformat()
    '2025-04-01'
    """
    if until_day is not None:
        return until_day
    began = date.fromordinal(from_day)
    year = began.year if began.month < BACK_IN_USE_MONTH else began.year + 1
    return max(date(year, BACK_IN_USE_MONTH, 1).toordinal(), today)


@dataclass(frozen=True)
class Use:
    """What is known of a car's use.

    Parameters
    ----------
    days : tuple of int
        Days of the readings, ascending; at least one.
    metres : tuple of float
        Distance at each [m], counted on one stretch, never falling.
    today : int
        The day of asking.
    lay_ups : tuple of (int, int or None)
        First and last day of each lay-up, past or announced; None where it still lasts.
    expected_annual : float, optional
        Yearly distance as the owner guesses it [m].

    Raises
    ------
    OutOfRange
        Without a reading, for days out of order, or distances that fall.
    """

    days: tuple[int, ...]
    metres: tuple[float, ...]
    today: int
    lay_ups: tuple[tuple[int, int | None], ...] = ()
    expected_annual: float | None = None

    def __post_init__(self) -> None:
        if not self.days or len(self.days) != len(self.metres):
            raise OutOfRange("metres", "one for each of at least one day", len(self.metres))
        if any(after < before for before, after in zip(self.days, self.days[1:], strict=False)):
            raise OutOfRange("days", "ascending", self.days)
        if not all(
            after >= before for before, after in zip(self.metres, self.metres[1:], strict=False)
        ):
            raise OutOfRange("metres", "never falling", self.metres)
        if self.expected_annual is not None:
            require("expected_annual", self.expected_annual, above=0.0, unit="m")


@dataclass(frozen=True)
class Uses:
    """What is known of the use of many cars.

    Parameters
    ----------
    starts : ndarray, shape (n + 1,)
        The readings of car i are those from `starts[i]` up to `starts[i + 1]`, at least one.
    days : ndarray
        Days of all readings, ascending within each car.
    metres : ndarray
        Distance at each [m], never falling within a car.
    expected_annual : ndarray, shape (n,), optional
        Yearly distance as each owner guesses it [m]; nan where nobody has.
    lay_up_cars, lay_up_from, lay_up_to : ndarray
        The lay-ups: place of the car, first and last day.

    Raises
    ------
    OutOfRange
        For a car without a reading, days out of order, or distances that fall.
    """

    starts: Days
    days: Days
    metres: FloatArray
    expected_annual: FloatArray = field(default_factory=lambda: np.empty(0))
    lay_up_cars: Days = field(default_factory=lambda: _NO_DAYS)
    lay_up_from: Days = field(default_factory=lambda: _NO_DAYS)
    lay_up_to: Days = field(default_factory=lambda: _NO_DAYS)

    def __post_init__(self) -> None:
        if not (np.diff(self.starts) >= 1).all() or len(self.days) != len(self.metres):
            raise OutOfRange("starts", "one reading at least for each car", self.starts)
        require("metres", self.metres, unit="m")
        within = self.car_of[1:] == self.car_of[:-1]
        if np.any(np.diff(self.days)[within] < 0):
            raise OutOfRange("days", "ascending", self.days)
        if np.any(np.diff(self.metres)[within] < 0):
            raise OutOfRange("metres", "never falling", self.metres)
        if not len(self.expected_annual):
            object.__setattr__(self, "expected_annual", np.full(self.n, np.nan))
        self._part_lay_ups()

    def _part_lay_ups(self) -> None:
        """Put the lay-ups in order, and let none begin before the one before it is over."""
        order = np.lexsort((self.lay_up_from, self.lay_up_cars))
        cars, begins, ends = (
            each[order] for each in (self.lay_up_cars, self.lay_up_from, self.lay_up_to)
        )
        # the running maximum of the ends, car by car: a car's days lie beyond those of all before
        far = 10_000_000
        over = np.maximum.accumulate(ends + cars * far) - cars * far if len(ends) else ends
        before = np.concatenate(([0], over[:-1]))
        before[np.concatenate(([True], cars[1:] != cars[:-1]))[: len(cars)]] = 0
        begins = np.maximum(begins, before[: len(cars)] + 1)
        kept = begins <= ends
        object.__setattr__(self, "lay_up_cars", cars[kept])
        object.__setattr__(self, "lay_up_from", begins[kept])
        object.__setattr__(self, "lay_up_to", ends[kept])

    @classmethod
    def of(cls, uses: Sequence[Use]) -> Uses:
        """Put many cars together, in their order."""
        lay_ups = [
            (place, begun, lay_up_ends(begun, over, use.today))
            for place, use in enumerate(uses)
            for begun, over in use.lay_ups
        ]
        spells = np.array(lay_ups, dtype=np.int64).reshape(-1, 3)
        return cls(
            starts=np.cumsum([0, *(len(use.days) for use in uses)]),
            days=np.array([day for use in uses for day in use.days], dtype=np.int64),
            metres=np.array([metres for use in uses for metres in use.metres], dtype=np.float64),
            expected_annual=np.array(
                [np.nan if use.expected_annual is None else use.expected_annual for use in uses]
            ),
            lay_up_cars=spells[:, 0],
            lay_up_from=spells[:, 1],
            lay_up_to=spells[:, 2],
        )

    @property
    def n(self) -> int:
        """How many cars."""
        return len(self.starts) - 1

    @cached_property
    def car_of(self) -> Days:
        """The car of each reading."""
        return np.repeat(np.arange(self.n), np.diff(self.starts))

    @property
    def last_days(self) -> Days:
        """The day of each car's last reading."""
        return self.days[self.starts[1:] - 1]

    @property
    def last_metres(self) -> FloatArray:
        """The distance at each car's last reading [m]."""
        return self.metres[self.starts[1:] - 1]

    def those(self, cars: Days) -> Uses:
        """Return some of the cars, ascending places."""
        chosen = np.zeros(self.n, dtype=bool)
        chosen[cars] = True
        read = chosen[self.car_of]
        laid_up = chosen[self.lay_up_cars]
        place = np.cumsum(chosen) - 1
        return Uses(
            starts=np.concatenate(([0], np.cumsum(np.diff(self.starts)[chosen]))),
            days=self.days[read],
            metres=self.metres[read],
            expected_annual=self.expected_annual[chosen],
            lay_up_cars=place[self.lay_up_cars[laid_up]],
            lay_up_from=self.lay_up_from[laid_up],
            lay_up_to=self.lay_up_to[laid_up],
        )


@dataclass(frozen=True)
class Stretches:
    """What was driven from each reading to the next of the same car."""

    cars: Days
    begins: Days
    ends: Days
    metres: FloatArray

    @classmethod
    def of(cls, uses: Uses) -> Stretches:
        """Return all of them."""
        place = np.flatnonzero(uses.car_of[1:] == uses.car_of[:-1])
        return cls(
            cars=uses.car_of[place],
            begins=uses.days[place],
            ends=uses.days[place + 1],
            metres=uses.metres[place + 1] - uses.metres[place],
        )
