"""Findings that recur over a large fleet: the mean cumulative count at stated ages."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.errors import OutOfRange


@dataclass(frozen=True)
class CountAtAges:
    """Findings a unit by stated ages.

    Parameters
    ----------
    age : ndarray
        The ages asked for.
    count, lower, upper : ndarray
        Findings a unit up to each age, and its band; the upper end is infinite where only one unit
        was watched.
    standard_error : ndarray
        Robust.
    at_risk : ndarray
        Stretches watched just before each age.
    """

    age: FloatArray
    count: FloatArray
    lower: FloatArray
    upper: FloatArray
    standard_error: FloatArray
    at_risk: FloatArray


def mean_count_at(
    entry: ArrayLike,
    end: ArrayLike,
    unit: ArrayLike,
    found_at: ArrayLike,
    found_on: ArrayLike,
    age: ArrayLike,
    *,
    level: float = 0.95,
) -> CountAtAges:
    """Estimate how many findings a unit has had by stated ages; the memory grows with the units.

    Parameters
    ----------
    entry, end : array_like
        Ages at which each stretch of watching began and ended; a unit may have several.
    unit : array_like of int
        To whom each stretch belongs, 0 to n - 1: what belongs to one hangs together.
    found_at : array_like
        Age of each finding.
    found_on : array_like of int
        The stretch of each finding, a place in `entry`.
    age : array_like
        Rising, at least 0.
    level : float
        Of the band.

    Returns
    -------
    CountAtAges

    Raises
    ------
    OutOfRange
        For no stretch, an end that is not after its entry, or a finding outside its stretch.

    Notes
    -----
    The term of a unit in the robust variance is the sum of 1/n over its own findings less the
    growth of the sum of d/n^2 while it is watched, so that no table of units by ages is needed. The
    band is count * exp(+-t s/count), t of Student's law with the units less one: kept above nought,
    and honest with few units. Without a finding the upper end is the exact Poisson limit of none
    over the units still watched.

    References
    ----------
    As `mean_cumulative_count`; the band by the logarithm: W. B. Nelson, Recurrent Events Data
    Analysis for Product Repairs, SIAM 2003.

    Examples
    --------
    >>> two = mean_count_at([0, 0], [10, 8], [0, 1], [4, 4, 6], [0, 1, 1], [5, 8])
    >>> two.count.tolist()
    [1.0, 1.5]
    """
    begun = np.atleast_1d(require("entry", np.asarray(entry, dtype=np.float64), at_least=0.0))
    ended = np.atleast_1d(require("end", np.asarray(end, dtype=np.float64), above=0.0))
    whose = np.atleast_1d(np.asarray(unit, dtype=np.int64))
    found = np.atleast_1d(np.asarray(found_at, dtype=np.float64))
    stretch = np.atleast_1d(np.asarray(found_on, dtype=np.int64))
    ages = np.atleast_1d(require("age", np.asarray(age, dtype=np.float64), at_least=0.0))
    if not begun.size:
        raise OutOfRange("entry", "at least one stretch", "none")
    late = ~(begun < ended)
    if late.any():
        raise OutOfRange("entry", "below its end", float(begun[late][0]))
    outside = ~((found > begun[stretch]) & (found <= ended[stretch]))
    if outside.any():
        raise OutOfRange("found_at", "within its stretch", float(found[outside][0]))
    order = np.argsort(found, kind="stable")
    found, stretch = found[order], stretch[order]
    times, first, d = np.unique(found, return_index=True, return_counts=True)
    begins, ends = np.sort(begun), np.sort(ended)

    def at_risk_at(at: FloatArray) -> FloatArray:
        come = np.searchsorted(begins, at, side="left")
        return np.asarray(come - np.searchsorted(ends, at, side="left"), dtype=np.float64)

    n = at_risk_at(times)
    place = np.repeat(np.arange(times.size), d)
    count_by = np.concatenate([[0.0], np.cumsum(d / n)])
    square_by = np.concatenate([[0.0], np.cumsum(d / n**2)])
    up_to = np.searchsorted(times, ages, side="right")
    units = int(whose.max()) + 1
    from_begin = np.searchsorted(times, begun, side="right")
    to_end = np.searchsorted(times, ended, side="right")
    error = np.empty(ages.size)
    for i, last in enumerate(up_to):
        own = np.zeros(units)
        till = int(first[last]) if last < times.size else found.size
        np.add.at(own, whose[stretch[:till]], 1.0 / n[place[:till]])
        grown = square_by[np.minimum(to_end, last)] - square_by[np.minimum(from_begin, last)]
        own -= np.bincount(whose, weights=grown, minlength=units)
        error[i] = np.sqrt((own**2).sum())
    count = count_by[up_to]
    watched = at_risk_at(ages)
    lower, upper = _band(count, error, watched, np.unique(whose).size, level)
    return CountAtAges(ages, count, lower, upper, error, watched)


def _band(
    count: FloatArray, error: FloatArray, at_risk: FloatArray, units: int, level: float
) -> tuple[FloatArray, FloatArray]:
    from scipy.special import stdtrit  # here, so that importing the package stays quick

    tail = 0.5 * (1.0 - float(require("level", level, above=0.0, below=1.0)))
    t = float(stdtrit(units - 1, 1.0 - tail)) if units > 1 else np.inf
    some = count > 0.0
    half = t * error / np.where(some, count, 1.0) if np.isfinite(t) else np.full(count.shape, 700.0)
    half = np.minimum(half, 700.0)  # beyond, exp overflows
    lower = np.where(some, count * np.exp(-half), 0.0)
    none = -np.log(tail) / np.maximum(at_risk, 1.0)
    upper = np.where(some, count * np.exp(half), none)
    return lower, np.where(half >= 700.0, np.inf, upper)
