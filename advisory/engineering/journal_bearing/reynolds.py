"""Reynolds' equation for the finite journal bearing, solved directly.

The bearing is full (360 degrees), steadily loaded, with a rigid, aligned journal and a film of
one viscosity. Oil at ambient pressure is supplied along the line of the widest gap, the ends are
at ambient pressure, and the film ruptures where pressure and its gradient vanish together
(Swift and Stieber).

Method: finite volumes on nodes that stand closer where the film is thin: even in an angle g with
tan(theta/2) = ((1 + e)/(1 - e))^(k/2) tan(g/2). With k = 1 it is Sommerfeld's, in which the
pressure of the long and of the short bearing are trigonometric polynomials; k = 0.7 leaves enough
nodes at the widest gap for the inflow. Half the length, by symmetry; the rupture as a linear
complementarity problem (pressure >= 0, oil gained >= 0, one of them zero) by the primal-dual
active set, each step one banded Cholesky solution.
Two grids, the second with twice the cells, are extrapolated to none (Richardson).

References
----------
O. Reynolds, On the theory of lubrication, Phil. Trans. R. Soc. 177 (1886) 157-234.
O. Pinkus, B. Sternlicht, Theory of Hydrodynamic Lubrication, McGraw-Hill 1961, ch. 3.
M. Hintermueller, K. Ito, K. Kunisch, The primal-dual active set strategy as a semismooth Newton
method, SIAM J. Optim. 13 (2002) 865-888, doi:10.1137/S1052623401383558.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray
from advisory.engineering.errors import OutOfRange
from advisory.engineering.journal_bearing.grid import FilmGrid, FilmIntegrals, refined

CIRCUMFERENTIAL_CELLS = 128
AXIAL_CELLS = 12
ECCENTRICITY_LIMITS = (0.001, 0.995)
LENGTH_LIMITS = (0.02, 50.0)


@dataclass(frozen=True)
class FilmSolution:
    """The film of one bearing in dimensionless terms, as Raimondi and Boyd name them.

    Parameters
    ----------
    eccentricity_ratio : float
        Distance of the centres over radial clearance.
    length_to_diameter : float
        Length over diameter.
    sommerfeld_number : float
        (R/c)^2 mu N / P, N in rev/s, c the radial clearance, P the load over L D.
    attitude_angle : float
        From the load line to the line of centres [rad].
    friction_variable : float
        (R/c) f, friction at the journal with shear all round.
    flow_variable : float
        Q / (R c N L), Q drawn round at the widest gap.
    side_flow_ratio : float
        Share of Q that leaves at the two ends.
    pressure_ratio : float
        Load over projected area, over the highest pressure.
    """

    eccentricity_ratio: float
    length_to_diameter: float
    sommerfeld_number: float
    attitude_angle: float
    friction_variable: float
    flow_variable: float
    side_flow_ratio: float
    pressure_ratio: float


@dataclass(frozen=True)
class FilmPressure:
    """The pressure in the film, over p0 = mu omega (R/c)^2.

    Parameters
    ----------
    angle : ndarray
        Angle from the widest gap in the sense of rotation, shape (n + 1,) [rad].
    axial_position : ndarray
        Distance from mid length over half the length, 0 to 1, shape (m + 1,).
    pressure : ndarray
        Pressure over p0, shape (n + 1, m + 1); zero where the film is ruptured.
    """

    angle: FloatArray
    axial_position: FloatArray
    pressure: FloatArray


class FilmSolver:
    """Both grids of one length-to-diameter ratio; each rupture found is the next guess."""

    def __init__(self, ratio: float, cells: int, axial_cells: int) -> None:
        self.ratio = ratio
        self.sizes = ((cells // 2, axial_cells // 2), (cells, axial_cells))
        self.guess: list[NDArray[np.bool_] | None] = [None, None]

    def at(self, eccentricity: float) -> FilmSolution:
        """Solve on both grids and extrapolate."""
        found = self._on_grid(eccentricity, 0).extrapolated(self._on_grid(eccentricity, 1))
        return _solution(eccentricity, self.ratio, found)

    def roughly_at(self, eccentricity: float) -> FilmSolution:
        """Solve on the coarse grid alone: a quarter of the work, within a few percent."""
        return _solution(eccentricity, self.ratio, self._on_grid(eccentricity, 0))

    def _on_grid(self, eccentricity: float, level: int) -> FilmIntegrals:
        cells, axial_cells = self.sizes[level]
        guess = self.guess[level]
        if guess is None:
            guess = self._first_guess(eccentricity, level)
        grid = FilmGrid(eccentricity, self.ratio, cells, axial_cells)
        pressure, self.guess[level] = grid.solve(guess)
        return grid.integrals(pressure)

    def _first_guess(self, eccentricity: float, level: int) -> NDArray[np.bool_]:
        cells, axial_cells = self.sizes[level]
        coarse = self.guess[0] if level else None
        if coarse is None:
            coarse = self._coarse_guess(eccentricity, cells // 2, axial_cells // 2)
        return refined(coarse, cells, axial_cells)

    def _coarse_guess(self, eccentricity: float, cells: int, axial: int) -> NDArray[np.bool_]:
        """Solved from half the grid, and so on from a few cells, where any guess is good."""
        if cells <= 16 or axial <= 2:
            guess = np.zeros((cells - 1, axial), dtype=np.bool_)
            guess[: cells // 2 + 1] = True
        else:
            coarse = self._coarse_guess(eccentricity, cells // 2, axial // 2)
            guess = refined(coarse, cells, axial)
        _, active = FilmGrid(eccentricity, self.ratio, cells, axial).solve(guess)
        return active


def _solution(e: float, ratio: float, film: FilmIntegrals) -> FilmSolution:
    load = float(np.hypot(film.load_across, film.load_along))
    number = 1.0 / (np.pi * load)
    couette = 2.0 * np.pi / np.sqrt(1.0 - e * e)
    return FilmSolution(
        eccentricity_ratio=e,
        length_to_diameter=ratio,
        sommerfeld_number=float(number),
        attitude_angle=float(np.arctan2(film.load_across, -film.load_along)),
        friction_variable=float((couette + film.pressure_shear) / load),
        flow_variable=film.inflow,
        side_flow_ratio=film.side_flow / film.inflow,
        pressure_ratio=0.5 * load / film.peak,
    )


def solve_film(
    eccentricity_ratio: float,
    length_to_diameter: float,
    *,
    circumferential_cells: int = CIRCUMFERENTIAL_CELLS,
    axial_cells: int = AXIAL_CELLS,
) -> FilmSolution:
    """Solve Reynolds' equation for a given place of the journal.

    Parameters
    ----------
    eccentricity_ratio : float
        0.001 to 0.995 [-].
    length_to_diameter : float
        0.02 to 50 [-].
    circumferential_cells, axial_cells : int
        Cells of the finer grid, all round and along half the length; even.

    Returns
    -------
    FilmSolution

    Raises
    ------
    OutOfRange
        For an eccentricity ratio or a length-to-diameter ratio beyond these limits.

    References
    ----------
    See the head of this module. Checked against Raimondi and Boyd (1958), ISO 7902-2, and the
    limits of the short and of the infinitely long bearing.

    Examples
    --------
    >>> film = solve_film(0.6, 1.0)
    >>> round(film.sommerfeld_number, 3), round(film.flow_variable, 2)
    (0.121, 4.33)
    """
    refuse_outside("eccentricity_ratio", eccentricity_ratio, *ECCENTRICITY_LIMITS)
    refuse_outside("length_to_diameter", length_to_diameter, *LENGTH_LIMITS)
    return FilmSolver(length_to_diameter, circumferential_cells, axial_cells).at(eccentricity_ratio)


def solve_films(
    eccentricity_ratios: FloatArray,
    length_to_diameter: float,
    *,
    circumferential_cells: int = CIRCUMFERENTIAL_CELLS,
    axial_cells: int = AXIAL_CELLS,
) -> list[FilmSolution]:
    """Solve for many places of the journal in one bearing, each from the rupture of the last.

    Parameters, errors and references as in `solve_film`, with an array of eccentricity ratios
    in place of one; neighbours in order make it quick.

    Examples
    --------
    >>> [round(f.sommerfeld_number, 3) for f in solve_films(np.array([0.59, 0.6]), 1.0)]
    [0.126, 0.121]
    """
    refuse_outside("length_to_diameter", length_to_diameter, *LENGTH_LIMITS)
    film = FilmSolver(length_to_diameter, circumferential_cells, axial_cells)
    solutions = []
    for eccentricity in eccentricity_ratios:
        refuse_outside("eccentricity_ratio", float(eccentricity), *ECCENTRICITY_LIMITS)
        solutions.append(film.at(float(eccentricity)))
    return solutions


def film_pressure(
    eccentricity_ratio: float,
    length_to_diameter: float,
    *,
    circumferential_cells: int = CIRCUMFERENTIAL_CELLS,
    axial_cells: int = AXIAL_CELLS,
) -> FilmPressure:
    """Solve Reynolds' equation and keep the field of pressure, for a chart or a comparison.

    Parameters, errors and references as in `solve_film`; the field is that of the finer grid.

    Examples
    --------
    >>> field = film_pressure(0.6, 1.0)
    >>> bool((field.pressure >= 0).all())
    True
    """
    refuse_outside("eccentricity_ratio", eccentricity_ratio, *ECCENTRICITY_LIMITS)
    refuse_outside("length_to_diameter", length_to_diameter, *LENGTH_LIMITS)
    film = FilmSolver(length_to_diameter, circumferential_cells, axial_cells)
    film.at(eccentricity_ratio)
    grid = FilmGrid(eccentricity_ratio, length_to_diameter, circumferential_cells, axial_cells)
    active = film.guess[1]
    assert active is not None
    pressure, _ = grid.solve(active)
    return FilmPressure(grid.angle, grid.axial.position, pressure)


def refuse_outside(argument: str, value: float, low: float, high: float) -> None:
    """Raise `OutOfRange` for a value beyond its limits, or not a number."""
    if not low <= value <= high:
        raise OutOfRange(argument, f"{low} to {high}", value)
