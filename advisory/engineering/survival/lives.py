"""Lives: how long each thing was watched, from when, and whether it failed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.errors import OutOfRange

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True)
class Lives:
    """Lives that were checked; made by `lives`.

    Parameters
    ----------
    duration : ndarray
        Age at which each failed or was last seen whole, in any unit.
    failed : ndarray of bool
        Whether it failed then; if not, it is censored.
    entry : ndarray
        Age at which watching began: a thing that comes with distance already on it could not have
        been seen to fail before.
    """

    duration: FloatArray
    failed: BoolArray
    entry: FloatArray

    @property
    def n(self) -> int:
        """How many lives."""
        return int(self.duration.size)

    @property
    def failures(self) -> int:
        """How many failed."""
        return int(self.failed.sum())

    def times(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Find the ages at which any failed, how many then, and how many were watched then."""
        ages, counts = np.unique(self.duration[self.failed], return_counts=True)
        ends, entries = np.sort(self.duration), np.sort(self.entry)
        reached = self.n - np.searchsorted(ends, ages, side="left")
        not_yet = self.n - np.searchsorted(entries, ages, side="left")
        return ages, counts.astype(np.float64), (reached - not_yet).astype(np.float64)


def lives(duration: ArrayLike, failed: ArrayLike, entry: ArrayLike | None = None) -> Lives:
    """Check lives.

    Parameters
    ----------
    duration : array_like
        Ages at failure or when last seen, above 0, one dimension, in any one unit.
    failed : array_like of bool
        Whether each failed.
    entry : array_like, optional
        Ages at which watching began, each below its duration; 0 where left out.

    Returns
    -------
    Lives

    Raises
    ------
    OutOfRange
        For no life at all, lengths that differ, a duration that is not positive, or an entry that
        is negative or not below its duration.

    Examples
    --------
    >>> lives([5.0, 8.0], [True, False]).failures
    1
    """
    ages = np.atleast_1d(require("duration", np.asarray(duration, dtype=np.float64), above=0.0))
    ends = np.atleast_1d(np.asarray(failed, dtype=np.bool_))
    if entry is None:
        begun = np.zeros_like(ages)
    else:
        begun = np.atleast_1d(require("entry", np.asarray(entry, dtype=np.float64), at_least=0.0))
    if not ages.size:
        raise OutOfRange("duration", "at least one life", "none")
    for name, values in (("failed", ends), ("entry", begun)):
        if values.shape != ages.shape:
            raise OutOfRange(name, f"as many as durations ({ages.size})", values.size)
    late = ~(begun < ages)
    if late.any():
        raise OutOfRange("entry", "below its duration", float(begun[late][0]))
    return Lives(ages, ends, begun)
