"""Flatness of a face from points taken on it: least-squares plane and minimum zone.

Terms of ISO 12781-1 (from memory): the local flatness deviation is a point's distance from the
reference plane, across it; the flatness deviation is the distance of the highest from the lowest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray
from advisory.engineering.errors import OutOfRange

FEWEST_POINTS = 4
"""Through three points there is always a plane."""

MOST_POINTS = 2000


@dataclass(frozen=True)
class Flatness:
    """How flat a face is.

    Parameters
    ----------
    least_squares : float
        Peak-to-valley flatness deviation from the least squares reference plane [m].
    minimum_zone : float
        The same from the minimum zone reference planes: the least distance of two parallel planes
        that hold all the points between them [m].
    root_mean_square : float
        Of the local deviations from the least squares plane [m].
    local_deviations : ndarray
        Each point's, from the least squares plane, positive on the side of larger z [m].
    """

    least_squares: float
    minimum_zone: float
    root_mean_square: float
    local_deviations: FloatArray


def flatness(points: FloatArray) -> Flatness:
    """Find the flatness deviation of a face from points measured on it.

    The least squares plane (total, across the plane) comes from the singular values. Along it the
    minimum zone is a linear programme, which finds the least and not merely a near one: among all
    planes z = a x + b y + c the one whose largest distance from the points is least.

    Parameters
    ----------
    points : ndarray
        A row x, y, z for each of at least four points that do not lie on one line [m].

    Returns
    -------
    Flatness

    Raises
    ------
    OutOfRange
        For fewer points, points on one line, or what is no finite number.

    References
    ----------
    ISO 12781-1:2011, terms and reference planes (from memory). Minimum zone by linear programming:
    the Chebyshev approximation by a plane (numerical-analysis textbooks, from memory).

    Examples
    --------
    >>> corner = 20e-6
    >>> face = np.array([[0, 0, 0], [0.1, 0, 0], [0, 0.1, 0], [0.1, 0.1, corner]])
    >>> round(flatness(face).minimum_zone * 1e6, 3)
    10.0
    """
    given = np.asarray(points, dtype=np.float64)
    if given.ndim != 2 or given.shape[1] != 3:
        raise OutOfRange("points", "rows of x, y and z", str(given.shape))
    if not FEWEST_POINTS <= len(given) <= MOST_POINTS:
        raise OutOfRange("points", f"{FEWEST_POINTS} to {MOST_POINTS} points", len(given))
    if not np.isfinite(given).all():
        raise OutOfRange("points", "finite numbers", float(given[~np.isfinite(given)].flat[0]))
    centred = given - given.mean(axis=0)
    _, spread, axes = np.linalg.svd(centred, full_matrices=False)
    if spread[1] <= 1e-9 * max(spread[0], 1e-30):
        raise OutOfRange("points", "points that do not lie on one line", "a line")
    normal = axes[2] if axes[2, 2] >= 0.0 else -axes[2]
    local = centred @ normal
    along = centred @ axes[:2].T
    return Flatness(
        least_squares=float(np.ptp(local)),
        minimum_zone=_minimum_zone(along, local),
        root_mean_square=float(np.sqrt(np.mean(local**2))),
        local_deviations=local,
    )


def grid_points(heights: FloatArray, pitch_along: float, pitch_across: float) -> FloatArray:
    """Make points of heights that were read on a grid; a place that was left out is not a number.

    Parameters
    ----------
    heights : ndarray
        A row for each line across, nan where nothing was read [m].
    pitch_along, pitch_across : float
        Distance between the rows, and between the places of a row [m].

    Returns
    -------
    ndarray
        A row x, y, z for each reading [m].

    Raises
    ------
    OutOfRange
        For a pitch that is not above nought.

    References
    ----------
    Extraction by a grid: ISO 12781-2 (from memory).

    Examples
    --------
    >>> grid_points(np.array([[0.0, np.nan], [1e-6, 2e-6]]), 0.05, 0.02).shape
    (3, 3)
    """
    for argument, pitch in (("pitch_along", pitch_along), ("pitch_across", pitch_across)):
        if not 0.0 < pitch < np.inf:
            raise OutOfRange(argument, "above 0 m", pitch)
    read = np.atleast_2d(np.asarray(heights, dtype=np.float64))
    rows, columns = np.nonzero(~np.isnan(read))
    return np.column_stack((rows * pitch_along, columns * pitch_across, read[rows, columns]))


def _minimum_zone(along: FloatArray, local: FloatArray) -> float:
    """Width of the narrowest pair of parallel planes, starting from the least squares plane."""
    height = float(np.ptp(local))
    if height == 0.0:
        return 0.0
    from scipy.optimize import linprog  # here, so that importing the package stays quick

    # in lengths near one, so that the solver's tolerances mean something
    reach = float(np.abs(along).max())
    x, y, z = along[:, 0] / reach, along[:, 1] / reach, local / height
    ones = np.ones_like(z)
    above = np.column_stack((-x, -y, -ones, -ones))
    below = np.column_stack((x, y, ones, -ones))
    best = linprog(
        [0.0, 0.0, 0.0, 1.0],
        A_ub=np.vstack((above, below)),
        b_ub=np.concatenate((-z, z)),
        bounds=[(None, None)] * 3 + [(0.0, None)],
        method="highs",
    )
    assert best.x is not None  # there is always such a plane
    slope_x, slope_y = best.x[:2] * height / reach
    # upright distances of the programme become distances across the tilted planes
    zone = 2.0 * best.x[3] * height / np.sqrt(1.0 + slope_x**2 + slope_y**2)
    return float(min(zone, height))
