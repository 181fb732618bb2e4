"""Figures that contradict one another: a clearance doesn't get smaller by running."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray
from advisory.engineering.wear.measured import Measured

#: Two figures may differ by so many of their combined standard uncertainties.
ALLOWED = 2.0


@dataclass(frozen=True)
class Contradiction:
    """Two measurements of which one is wrong, unless something has moved.

    Parameters
    ----------
    larger, smaller : int
        Which two, by their places in the order given; the worst pair where there are more.
    same_distance : bool
        Whether they were taken at the same distance; else the smaller is the later one.
    settled : bool
        Whether it was measured again since, and that agrees: the figure given last of those at
        the last distance lies below none, and another one stands beside it.
    """

    larger: int
    smaller: int
    same_distance: bool
    settled: bool


def contradiction_in(unit: Measured) -> Contradiction | None:
    """Return which measurements of a unit contradict one another; None where none do.

    Two do where one lies below another that was taken before it, or at the same distance, by more
    than two combined standard uncertainties, 2·√(u₁² + u₂²). Among more than two measurements some
    pair lies farther apart by chance: then it is the distance that any of all pairs exceeds as
    seldom as two measurements exceed that (Bonferroni).

    Parameters
    ----------
    unit : Measured
        Its measurements.

    Returns
    -------
    Contradiction or None
        The pair that is farthest apart in its uncertainty.

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2 and 6.2: combined standard uncertainty, coverage factor 2 (from
    memory). NIST/SEMATECH e-Handbook of Statistical Methods, 7.4.7.3: Bonferroni (from memory).
    That two figures are held against one another so: common practice, no source.

    Examples
    --------
    >>> km, thou = 1e3, 25.4e-6
    >>> fallen = Measured(np.array([0, 5_000]) * km, np.array([9, 4]) * thou, np.full(2, 5e-6))
    >>> contradiction_in(fallen).smaller
    1
    """
    apart = _apart(unit)
    if not apart.max() > _allowed(len(unit.value)):
        return None
    larger, smaller = (int(at) for at in np.unravel_index(np.argmax(apart), apart.shape))
    good = stands(unit)
    last = int(np.flatnonzero(unit.distance == unit.last)[-1])
    return Contradiction(
        larger=larger,
        smaller=smaller,
        same_distance=bool(unit.distance[larger] == unit.distance[smaller]),
        settled=bool(good[last]) and int(good.sum()) > 1,
    )


def without_fallen(unit: Measured) -> Measured:
    """Return a unit without the measurements that lie below an earlier one.

    Parameters
    ----------
    unit : Measured
        Its measurements.

    Returns
    -------
    Measured
        Those of it that nothing contradicts from above; at least one.
    """
    good = stands(unit)
    return Measured(unit.distance[good], unit.value[good], unit.uncertainty[good])


def stands(unit: Measured) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Say of each measurement whether it lies below none that was taken before it or with it.

    Parameters
    ----------
    unit : Measured
        Its measurements.

    Returns
    -------
    ndarray of bool, shape (n,)
        In the order given.
    """
    good: np.ndarray[tuple[int], np.dtype[np.bool_]] = ~np.any(
        _apart(unit) > _allowed(len(unit.value)), axis=0
    )
    return good


def _apart(unit: Measured) -> FloatArray:
    """Return by how much each (column) lies below each that was not taken later (row), over u."""
    x, y, u = unit.distance, unit.value, unit.uncertainty
    below = (y[:, None] - y) / np.sqrt(u[:, None] ** 2 + u**2)
    return np.where(x[:, None] <= x, below, 0.0)


def _allowed(n: int) -> float:
    if n <= 2:
        return ALLOWED
    from scipy.special import ndtr, ndtri  # here, so that importing the package stays quick

    return -float(ndtri(ndtr(-ALLOWED) / math.comb(n, 2)))
