"""What was measured on one unit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.errors import OutOfRange


@dataclass(frozen=True)
class Measured:
    """Measurements of one place on one unit; how many there are is free, their order too.

    Parameters
    ----------
    distance : ndarray, shape (n,)
        Distance since it was built, at each [m].
    value : ndarray, shape (n,)
        What was measured [m].
    uncertainty : ndarray, shape (n,)
        One standard deviation of each [m].

    Raises
    ------
    OutOfRange
        Without a measurement, with lists of unequal length, for a distance before the build, a
        value that is negative, or an uncertainty that is not above nought.
    """

    distance: FloatArray
    value: FloatArray
    uncertainty: FloatArray

    def __post_init__(self) -> None:
        for name, limits in (
            ("distance", {"at_least": 0.0}),
            ("value", {"at_least": 0.0}),
            ("uncertainty", {"above": 0.0}),
        ):
            given = np.atleast_1d(require(name, getattr(self, name), unit="m", **limits))
            object.__setattr__(self, name, given)
        if not len(self.distance) or not (
            len(self.distance) == len(self.value) == len(self.uncertainty)
        ):
            raise OutOfRange("value", "one for each of at least one distance", len(self.value))

    @property
    def last(self) -> float:
        """The distance at the last measurement [m]."""
        return float(self.distance.max())

    @property
    def tells_a_rate(self) -> bool:
        """Whether it was measured at two distances at least."""
        return bool(np.ptp(self.distance) > 0)
