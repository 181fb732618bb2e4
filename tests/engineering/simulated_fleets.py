"""Fleets whose truth is known: lives, recurring findings, shares and wear, with late entry."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from advisory.engineering.survival import (
    lives,
    mean_by_owner,
    mean_count_at,
    share_by_owner,
    survival_at,
    weighted_difference,
)

Generator = np.random.Generator
Band = tuple[float, float]
SHAPE, SCALE = 1.8, 30_000.0  # km
AGE = 15_000.0


def true_share(age: float, scale: float = SCALE) -> float:
    """Share that lives on to an age."""
    return float(np.exp(-((age / scale) ** SHAPE)))


def a_fleet_of_lives(rng: Generator, n: int, scale: float = SCALE):
    """A third of the units join with distance already on them; all are seen whole at some age.

    Who had failed before joining was never seen, and another stands in its place.
    """
    found, entry = np.empty(n), np.where(rng.random(n) < 1 / 3, rng.uniform(0, 8_000, n), 0.0)
    missing = np.arange(n)
    while missing.size:
        found[missing] = scale * rng.weibull(SHAPE, missing.size)
        missing = missing[found[missing] <= entry[missing]]
    seen_to = entry + rng.uniform(8_000, 40_000, n)
    return lives(np.minimum(found, seen_to), found <= seen_to, entry)


def band_of_survival(rng: Generator, n: int) -> Band:
    points = survival_at(a_fleet_of_lives(rng, n), AGE)
    return float(points.lower[0]), float(points.upper[0])


def band_of_difference(rng: Generator, n: int) -> Band:
    """Half with, half without a filter."""
    with_filter, without = a_fleet_of_lives(rng, n, 45_000.0), a_fleet_of_lives(rng, n, 25_000.0)
    difference = weighted_difference(survival_at(with_filter, AGE), survival_at(without, AGE))
    return difference.lower, difference.upper


def band_of_count(rng: Generator, n: int) -> Band:
    """Findings at random, at a rate of each unit's own (gamma, a third of its mean apart)."""
    entry = np.where(rng.random(n) < 1 / 3, rng.uniform(0, 6_000, n), 0.0)
    end = entry + rng.uniform(8_000, 30_000, n)
    rate = rng.gamma(9.0, 1.0 / 9.0, n) * 1.5 / AGE
    number = rng.poisson(rate * (end - entry))
    on = np.repeat(np.arange(n), number)
    at = entry[on] + (end - entry)[on] * (1.0 - rng.random(on.size))
    points = mean_count_at(entry, end, np.arange(n), at, on, [AGE])
    return float(points.lower[0]), float(points.upper[0])


def band_of_share(rng: Generator, n: int) -> Band:
    """Each owner does one to five pieces of work, and is as punctual as they are."""
    of = rng.integers(1, 6, n)
    share = share_by_owner(rng.binomial(of, rng.beta(7.0, 3.0, n)), of)
    return share.lower, share.upper


def band_of_wear(rng: Generator, n: int) -> Band:
    """Wear a distance, one to three units an owner, owners apart."""
    owner = np.repeat(np.arange(n), rng.integers(1, 4, n))
    wear = rng.normal(1.0, 0.25, n)[owner] + rng.normal(0.0, 0.25, owner.size)
    mean = mean_by_owner(wear, owner)
    return mean.lower, mean.upper


@dataclass(frozen=True)
class Simulation:
    """A band, and the truth that it should cover."""

    band: Callable[[Generator, int], Band]
    truth: float

    def coverage(self, n: int, runs: int, seed: int = 21) -> float:
        """Share of the runs whose band covers the truth."""
        rng = np.random.default_rng([seed, n])
        bands = np.array([self.band(rng, n) for _ in range(runs)])
        return float(((bands[:, 0] <= self.truth) & (self.truth <= bands[:, 1])).mean())


SIMULATIONS = {
    "share that lives on": Simulation(band_of_survival, true_share(AGE)),
    "difference with a filter": Simulation(
        band_of_difference, true_share(AGE, 45_000.0) - true_share(AGE, 25_000.0)
    ),
    "findings a unit": Simulation(band_of_count, 1.5),
    "share done in time": Simulation(band_of_share, 0.7),
    "wear rate": Simulation(band_of_wear, 1.0),
}
