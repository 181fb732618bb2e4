"""Weibull's law fitted to very many lives: the same likelihood, over counts instead of lives."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.survival.lives import Lives
from advisory.engineering.survival.weibull import Interval, WeibullFit

LEAST_FAILURES = 200
"""From so many on the likelihood is a parabola near enough; below, fit with profile intervals."""

_BINS = 4000
_SHAPES = (0.05, 50.0)


@dataclass(frozen=True)
class _Counted:
    """Ages over the greatest, each with how many lives it stands for; entries count less."""

    log_age: FloatArray
    count: FloatArray
    failures: int
    sum_log: float

    def moments(self, shape: float) -> FloatArray:
        """Sum age^shape times ln(age) to the power of 0, 1 and 2."""
        weighted = self.count * np.exp(shape * self.log_age)
        return np.array([(weighted * self.log_age**k).sum() for k in range(3)])


def _counted(watched: Lives) -> tuple[_Counted, float]:
    unit = float(watched.duration.max())
    middles = (np.arange(_BINS) + 0.5) / _BINS

    def counts(ages: FloatArray) -> FloatArray:
        places = np.minimum((ages / unit * _BINS).astype(np.int64), _BINS - 1)
        return np.bincount(places, minlength=_BINS).astype(np.float64)

    count = counts(watched.duration) - counts(watched.entry[watched.entry > 0.0])
    sum_log = float(np.log(watched.duration[watched.failed] / unit).sum())
    kept = count != 0.0
    return _Counted(np.log(middles[kept]), count[kept], watched.failures, sum_log), unit


def weibull_fit_many(
    watched: Lives, share: float = 0.1, *, level: float = 0.95
) -> tuple[WeibullFit, float, Interval]:
    """Fit a Weibull law to very many lives, and the age by which a share of them has failed.

    Parameters
    ----------
    watched : Lives
        With censoring and late entry; at least `LEAST_FAILURES` failures.
    share : float
        Above 0 and below 1; 0.10 for B10.
    level : float
        Of the intervals.

    Returns
    -------
    tuple of WeibullFit, float and tuple
        The law, the age and its interval. The intervals take the likelihood for a parabola in the
        logarithms of shape and scale.

    Raises
    ------
    OutOfRange
        For too few failures, a share or level out of range, or lives that no shape from 0.05 to 50
        fits.

    Notes
    -----
    Ages are rounded to a four-thousandth of the greatest, so that time and memory do not grow with
    the lives: the shape moves by less than a ten-thousandth.

    References
    ----------
    As `weibull_fit`; W. Q. Meeker, L. A. Escobar, Statistical Methods for Reliability Data, Wiley
    1998, ch. 8 (normal approximation).

    Examples
    --------
    >>> from advisory.engineering.survival.lives import lives
    >>> ages = (-np.log(np.linspace(0.0005, 0.9995, 1000))) ** (1 / 2.0)
    >>> fit, _b10, _interval = weibull_fit_many(lives(ages, np.ones(1000)))
    >>> round(fit.shape, 1), round(fit.scale, 2)
    (2.0, 1.0)
    """
    from scipy.optimize import brentq  # here, so that importing the package stays quick

    z = NormalDist().inv_cdf(0.5 + 0.5 * float(require("level", level, above=0.0, below=1.0)))
    hazard = -math.log1p(-float(require("share", share, above=0.0, below=1.0)))
    if watched.failures < LEAST_FAILURES:
        raise OutOfRange("failed", f"true for {LEAST_FAILURES} or more", watched.failures)
    counted, unit = _counted(watched)
    r = counted.failures

    def slope(shape: float) -> float:
        exposure, moment, _square = counted.moments(shape)
        return float(r / shape - r * moment / exposure + counted.sum_log)

    if not slope(_SHAPES[0]) > 0.0 > slope(_SHAPES[1]):
        raise OutOfRange("failed", "such that a Weibull law fits", "no shape from 0.05 to 50")
    shape = float(brentq(slope, *_SHAPES, xtol=1e-12))
    exposure, moment, square = counted.moments(shape)
    log_scale = math.log(exposure / r) / shape
    # second derivatives at the best, by shape and ln(scale)
    u1 = moment / exposure - log_scale  # mean of ln(age/scale), weighted by hazard
    u2 = square / exposure - 2.0 * log_scale * moment / exposure + log_scale**2
    information = np.array(
        [[r / shape**2 + r * u2, -shape * r * u1], [-shape * r * u1, shape**2 * r]]
    )
    covariance = np.linalg.inv(information)
    scale = unit * math.exp(log_scale)
    log_age = log_scale + math.log(hazard) / shape
    gradient = np.array([-math.log(hazard) / shape**2, 1.0])
    half_age = z * math.sqrt(float(gradient @ covariance @ gradient))
    half_shape = z * math.sqrt(float(covariance[0, 0])) / shape
    half_scale = z * math.sqrt(float(covariance[1, 1]))
    best = r * (math.log(shape) - math.log(exposure / r) - 1.0) + (shape - 1.0) * counted.sum_log
    fit = WeibullFit(
        shape=shape,
        scale=scale,
        shape_interval=(shape * math.exp(-half_shape), shape * math.exp(half_shape)),
        scale_interval=(scale * math.exp(-half_scale), scale * math.exp(half_scale)),
        log_likelihood=best - r * math.log(unit),
    )
    age = unit * math.exp(log_age)
    return fit, age, (age * math.exp(-half_age), age * math.exp(half_age))
