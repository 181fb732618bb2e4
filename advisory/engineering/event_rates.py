"""How often something happens: counts over a time watched, with exact Poisson intervals.

Two rates are compared exactly, and of many such comparisons only those are named that the numbers
carry.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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


@dataclass(frozen=True)
class StandingOut:
    """Which of many groups differ from the rest, by a rule that allows for their number.

    Parameters
    ----------
    p_value : ndarray
        Of each group by itself; 1 where it has too few events or units to be named.
    adjusted : ndarray
        The p-value allowing for all groups that were looked at.
    more_often, less_often : ndarray of bool
        Whether the group is named, and to which side.
    """

    p_value: FloatArray
    adjusted: FloatArray
    more_often: NDArray[np.bool_]
    less_often: NDArray[np.bool_]


# What a group must have to be named at all: set by us, no source. With fewer it is a list of
# single cases, which is better read than counted.
LEAST_EVENTS = 5
LEAST_UNITS = 3
# Of the groups that are named, the part that may be chance; the custom.
FALSE_SHARE = 0.05


def adjusted_for_many(p_value: Floats) -> FloatArray:
    """Adjust p-values for how many comparisons were made, so that few of those named are chance.

    Parameters
    ----------
    p_value : array_like
        One for each comparison [-].

    Returns
    -------
    ndarray
        Adjusted, of the same shape: naming all that are at most q holds the expected share of
        false ones among those named at q, where the comparisons are independent or depend on each
        other positively.

    Raises
    ------
    OutOfRange
        For a p-value outside 0 to 1.

    References
    ----------
    Y. Benjamini, Y. Hochberg, Controlling the false discovery rate, Journal of the Royal
    Statistical Society B 57 (1995) 289-300.

    Examples
    --------
    >>> adjusted_for_many([0.01, 0.04, 0.03, 0.5]).round(4).tolist()
    [0.04, 0.0533, 0.0533, 0.5]
    """
    values = require("p_value", p_value, at_least=0.0, at_most=1.0)
    flat = values.ravel()
    order = np.argsort(flat)[::-1]
    rank = np.arange(flat.size, 0, -1)
    adjusted = np.empty_like(flat)
    adjusted[order] = np.minimum.accumulate(np.minimum(flat[order] * flat.size / rank, 1.0))
    return adjusted.reshape(values.shape)


def stands_out(
    count: Floats,
    units: Floats,
    exposure: Floats,
    other_count: Floats,
    other_units: Floats,
    other_exposure: Floats,
    *,
    false_share: float = FALSE_SHARE,
    least_events: int = LEAST_EVENTS,
    least_units: int = LEAST_UNITS,
) -> StandingOut:
    """Say which groups of units have events more or less often than the others, past chance.

    Each group is compared twice by the exact conditional test: by all events, and by the units that
    had any, each counted once; the less surprising of the two counts. So neither one unit that has
    the same trouble again and again, nor chance among many groups, makes one stand out. A group
    with too few events or units in all is kept among the comparisons as one that shows nothing;
    dropping it would make the rest look rarer than it is.

    Parameters
    ----------
    count, other_count : float or array_like
        Events in each group, and in the others it is compared with [-].
    units, other_units : float or array_like
        Units that had any [-].
    exposure, other_exposure : float or array_like
        Time watched, in one unit for both; 0 where there is nothing to compare.
    false_share : float
        Share of the named groups that may be chance, as `adjusted_for_many` holds it.
    least_events, least_units : int
        Below these, group and others together, nothing is named.

    Returns
    -------
    StandingOut
        Of the broadcast shape.

    Raises
    ------
    OutOfRange
        As `event_rate`; for more units than events.

    References
    ----------
    As `rate_ratio` and `adjusted_for_many`. Counting a unit once is careful: of units that had
    any there are less variable numbers than a Poisson count has. That the larger of two p-values
    is one again: R. L. Berger, Technometrics 24 (1982) 295-300.

    Examples
    --------
    >>> found = stands_out([9, 2, 6], [6, 2, 1], [30.0, 40.0, 30.0], 20, 16, 400.0)
    >>> found.more_often.tolist()
    [True, False, False]
    """
    n, m = _counts("count", count), _counts("other_count", other_count)
    a, b = _counts("units", units), _counts("other_units", other_units)
    for name, some, every in (("units", a, n), ("other_units", b, m)):
        if (some > every).any():
            raise OutOfRange(name, "at most as many as there are events", float(some.max()))
    t = require("exposure", exposure, at_least=0.0)
    u = require("other_exposure", other_exposure, at_least=0.0)
    require("false_share", false_share, above=0.0, below=1.0)
    n, m, a, b, t, u = np.broadcast_arrays(n, m, a, b, t, u)
    comparable = (t > 0.0) & (u > 0.0)
    enough = comparable & (n + m >= least_events) & (a + b >= least_units)
    watched, beside = np.where(comparable, t, 1.0), np.where(comparable, u, 1.0)
    by_events = rate_ratio(n, watched, m, beside)
    by_units = rate_ratio(a, watched, b, beside)
    p_value = np.where(enough, np.maximum(by_events.p_value, by_units.p_value), 1.0)
    adjusted = adjusted_for_many(p_value)
    named = adjusted <= false_share
    # more often needs enough of its own; less often cannot have many, so the others have them
    more = named & (n * beside > m * watched) & (n >= least_events) & (a >= least_units)
    less = named & (n * beside < m * watched) & (m >= least_events) & (b >= least_units)
    return StandingOut(p_value, adjusted, more, less)
