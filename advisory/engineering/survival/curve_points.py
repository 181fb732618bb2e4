"""What a survival curve says at stated ages, and how two curves differ there."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.survival.curves import SurvivalCurve, kaplan_meier
from advisory.engineering.survival.lives import Lives


@dataclass(frozen=True)
class CurvePoints:
    """Shares that live on at stated ages.

    Parameters
    ----------
    age : ndarray
        The ages asked for.
    survival, lower, upper : ndarray
        Share that lives on and its band [-]; NaN at ages that nobody is watched at.
    at_risk : ndarray
        How many are watched just before each age.
    weight : ndarray
        How many lives, all watched from the start, would know the share as well.
    """

    age: FloatArray
    survival: FloatArray
    lower: FloatArray
    upper: FloatArray
    at_risk: FloatArray
    weight: FloatArray


@dataclass(frozen=True)
class Difference:
    """One share less another, with its interval [-]."""

    value: float
    lower: float
    upper: float


def watched_at(watched: Lives, age: Floats) -> FloatArray:
    """Count who is watched just before each age.

    Parameters
    ----------
    watched : Lives
        With censoring and late entry.
    age : float or array_like
        In the lives' unit.

    Returns
    -------
    ndarray
        Counts, of the shape of `age`.

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> watched_at(lives([3.0, 5.0], [True, False], [0.0, 4.0]), [2.0, 5.0]).tolist()
    [1.0, 1.0]
    """
    ages = np.asarray(age, dtype=np.float64)
    gone = np.searchsorted(np.sort(watched.duration), ages, side="left")
    come = np.searchsorted(np.sort(watched.entry), ages, side="left")
    return np.asarray(come - gone, dtype=np.float64)


def survival_at(watched: Lives, age: Floats, *, level: float = 0.95) -> CurvePoints:
    """Read the Kaplan-Meier curve at stated ages.

    Parameters
    ----------
    watched : Lives
        With censoring and late entry.
    age : float or array_like
        At least 0, in the lives' unit.
    level : float
        Of the band.

    Returns
    -------
    CurvePoints
        Where none has failed yet the band, which then has one open end only, reaches down to the
        exact one-sided limit of none among those still watched (3/n or so below 1 at 95 %): a curve
        without a failure is not certain.

    Raises
    ------
    OutOfRange
        For an age or a level out of range.

    References
    ----------
    As `kaplan_meier`; none of n: J. A. Hanley, A. Lippman-Hand, J. Am. Med. Assoc. 249 (1983)
    1743-1745.

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> points = survival_at(lives([10.0, 32.0, 50.0, 56.0], [True, True, False, True]), [20.0])
    >>> points.survival.tolist()
    [0.75]
    """
    ages = np.atleast_1d(require("age", np.asarray(age, dtype=np.float64), at_least=0.0))
    curve: SurvivalCurve = kaplan_meier(watched, level=level)
    place = np.searchsorted(curve.duration, ages, side="right")
    at_risk = watched_at(watched, ages)
    none_yet = place == 0
    bound = (1.0 - level) ** (1.0 / np.maximum(at_risk, 1.0))
    whole = np.ones(1)
    survival = np.concatenate([whole, curve.survival])[place]
    lower = np.where(none_yet, bound, np.concatenate([whole, curve.lower])[place])
    upper = np.concatenate([whole, curve.upper])[place]
    open_end = curve.at_risk <= curve.failures
    per_failure = np.where(
        open_end,
        0.0,
        curve.failures / (curve.at_risk * np.where(open_end, 1.0, curve.at_risk - curve.failures)),
    )
    greenwood = np.concatenate([np.zeros(1), np.cumsum(per_failure)])[place]
    odds = (1.0 - survival) / np.where(survival > 0.0, survival, 1.0)
    known = (greenwood > 0.0) & (survival > 0.0)
    weight = np.where(known, odds / np.where(known, greenwood, 1.0), np.maximum(at_risk, 1.0))
    unseen = at_risk <= 0.0
    survival, lower, upper = (np.where(unseen, np.nan, each) for each in (survival, lower, upper))
    return CurvePoints(ages, survival, lower, upper, at_risk, weight)


def weighted_difference(
    one: CurvePoints, other: CurvePoints, weight: Floats | None = None, *, level: float = 0.95
) -> Difference:
    """Take one share from another, or the weighted mean of several such differences.

    Parameters
    ----------
    one, other : CurvePoints
        The two at one age; or one entry a stratum, each pair at the same age.
    weight : array_like, optional
        Of each pair; equal where left out.

    level : float
        Of the interval.

    Returns
    -------
    Difference
        Each end takes the distances of the two shares from the ends of their own score intervals,
        so that it stays within -1 and 1 and is as lopsided as they are.

    Raises
    ------
    OutOfRange
        For a weight that is negative, or a level out of range.

    References
    ----------
    R. G. Newcombe, Statistics in Medicine 17 (1998) 873-890, method 10, with as many lives as know
    the share as well (Greenwood's variance) in place of the trials; weighted sums: G. Y. Zou, A.
    Donner, Statistics in Medicine 27 (2008) 1693-1702.

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> one = survival_at(lives([9.0] * 70, [True] * 14 + [False] * 56), [9.0])
    >>> other = survival_at(lives([9.0] * 80, [True] * 32 + [False] * 48), [9.0])
    >>> difference = weighted_difference(one, other)
    >>> round(difference.value, 4), round(difference.lower, 4), round(difference.upper, 4)
    (0.2, 0.0524, 0.3339)
    """
    if weight is None:
        shares = np.full(one.survival.shape, 1.0 / one.survival.size)
    else:
        weights = np.atleast_1d(require("weight", weight, at_least=0.0))
        shares = weights / weights.sum()
    z = NormalDist().inv_cdf(0.5 + 0.5 * float(require("level", level, above=0.0, below=1.0)))
    value = float(shares @ (one.survival - other.survival))
    (down, up), (other_down, other_up) = _score_ends(one, z), _score_ends(other, z)
    return Difference(
        value,
        value - float(np.sqrt((shares**2) @ (down**2 + other_up**2))),
        value + float(np.sqrt((shares**2) @ (up**2 + other_down**2))),
    )


def _score_ends(points: CurvePoints, z: float) -> tuple[FloatArray, FloatArray]:
    """How far Wilson's interval reaches below and above each share."""
    share, n = points.survival, points.weight
    middle = (share + z * z / (2.0 * n)) / (1.0 + z * z / n)
    half = z * np.sqrt(share * (1.0 - share) / n + (z / (2.0 * n)) ** 2) / (1.0 + z * z / n)
    return share - (middle - half), middle + half - share
