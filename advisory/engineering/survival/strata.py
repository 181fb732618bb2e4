"""Two groups compared within strata: like with like."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.survival.curve_points import (
    CurvePoints,
    Difference,
    survival_at,
    watched_at,
    weighted_difference,
)
from advisory.engineering.survival.lives import Lives

Pair = tuple[Lives, Lives]


@dataclass(frozen=True)
class WithinStrata:
    """The log-rank test of two groups, each held against the other in its own stratum only.

    Parameters
    ----------
    chi_square, p_value : float
        One degree of freedom.
    observed, expected, variance : float
        Failures of the first group, how many there would be were both alike, and the variance.
    ratio, ratio_lower, ratio_upper : float
        How often the first fails for each failure of the other, by one step from 'alike' (Peto),
        and its interval.
    strata : int
        Strata in which both groups were watched when any failed.
    """

    chi_square: float
    p_value: float
    observed: float
    expected: float
    variance: float
    ratio: float
    ratio_lower: float
    ratio_upper: float
    strata: int


def _counts(pair: Pair) -> tuple[float, float, float]:
    """Observed and expected failures of the first group, and the variance."""
    one, other = pair
    ages, failed_one = np.unique(one.duration[one.failed], return_counts=True)
    other_ages, failed_other = np.unique(other.duration[other.failed], return_counts=True)
    pooled: FloatArray = np.union1d(ages, other_ages)
    failed = np.zeros(pooled.size)
    failed[np.searchsorted(pooled, ages)] += failed_one
    failed[np.searchsorted(pooled, other_ages)] += failed_other
    at_risk_one, at_risk_other = watched_at(one, pooled), watched_at(other, pooled)
    at_risk = at_risk_one + at_risk_other
    share = at_risk_one / at_risk
    ties = np.where(at_risk > 1.0, (at_risk - failed) / np.maximum(at_risk - 1.0, 1.0), 0.0)
    variance = float((failed * share * (1.0 - share) * ties).sum())
    if variance <= 0.0:
        return 0.0, 0.0, 0.0
    return float(one.failures), float((failed * share).sum()), variance


def log_rank_within(strata: Sequence[Pair], *, level: float = 0.95) -> WithinStrata:
    """Test whether two groups fail alike, within strata.

    Parameters
    ----------
    strata : sequence of pairs of Lives
        The first and the other group of each stratum; one stratum gives the plain test.
    level : float
        Of the ratio's interval.

    Returns
    -------
    WithinStrata

    Raises
    ------
    OutOfRange
        Where in no stratum both are watched when any fails.

    References
    ----------
    N. Mantel, Cancer Chemother. Rep. 50 (1966) 163-170; ratio: R. Peto et al., Br. J. Cancer 35
    (1977) 1-39, exp((O - E)/V); it leans towards 1 where the groups differ much.

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> soon, late = lives([1.0, 2.0, 3.0], [1, 1, 1]), lives([6.0, 7.0, 8.0], [1, 1, 1])
    >>> round(log_rank_within([(soon, late)]).chi_square, 2)
    5.05
    """
    z = NormalDist().inv_cdf(0.5 + 0.5 * float(require("level", level, above=0.0, below=1.0)))
    counts = [each for each in map(_counts, strata) if each[2] > 0.0]
    if not counts:
        raise OutOfRange("strata", "such that both groups are watched when any fails", "none is")
    observed, expected, variance = (float(each) for each in np.sum(counts, axis=0))
    step, half = (observed - expected) / variance, z / math.sqrt(variance)
    chi_square = (observed - expected) ** 2 / variance
    return WithinStrata(
        chi_square=chi_square,
        p_value=math.erfc(math.sqrt(0.5 * chi_square)),
        observed=observed,
        expected=expected,
        variance=variance,
        ratio=math.exp(step),
        ratio_lower=math.exp(step - half),
        ratio_upper=math.exp(step + half),
        strata=len(counts),
    )


def difference_within(
    strata: Sequence[Pair], age: float, *, level: float = 0.95
) -> Difference | None:
    """Compare the shares of two groups that live on to an age, within strata.

    Parameters
    ----------
    strata : sequence of pairs of Lives
        The first and the other group of each stratum.
    age : float
        Above 0, in the lives' unit.
    level : float
        Of the interval.

    Returns
    -------
    Difference or None
        First less other; each stratum counts by n m/(n + m) of those watched at the age, and one in
        which either group has nobody left at that age is left out. None where all are.

    Raises
    ------
    OutOfRange
        For an age or level out of range.

    References
    ----------
    Weights: W. G. Cochran, Biometrics 10 (1954) 417-451. Interval: see `weighted_difference`.

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> one, other = lives([9.0, 9.0], [0, 0]), lives([1.0, 9.0], [1, 0])
    >>> difference_within([(one, other)], 5.0).value
    0.5
    """
    points, weights = [], []
    for one, other in strata:
        pair = survival_at(one, age, level=level), survival_at(other, age, level=level)
        n, m = (float(each.at_risk[0]) for each in pair)
        if n > 0.0 and m > 0.0:
            points.append(pair)
            weights.append(n * m / (n + m))
    if not points:
        return None
    first, second = (_joined([pair[side] for pair in points]) for side in (0, 1))
    return weighted_difference(first, second, np.array(weights), level=level)


def _joined(points: Sequence[CurvePoints]) -> CurvePoints:
    return CurvePoints(
        *(
            np.concatenate([getattr(each, name) for each in points])
            for name in ("age", "survival", "lower", "upper", "at_risk", "weight")
        )
    )
