"""Survival and cumulative hazard without a law assumed: Kaplan-Meier and Nelson-Aalen."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.survival.lives import Lives


@dataclass(frozen=True)
class SurvivalCurve:
    """The share that outlives each age, after each age at which any failed.

    Parameters
    ----------
    duration : ndarray
        Ages at which any failed, rising.
    survival, lower, upper : ndarray
        Share that lives on, and the ends of its band [-].
    at_risk, failures : ndarray
        How many were watched and how many failed at each age.
    median : float or None
        First age at which the share is at most one half; None where it is not reached.
    """

    duration: FloatArray
    survival: FloatArray
    lower: FloatArray
    upper: FloatArray
    at_risk: FloatArray
    failures: FloatArray
    median: float | None


@dataclass(frozen=True)
class HazardCurve:
    """Failures gathered for each thing watched, after each age at which any failed.

    Parameters
    ----------
    duration : ndarray
        Ages at which any failed, rising.
    cumulative_hazard, standard_error : ndarray
        [-].
    """

    duration: FloatArray
    cumulative_hazard: FloatArray
    standard_error: FloatArray


def kaplan_meier(watched: Lives, *, level: float = 0.95) -> SurvivalCurve:
    """Estimate the survival curve, with a band by the log-log transformation.

    Parameters
    ----------
    watched : Lives
        With censoring and late entry.
    level : float
        Of the band, above 0 and below 1.

    Returns
    -------
    SurvivalCurve
        Empty arrays where none failed. Where all that were watched have failed, the share is 0 and
        its band runs from 0 to what it was before.

    Raises
    ------
    OutOfRange
        For a level out of range.

    References
    ----------
    E. L. Kaplan, P. Meier, J. Am. Stat. Assoc. 53 (1958) 457-481; variance by M. Greenwood (1926);
    band: J. D. Kalbfleisch, R. L. Prentice, The Statistical Analysis of Failure Time Data, Wiley
    1980. Late entry: only who entered before an age is at risk at it (left truncation).

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> curve = kaplan_meier(lives([10.0, 32.0, 50.0, 56.0], [True, True, False, True]))
    >>> curve.survival.tolist()
    [0.75, 0.5, 0.0]
    """
    z = _two_sided(level)
    ages, failed, at_risk = watched.times()
    share = np.asarray(np.cumprod(1.0 - failed / at_risk), dtype=np.float64)
    alive = at_risk > failed
    spread = np.cumsum(
        np.where(alive, failed / (at_risk * np.where(alive, at_risk - failed, 1)), 0)
    )
    inside = (share > 0.0) & (share < 1.0)
    log_share = np.log(np.where(inside, share, 0.5))
    half = z * np.sqrt(spread) / np.abs(log_share)
    lower = np.where(inside, np.exp(log_share * np.exp(half)), 0.0)
    upper = np.where(inside, np.exp(log_share * np.exp(-half)), 1.0)
    gone = share <= 0.0
    if gone.any():
        first = int(np.argmax(gone))
        upper[first:] = upper[first - 1] if first else 1.0
        share = np.where(gone, 0.0, share)
    reached = share <= 0.5 * (1.0 + 1e-12)
    median = float(ages[np.argmax(reached)]) if reached.any() else None
    return SurvivalCurve(ages, share, lower, upper, at_risk, failed, median)


def nelson_aalen(watched: Lives) -> HazardCurve:
    """Estimate the cumulative hazard.

    Parameters
    ----------
    watched : Lives
        With censoring and late entry.

    Returns
    -------
    HazardCurve

    References
    ----------
    W. Nelson, Technometrics 14 (1972) 945-966; O. Aalen, Ann. Statist. 6 (1978) 701-726, variance
    the sum of d/n^2.

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> nelson_aalen(lives([1.0, 2.0], [True, True])).cumulative_hazard.tolist()
    [0.5, 1.5]
    """
    ages, failed, at_risk = watched.times()
    return HazardCurve(ages, np.cumsum(failed / at_risk), np.sqrt(np.cumsum(failed / at_risk**2)))


def _two_sided(level: float) -> float:
    """How many standard deviations to either side hold the level."""
    value = float(require("level", level, above=0.0, below=1.0))
    return NormalDist().inv_cdf(0.5 + 0.5 * value)
