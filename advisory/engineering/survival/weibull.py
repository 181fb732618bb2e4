"""Weibull's law fitted to lives with censoring and late entry, with profile intervals."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.survival.lives import Lives
from advisory.engineering.survival.weibull_likelihood import Likelihood

Interval = tuple[float, float]

_SHAPES = (1e-3, 1e3)
_ZOOMS = 6  # each to a tenth of the one before: more than an interval's end can use


@dataclass(frozen=True)
class WeibullFit:
    """A Weibull law of greatest likelihood.

    Parameters
    ----------
    shape : float
        Below 1 failures grow rarer with age, above 1 more frequent [-].
    scale : float
        Age by which 63.2 % have failed, in the lives' unit.
    shape_interval, scale_interval : tuple of float
        Ends of the profile interval; 0 or infinite where the lives set no bound.
    log_likelihood : float
        The greatest.
    """

    shape: float
    scale: float
    shape_interval: Interval
    scale_interval: Interval
    log_likelihood: float

    def mean(self) -> float:
        """Mean life of the law, in the lives' unit."""
        return self.scale * math.gamma(1.0 + 1.0 / self.shape)

    def quantile(self, share: float) -> float:
        """Age by which a share has failed, in the lives' unit."""
        hazard = -math.log1p(-float(require("share", share, above=0.0, below=1.0)))
        return float(self.scale * hazard ** (1.0 / self.shape))


def weibull_fit(watched: Lives, *, level: float = 0.95) -> WeibullFit:
    """Fit a Weibull law by greatest likelihood.

    Parameters
    ----------
    watched : Lives
        With censoring and late entry; at least two failures at different ages.
    level : float
        Of the intervals, above 0 and below 1.

    Returns
    -------
    WeibullFit

    Raises
    ------
    OutOfRange
        For too few failures, or lives that no shape from 0.001 to 1000 fits best.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3. Late entry: each life counts from its
    entry on, sum of failed log h(t) less sum of (t/eta)^beta - (entry/eta)^beta. Intervals from
    the profile of the likelihood: W. Q. Meeker, L. A. Escobar, Statistical Methods for
    Reliability Data, Wiley 1998, ch. 8; with few failures they differ much from those that take
    the likelihood for a parabola.

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> fit = weibull_fit(lives([3.0, 5.0, 8.0, 9.0], [True, True, True, False]))
    >>> round(fit.shape, 2), round(fit.scale, 2)
    (2.26, 7.71)
    """
    return _Profile(watched, level).law()


def weibull_fit_and_quantile(
    watched: Lives, share: float, *, level: float = 0.95
) -> tuple[WeibullFit, float, Interval]:
    """Fit a Weibull law, and the age by which a share has failed, in one search.

    Parameters
    ----------
    watched, share, level
        As for `weibull_quantile_interval`.

    Returns
    -------
    tuple of WeibullFit, float and tuple
        What `weibull_fit` and `weibull_quantile_interval` return, in half of their time.

    Raises
    ------
    OutOfRange
        As `weibull_quantile_interval`.

    References
    ----------
    As `weibull_fit`.

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> watched = lives([3.0, 5.0, 8.0, 9.0], [True, True, True, False])
    >>> law, age, (low, high) = weibull_fit_and_quantile(watched, 0.5)
    >>> law == weibull_fit(watched) and low < age < high
    True
    """
    hazard = -math.log1p(-float(require("share", share, above=0.0, below=1.0)))
    profile = _Profile(watched, level)
    return profile.law(), profile.age_of(hazard), profile.age_interval(hazard)


def weibull_quantile_interval(
    watched: Lives, share: float, *, level: float = 0.95
) -> tuple[float, Interval]:
    """Age by which a share has failed, B10 for 0.10, with its profile interval.

    Parameters
    ----------
    watched : Lives
        As for `weibull_fit`.
    share : float
        Above 0 and below 1 [-].
    level : float
        Of the interval, above 0 and below 1.

    Returns
    -------
    tuple of float and tuple
        The age and its interval, in the lives' unit; 0 or infinite where there is no bound.

    Raises
    ------
    OutOfRange
        As `weibull_fit`, or for a share out of range.

    References
    ----------
    As `weibull_fit`.

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> watched = lives([3.0, 5.0, 8.0, 9.0], [True, True, True, False])
    >>> age, (low, high) = weibull_quantile_interval(watched, 0.5)
    >>> low < age < high
    True
    """
    _law, age, interval = weibull_fit_and_quantile(watched, share, level=level)
    return age, interval


class _Profile:
    """A law of greatest likelihood, and how far the likelihood may fall beside it."""

    def __init__(self, watched: Lives, level: float) -> None:
        self.likelihood, self.shape = _best(watched)
        self.best = float(self.likelihood.at(self.shape))
        self.floor = self.best - _half_chi_square(level)
        self.shape_interval = _shape_interval(self.likelihood, self.shape, self.floor)

    def age_of(self, hazard: float) -> float:
        """Age of a cumulative hazard, in the lives' unit."""
        log_age = float(self.likelihood.log_age_of(self.shape, hazard))
        return self.likelihood.unit * math.exp(log_age)

    def age_interval(self, hazard: float) -> Interval:
        """Profile interval of that age."""
        return _age_interval(self.likelihood, self.shape_interval, self.floor, hazard)

    def law(self) -> WeibullFit:
        """Return the law with its intervals."""
        unit, failures = self.likelihood.unit, self.likelihood.failures
        return WeibullFit(
            shape=self.shape,
            scale=self.age_of(1.0),
            shape_interval=self.shape_interval,
            scale_interval=self.age_interval(1.0),
            log_likelihood=self.best - failures * math.log(unit),
        )


def _best(watched: Lives) -> tuple[Likelihood, float]:
    """Find the shape of greatest likelihood."""
    from scipy.optimize import brentq  # here, so that importing the package stays quick

    ages = np.unique(watched.duration[watched.failed])
    if ages.size < 2:
        raise OutOfRange("failed", "true at two different durations or more", int(ages.size))
    likelihood = Likelihood(watched)
    shapes = np.geomspace(*_SHAPES, 200)
    i = int(np.argmax(likelihood.at(shapes)))
    if i in {0, shapes.size - 1}:
        raise OutOfRange("failed", "such that a Weibull law fits", "no shape from 0.001 to 1000")
    low, high = float(shapes[i - 1]), float(shapes[i + 1])
    return likelihood, float(brentq(likelihood.slope, low, high, xtol=1e-14, rtol=1e-13))


def _shape_interval(likelihood: Likelihood, shape: float, floor: float) -> Interval:
    """Where the likelihood of the shape falls to a floor, below and above its best."""
    from scipy.optimize import brentq

    ends = []
    for factor, open_end in ((0.8, 0.0), (1.25, math.inf)):
        near, far = shape, shape * factor
        while float(likelihood.at(far)) > floor and _SHAPES[0] < far < _SHAPES[1]:
            near, far = far, far * factor
        if float(likelihood.at(far)) > floor:
            ends.append(open_end)
        else:
            found = brentq(lambda b: float(likelihood.at(b)) - floor, near, far, rtol=1e-12)
            ends.append(float(found))
    return ends[0], ends[1]


def _age_interval(
    likelihood: Likelihood, shapes: Interval, floor: float, hazard: float
) -> Interval:
    """Profile interval of the age at which a cumulative hazard is reached.

    It spans all the ages of laws whose likelihood is above the floor. For a shape these are the
    scales with ln w - w + 1 >= -d, w the share of the best scale's -shape-th power and d what the
    shape has to spare over the floor a failure: w from Lambert's W.
    """
    from scipy.special import lambertw

    low, high = max(shapes[0], _SHAPES[0]), min(shapes[1], _SHAPES[1])

    def log_ages(log_shapes: FloatArray, branch: int) -> FloatArray:
        tried = np.exp(log_shapes)
        spare = (likelihood.at(tried) - floor) / likelihood.failures
        inside = spare >= 1e-12  # at an end of the interval both branches meet at 1
        share = -lambertw(-np.exp(-1.0 - np.where(inside, spare, 0.0)), branch).real
        return likelihood.log_age_of(tried, hazard, np.where(inside, share, 1.0))

    ends = []
    # The greater share (branch -1) is the smaller scale: the lower end; the other the upper.
    for branch, sign, open_end in ((-1, 1.0, 0.0), (0, -1.0, math.inf)):
        places = np.linspace(math.log(low), math.log(high), 80)
        values = sign * log_ages(places, branch)
        i = int(np.argmin(values))
        unbounded = (i == 0 and shapes[0] == 0.0) or (
            i == places.size - 1 and math.isinf(shapes[1])
        )
        if unbounded:
            ends.append(open_end)
            continue
        for _ in range(_ZOOMS):
            places = np.linspace(places[max(i - 1, 0)], places[min(i + 1, places.size - 1)], 21)
            values = sign * log_ages(places, branch)
            i = int(np.argmin(values))
        ends.append(likelihood.unit * math.exp(sign * float(values[i])))
    return ends[0], ends[1]


def _half_chi_square(level: float) -> float:
    from scipy.special import chdtri

    value = float(require("level", level, above=0.0, below=1.0))
    return 0.5 * float(chdtri(1.0, 1.0 - value))
