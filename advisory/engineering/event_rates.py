"""How often something happens: counts over a time watched, with exact Poisson intervals."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.errors import OutOfRange


@dataclass(frozen=True)
class EventRate:
    """A rate and the interval in which the true one lies.

    Parameters
    ----------
    rate, lower, upper : ndarray
        Events per unit of exposure.
    """

    rate: FloatArray
    lower: FloatArray
    upper: FloatArray


@dataclass(frozen=True)
class RateRatio:
    """One rate over another, its interval, and how surprising it is where the rates are equal.

    Parameters
    ----------
    ratio, lower, upper : ndarray
        First rate over second; inf where the second count is zero, NaN where both are.
    p_value : ndarray
        Two-sided, central: twice the smaller tail, at most 1.
    """

    ratio: FloatArray
    lower: FloatArray
    upper: FloatArray
    p_value: FloatArray


def _counts(argument: str, value: Floats) -> FloatArray:
    counts = require(argument, value, at_least=0.0)
    broken = counts != np.floor(counts)
    if broken.any():
        raise OutOfRange(argument, "a whole number", float(counts[broken].flat[0]))
    return counts


def event_rate(count: Floats, exposure: Floats, *, level: float = 0.95) -> EventRate:
    """Estimate a rate from a count, with its exact interval.

    Parameters
    ----------
    count : float or array_like
        Events counted, whole numbers [-].
    exposure : float or array_like
        Time or distance watched, in any one unit.
    level : float
        Of the interval; 0.95 is the custom.

    Returns
    -------
    EventRate
        Per unit of `exposure`, of the broadcast shape. The interval covers the true rate in at
        least `level` of all cases, and in more where events are few.

    Raises
    ------
    OutOfRange
        For a count that is negative or broken, an exposure that is not above 0, a level that does
        not lie between 0 and 1.

    References
    ----------
    F. Garwood, Fiducial limits for the Poisson distribution, Biometrika 28 (1936) 437-442: half
    the chi-square quantiles with 2 n and 2 n + 2 degrees of freedom.

    Examples
    --------
    >>> watched = event_rate(25, 1.0)
    >>> round(float(watched.lower), 2), round(float(watched.upper), 2)
    (16.18, 36.9)
    """
    from scipy.special import gammaincinv  # here, so that importing the package stays quick

    counts = _counts("count", count)
    exposures = require("exposure", exposure, above=0.0)
    tail = 0.5 * (1.0 - float(require("level", level, above=0.0, below=1.0)))
    lower = np.where(counts > 0.0, gammaincinv(np.maximum(counts, 1.0), tail), 0.0)
    upper = gammaincinv(counts + 1.0, 1.0 - tail)
    return EventRate(counts / exposures, lower / exposures, upper / exposures)


def rate_ratio(
    count: Floats,
    exposure: Floats,
    other_count: Floats,
    other_exposure: Floats,
    *,
    level: float = 0.95,
) -> RateRatio:
    """Compare two rates: given how many events there were in all, how many fell to the first.

    Parameters
    ----------
    count, other_count : float or array_like
        Events counted in the one group and in the other, whole numbers [-].
    exposure, other_exposure : float or array_like
        Time or distance watched, in one unit for both.
    level : float
        Of the interval; 0.95 is the custom.

    Returns
    -------
    RateRatio
        Of the broadcast shape. Interval and p-value are of one making: the interval leaves out 1
        exactly where the p-value is below 1 - `level`.

    Raises
    ------
    OutOfRange
        As `event_rate`.

    References
    ----------
    J. Przyborowski, H. Wilenski, Biometrika 31 (1940) 313-323 (the conditional test).
    M. P. Fay, Two-sided exact tests and matching confidence intervals for discrete data, The R
    Journal 2/1 (2010) 53-58 (the central p-value and its interval).

    Examples
    --------
    >>> compared = rate_ratio(2, 17877.0, 9, 16660.0)
    >>> round(float(compared.p_value), 5), round(float(compared.upper), 6)
    (0.05011, 1.000549)
    """
    from scipy.special import bdtr, bdtrc, betaincinv  # here, so that importing stays quick

    n, m = _counts("count", count), _counts("other_count", other_count)
    t = require("exposure", exposure, above=0.0)
    u = require("other_exposure", other_exposure, above=0.0)
    tail = 0.5 * (1.0 - float(require("level", level, above=0.0, below=1.0)))
    n, m, t, u = np.broadcast_arrays(n, m, t, u)
    share = t / (t + u)  # of the events that would fall to the first, were the rates equal
    total = n + m
    at_most = bdtr(n, total.astype(int), share)
    at_least = np.where(n > 0.0, bdtrc(n - 1.0, total.astype(int), share), 1.0)
    p_value = np.where(total > 0.0, np.minimum(1.0, 2.0 * np.minimum(at_most, at_least)), 1.0)
    # Clopper-Pearson for the share, turned into a ratio of rates
    low = np.where(n > 0.0, betaincinv(np.maximum(n, 1.0), m + 1.0, tail), 0.0)
    high = np.where(m > 0.0, betaincinv(n + 1.0, np.maximum(m, 1.0), 1.0 - tail), 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        return RateRatio(
            ratio=(n / t) / (m / u),
            lower=low / (1.0 - low) * u / t,
            upper=high / (1.0 - high) * u / t,
            p_value=p_value,
        )
