"""A unit's wear, shrunk toward that of the other units of its design.

A unit starts at its as-built value, which scatters about the design's, and wears along a straight
line, at a rate that scatters about the design's. What is not known of the design (mean and spread
of the rate, mean and scatter of the as-built value) and how true the gauge is are not estimated
and then taken for granted, but summed over on a grid, each with the weight that the measurements
of all units give it. The grid is laid three times, each time closer about what carries weight.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.assumption import PRACTICE, SET_BY_US, TakenForGranted
from advisory.engineering.wear.contradiction import (
    ALLOWED,
    contradiction_in,
    without_fallen,
)
from advisory.engineering.wear.forecast import WearForecast
from advisory.engineering.wear.measured import Measured

#: One standard deviation of a measurement where none is told [m].
USUAL_UNCERTAINTY = 0.005e-3

#: Farther than this from the last measurement no distance is named [m].
FARTHEST = 1_000_000e3

#: With fewer other units that tell a rate, the design says little.
FEW_UNITS = 3

# Before any measurement: half of the limit worn away in so many metres, give or take e-fold.
_HALF_WORN_IN = 50_000e3
_HALF_WORN_SPREAD = 1.2

# Spread of the rates of one design (standard deviation of their logarithm), and its weights.
_RATE_SPREADS = np.array([0.1, 0.2, 0.3, 0.42, 0.6, 0.9])
_RATE_SPREAD_USUAL = 0.45
# As-built scatter, and the true error of the gauge, over the uncertainty that is told.
_SCATTERS = np.array([0.3, 0.8, 1.6, 3.0, 6.0])
_GAUGES = np.array([0.5, 0.7, 1.0, 1.45, 2.1])
_GAUGE_SPREAD = 0.45

_LEVELS, _RATES, _MEANS = 11, 56, 13  # points of the grid that is laid anew
_PASSES = 3
_NEGLIGIBLE = 1e-4  # weight that is left out in all


ASSUMPTIONS = (
    TakenForGranted(
        "wear before anything was measured",
        f"half of the limit in {_HALF_WORN_IN / 1e3:,.0f} km, give or take a factor of "
        f"{math.exp(_HALF_WORN_SPREAD):.1f}",
        f"{SET_BY_US}; outweighed by the first few measurements",
    ),
    TakenForGranted(
        "spread of the rate within a design",
        f"{100 * _RATE_SPREADS[0]:.0f} % to {100 * _RATE_SPREADS[-1]:.0f} %, most likely below "
        f"{100 * _RATE_SPREAD_USUAL:.0f} %",
        f"{SET_BY_US}; learnt from the design's units",
    ),
    TakenForGranted(
        "as-built scatter",
        f"{_SCATTERS[0]:g} to {_SCATTERS[-1]:g} times the uncertainty of a measurement",
        f"{SET_BY_US}; learnt from the design's units",
    ),
    TakenForGranted(
        "error of the gauge",
        f"{_GAUGES[0]:g} to {_GAUGES[-1]:g} times the uncertainty told",
        f"{SET_BY_US}; learnt from the design's units",
    ),
    TakenForGranted(
        "uncertainty of a measurement where none is told",
        f"{USUAL_UNCERTAINTY * 1e3:g} mm",
        f"{PRACTICE}: bore gauge against micrometer, by hand",
    ),
    TakenForGranted(
        "figures that contradict one another",
        f"a later one smaller by more than {ALLOWED:g} combined standard uncertainties",
        f"{PRACTICE}: coverage factor 2; wider among more than two",
    ),
    TakenForGranted(
        "wear by distance",
        "a straight line",
        f"{PRACTICE}: after running-in and before something goes wrong",
    ),
)


def wear_of(unit: Measured, limit: float, fleet: Sequence[Measured] = ()) -> WearForecast:
    """Say what the measurements tell of a unit's wear.

    Parameters
    ----------
    unit : Measured
        The unit's own measurements.
    limit : float
        The value at which it is worn out [m].
    fleet : sequence of Measured
        Other units of the same design; those that contradict themselves are left out.

    Returns
    -------
    WearForecast
        Its rate, where it stands, and when it meets the limit, each as a distribution; no distance
        where its own measurements contradict one another.

    Raises
    ------
    OutOfRange
        For a limit that is not above nought.

    Notes
    -----
    Rates are log-normal within a design and never negative: nothing grows back.

    References
    ----------
    A. Gelman et al., Bayesian Data Analysis, 3rd ed., sections 5.4 and 10.1: hierarchical normal
    model, posterior on a grid (from memory).

    Examples
    --------
    >>> km, mm = 1e3, 1e-3
    >>> told = Measured(
    ...     np.array([0, 8000, 15500, 24000, 31000]) * km,
    ...     np.array([0.045, 0.056, 0.062, 0.075, 0.081]) * mm,
    ...     np.full(5, 0.0015 * mm),
    ... )
    >>> found = wear_of(told, 0.100 * mm)
    >>> 14_500 < found.distance_at(0.5) / km < 16_500
    True
    """
    require("limit", limit, above=0.0, unit="m")
    fleet, given = [one for one in fleet if contradiction_in(one) is None], len(fleet)
    sums = _Sums.of([unit, *fleet])
    grid = _Grid.first(sums, limit)
    for _ in range(_PASSES - 1):
        grid = grid.closer(_Weights.on(grid, sums))
    found = _forecast(grid, _Weights.on(grid, sums), sums, unit, fleet, limit)
    left_out = given - len(fleet)
    return replace(found, left_out=left_out, contradiction=contradiction_in(unit))


def next_measuring(unit: Measured, limit: float) -> float | None:
    """Say how far a unit may run until it is measured again, by its own measurements.

    Parameters
    ----------
    unit : Measured
        The unit's own measurements.
    limit : float
        The value at which it is worn out [m].

    Returns
    -------
    float or None
        From the last measurement [m]; 0 where they contradict one another, unless it was measured
        again since: then it is what those tell that lie below none before them.
    """
    found = wear_of(unit, limit)
    while found.contradiction is not None and found.contradiction.settled:
        unit = without_fallen(unit)  # fewer: among them less is allowed
        found = wear_of(unit, limit)
    return found.next_inspection()


@dataclass(frozen=True)
class _Sums:
    """Weighted sums over each unit's measurements, from which every likelihood follows."""

    n: FloatArray
    w: FloatArray
    wx: FloatArray
    wy: FloatArray
    wxx: FloatArray
    wxy: FloatArray
    wyy: FloatArray
    usual: float
    first: FloatArray
    most: float

    @classmethod
    def of(cls, units: Sequence[Measured]) -> _Sums:
        rows = []
        for one in units:
            w = one.uncertainty**-2
            x, y = one.distance, one.value
            rows.append((len(x), w.sum(), w @ x, w @ y, w @ (x * x), w @ (x * y), w @ (y * y)))
        n, w, wx, wy, wxx, wxy, wyy = np.array(rows, dtype=float).T
        return cls(
            n, w, wx, wy, wxx, wxy, wyy,
            usual=float(np.median(np.concatenate([one.uncertainty for one in units]))),
            first=np.array([one.value[np.argmin(one.distance)] for one in units]),
            most=float(max(one.value.max() for one in units)),
        )  # fmt: skip

    def log_likelihood(self, grid: _Grid) -> FloatArray:
        """Return it by unit, gauge, scatter, as-built mean and rate, the as-built value summed."""
        g2 = grid.gauges[:, None, None, None] ** 2
        s2 = grid.scatters[:, None, None] ** 2
        a, r = grid.levels[:, None], grid.rates
        n, w, wx, wy, wxx, wxy, wyy = (
            each[:, None, None, None, None]
            for each in (self.n, self.w, self.wx, self.wy, self.wxx, self.wxy, self.wyy)
        )
        off = (wy - a * w - r * wx) / g2
        squares = (wyy - 2 * a * wy - 2 * r * wxy + a * a * w + 2 * a * r * wx + r * r * wxx) / g2
        shared = 1 + s2 * w / g2
        found: FloatArray = -0.5 * (
            squares - s2 * off**2 / shared + n * np.log(g2) + np.log(shared)
        )
        return found


@dataclass(frozen=True)
class _Grid:
    """Where the unknowns are summed: gauge, scatter, as-built mean, rate; mean and spread of it."""

    gauges: FloatArray
    scatters: FloatArray
    levels: FloatArray
    rates: FloatArray
    means: FloatArray  # of the logarithm of the rate
    usual_mean: float

    @classmethod
    def first(cls, sums: _Sums, limit: float) -> _Grid:
        usual = float(np.log(0.5 * limit / _HALF_WORN_IN))
        reach = 4.0 * _HALF_WORN_SPREAD
        top = float(sums.first.max()) + 4 * sums.usual
        return cls(
            gauges=_GAUGES,
            scatters=_SCATTERS * sums.usual,
            levels=np.linspace(0.0, max(top, 0.05 * limit), 2 * _LEVELS),
            rates=np.exp(np.linspace(usual - reach, usual + reach, _RATES)),
            means=np.linspace(usual - reach, usual + reach, _MEANS),
            usual_mean=usual,
        )

    @property
    def rate_chances(self) -> FloatArray:
        """Chance of each rate, by mean and spread (in a row) of the design's rates."""
        mean = np.repeat(self.means, len(_RATE_SPREADS))[:, None]
        spread = np.tile(_RATE_SPREADS, len(self.means))[:, None]
        log = np.log(self.rates)
        density = np.exp(-0.5 * ((log - mean) / spread) ** 2) * np.gradient(log)
        total = density.sum(axis=1, keepdims=True)
        chances: FloatArray = density / np.maximum(total, 1e-300)
        return chances

    @property
    def log_prior(self) -> FloatArray:
        """Weights before measuring: gauge, scatter, level in a row, by mean and spread in a row."""
        gauge = -0.5 * (np.log(self.gauges) / _GAUGE_SPREAD) ** 2
        own = np.repeat(gauge, len(self.scatters) * len(self.levels))
        mean = -0.5 * ((self.means - self.usual_mean) / _HALF_WORN_SPREAD) ** 2
        spread = -0.5 * (_RATE_SPREADS / _RATE_SPREAD_USUAL) ** 2 + np.log(
            np.gradient(_RATE_SPREADS)
        )
        of_design = (mean[:, None] + spread).ravel()
        found: FloatArray = own[:, None] + of_design
        return found

    def closer(self, weights: _Weights) -> _Grid:
        """Lay the same number of points about what carries weight."""
        level, level_off = _moments(self.levels, weights.levels)
        mean, mean_off = _moments(self.means, weights.means)
        rate, rate_off = _moments(np.log(self.rates), weights.design_rates)
        own, own_off = _moments(np.log(self.rates), weights.own_rates)
        near = np.abs(np.log(self.rates) - own) < 4 * own_off
        own_off = max(own_off, 0.6 * float(np.gradient(np.log(self.rates))[near].min()))
        return _Grid(
            gauges=self.gauges,
            scatters=self.scatters,
            levels=np.linspace(max(level - 3.2 * level_off, 0.0), level + 3.2 * level_off, _LEVELS),
            rates=np.exp(
                _merged(
                    np.linspace(rate - 3.5 * rate_off, rate + 3.5 * rate_off, _RATES // 2),
                    np.linspace(own - 4 * own_off, own + 4 * own_off, _RATES // 2),
                )
            ),
            means=np.linspace(mean - 3.2 * mean_off, mean + 3.2 * mean_off, _MEANS),
            usual_mean=self.usual_mean,
        )


def _merged(coarse: FloatArray, fine: FloatArray) -> FloatArray:
    """Lay a fine grid into a coarse one that reaches farther."""
    outside = (coarse < fine[0] - 1e-9) | (coarse > fine[-1] + 1e-9)
    return np.sort(np.concatenate([coarse[outside], fine]))


def _moments(values: FloatArray, weights: FloatArray) -> tuple[float, float]:
    mean = float(values @ weights)
    step = float(values[1] - values[0])
    return mean, max(float(np.sqrt((values - mean) ** 2 @ weights)), 0.6 * step)


@dataclass(frozen=True)
class _Weights:
    """What carries weight: the unit's own rate by all else, and each unknown by itself."""

    joint: FloatArray  # by gauge, scatter, level and rate
    levels: FloatArray
    means: FloatArray
    design_rates: FloatArray
    own_rates: FloatArray

    @classmethod
    def on(cls, grid: _Grid, sums: _Sums) -> _Weights:
        log_likelihood = sums.log_likelihood(grid)
        # gauge and scatter in one, levels, rates: products this small stay on one core
        by_rate = log_likelihood.reshape(len(sums.n), -1, len(grid.levels), len(grid.rates))
        top = by_rate.max(axis=3, keepdims=True)
        likelihood = np.exp(by_rate - top)
        chances = grid.rate_chances
        others = grid.log_prior.reshape(*by_rate.shape[1:3], -1) + top.sum(axis=0)
        for one in likelihood[1:]:
            others = others + np.log(np.maximum(one @ chances.T, 1e-300))
        own = np.maximum(likelihood[0] @ chances.T, 1e-300)
        both = others + np.log(own)
        weight = np.exp(both - both.max())
        weight /= weight.sum()
        joint = likelihood[0] * ((weight / own) @ chances)
        joint = (joint / joint.sum()).reshape(log_likelihood.shape[1:])
        weight = weight.reshape(-1, weight.shape[2])
        of_design = weight.sum(axis=0)
        return cls(
            joint=joint,
            levels=joint.sum(axis=(0, 1, 3)),
            means=of_design.reshape(len(grid.means), -1).sum(axis=1),
            design_rates=of_design @ chances,
            own_rates=joint.sum(axis=(0, 1, 2)),
        )


def _forecast(
    grid: _Grid,
    weights: _Weights,
    sums: _Sums,
    unit: Measured,
    fleet: Sequence[Measured],
    limit: float,
) -> WearForecast:
    g2 = grid.gauges[:, None, None, None] ** 2
    s2 = grid.scatters[:, None, None] ** 2
    rates = grid.rates
    precision = 1 / s2 + sums.w[0] / g2
    built = (grid.levels[:, None] / s2 + (sums.wy[0] - rates * sums.wx[0]) / g2) / precision
    shape = weights.joint.shape
    weight = weights.joint.ravel()
    order = np.argsort(weight)[::-1]
    kept = order[: int(np.searchsorted(np.cumsum(weight[order]), 1 - _NEGLIGIBLE)) + 1]
    return WearForecast(
        weight=weight[kept] / weight[kept].sum(),
        rate=np.broadcast_to(rates, shape).ravel()[kept],
        level=(built + rates * unit.last).ravel()[kept],
        spread=np.broadcast_to(1 / np.sqrt(precision), shape).ravel()[kept],
        last=unit.last,
        limit=limit,
        farthest=FARTHEST,
        alike=sum(one.tells_a_rate for one in fleet),
    )
