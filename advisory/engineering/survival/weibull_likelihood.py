"""How likely a Weibull law makes lives with censoring and late entry, shape by shape."""

from __future__ import annotations

import math

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats
from advisory.engineering.survival.lives import Lives

_POWERS_AT_ONCE = 1_000_000  # ages by shapes: some megabytes


class Likelihood:
    """The log-likelihood with the best scale for each shape, ages over the greatest of them."""

    def __init__(self, watched: Lives) -> None:
        self.unit = float(watched.duration.max())
        self.log_age = np.log(watched.duration / self.unit)
        late = watched.entry > 0.0
        self.log_entry = np.log(watched.entry[late] / self.unit)
        self.failures = watched.failures
        self.sum_log = float(self.log_age[watched.failed].sum())

    def exposure(self, shape: Floats) -> FloatArray:
        """Sum of age^shape, less what was not watched: age before entry; for each shape."""
        return _sum_of_powers(self.log_age, shape) - _sum_of_powers(self.log_entry, shape)

    def slope(self, shape: float) -> float:
        """Differentiate the log-likelihood by the shape."""
        moment = float(
            (self.log_age * np.exp(shape * self.log_age)).sum()
            - (self.log_entry * np.exp(shape * self.log_entry)).sum()
        )
        r = self.failures
        return r / shape - r * moment / float(self.exposure(shape)) + self.sum_log

    def at(self, shape: Floats) -> FloatArray:
        """Log-likelihood of each shape; none where rounding leaves nothing watched."""
        r, tried = self.failures, np.asarray(shape, dtype=np.float64)
        exposure = self.exposure(tried)
        watched = exposure > 0.0
        log_mean = np.log(np.where(watched, exposure, 1.0) / r)
        value = r * (np.log(tried) - log_mean - 1.0) + (tried - 1.0) * self.sum_log
        return np.where(watched, value, -np.inf)

    def log_age_of(self, shape: Floats, hazard: float, share: Floats = 1.0) -> FloatArray:
        """Ln of the age of a cumulative hazard, the scale off its best by share^(-1/shape)."""
        log_scale = np.log(self.exposure(shape) / (self.failures * np.asarray(share)))
        return np.asarray((log_scale + math.log(hazard)) / shape)


def _sum_of_powers(log_age: FloatArray, shape: Floats) -> FloatArray:
    """Sum of age^shape over the ages, for each shape."""
    shapes = np.asarray(shape, dtype=np.float64)
    flat = shapes.ravel()
    step = max(1, _POWERS_AT_ONCE // max(1, log_age.size))
    sums = [
        np.exp(np.multiply.outer(flat[start : start + step], log_age)).sum(axis=1)
        for start in range(0, flat.size, step)
    ]
    return np.concatenate(sums).reshape(shapes.shape)
