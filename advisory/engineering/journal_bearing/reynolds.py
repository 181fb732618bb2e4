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

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.errors import OutOfRange
from advisory.engineering.journal_bearing.grid import FilmGrid, FilmIntegrals, refined

Array = NDArray[np.float64]

CIRCUMFERENTIAL_CELLS = 128
AXIAL_CELLS = 12
ECCENTRICITY_LIMITS = (0.001, 0.995)
LENGTH_LIMITS = (0.02, 50.0)
SOMMERFELD_TOLERANCE = 1e-6  # in ln S
ROUGH_TOLERANCE = 1e-3  # in ln S, on the coarse grid


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

    angle: Array
    axial_position: Array
    pressure: Array


class _Film:
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
    _refuse_outside("eccentricity_ratio", eccentricity_ratio, *ECCENTRICITY_LIMITS)
    _refuse_outside("length_to_diameter", length_to_diameter, *LENGTH_LIMITS)
    return _Film(length_to_diameter, circumferential_cells, axial_cells).at(eccentricity_ratio)


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
    _refuse_outside("eccentricity_ratio", eccentricity_ratio, *ECCENTRICITY_LIMITS)
    _refuse_outside("length_to_diameter", length_to_diameter, *LENGTH_LIMITS)
    film = _Film(length_to_diameter, circumferential_cells, axial_cells)
    film.at(eccentricity_ratio)
    grid = FilmGrid(eccentricity_ratio, length_to_diameter, circumferential_cells, axial_cells)
    active = film.guess[1]
    assert active is not None
    pressure, _ = grid.solve(active)
    return FilmPressure(grid.angle, grid.axial.position, pressure)


def solve_equilibrium(
    sommerfeld_number: float,
    length_to_diameter: float,
    *,
    circumferential_cells: int = CIRCUMFERENTIAL_CELLS,
    axial_cells: int = AXIAL_CELLS,
) -> FilmSolution:
    """Find where the journal settles under a load, each trial by a direct solution.

    Parameters
    ----------
    sommerfeld_number : float
        (R/c)^2 mu N / P, N in rev/s, c the radial clearance [-].
    length_to_diameter : float
        0.02 to 50 [-].
    circumferential_cells, axial_cells : int
        As in `solve_film`.

    Returns
    -------
    FilmSolution
        Its Sommerfeld number equals the one given to 1e-6.

    Raises
    ------
    OutOfRange
        For a length-to-diameter ratio beyond the limits, or where the eccentricity ratio would
        lie outside 0.001 to 0.995.

    Examples
    --------
    >>> round(solve_equilibrium(0.121, 1.0).eccentricity_ratio, 2)
    0.6
    """
    _refuse_outside("length_to_diameter", length_to_diameter, *LENGTH_LIMITS)
    if not (sommerfeld_number > 0.0 and np.isfinite(sommerfeld_number)):
        raise OutOfRange("sommerfeld_number", "above 0", sommerfeld_number)
    low, high = (float(np.arctanh(e)) for e in ECCENTRICITY_LIMITS)
    film = _Film(length_to_diameter, circumferential_cells, axial_cells)
    goal = float(np.log(sommerfeld_number))
    # ln S follows the rough rule up to a correction that hardly changes with eccentricity; it is
    # learnt on the coarse grid first, where a trial costs a quarter.
    search = _Search(length_to_diameter, goal, low, high)
    for solve, tolerance in (
        (film.roughly_at, ROUGH_TOLERANCE),
        (film.at, SOMMERFELD_TOLERANCE),
    ):
        search.tried = search.tried[-1:]
        for _ in range(20):
            solution = solve(float(np.tanh(search.place())))
            if search.miss(solution.sommerfeld_number) < tolerance:
                break
        else:
            raise OutOfRange(
                "sommerfeld_number",
                "such that the eccentricity ratio lies in {} to {}".format(*ECCENTRICITY_LIMITS),
                sommerfeld_number,
            )
    return solution


class _Search:
    """Where the rough rule for ln S, corrected by what trials showed, meets the goal."""

    def __init__(self, ratio: float, goal: float, low: float, high: float) -> None:
        self.ratio, self.goal, self.limits = ratio, goal, (low, high)
        self.tried: list[tuple[float, float]] = []
        self.last = 0.5 * (low + high)

    def place(self) -> float:
        """Choose the next trial, artanh of the eccentricity ratio."""
        origin, correction = self.tried[-1] if self.tried else (0.0, 0.0)
        slope = 0.0
        if len(self.tried) > 1 and origin != self.tried[-2][0]:
            slope = (correction - self.tried[-2][1]) / (origin - self.tried[-2][0])
        low, high = self.limits
        for _ in range(50):
            middle = 0.5 * (low + high)
            number = _rough_number(middle, self.ratio) + correction + slope * (middle - origin)
            low, high = (middle, high) if number > self.goal else (low, middle)
        self.last = 0.5 * (low + high)
        return self.last

    def miss(self, sommerfeld_number: float) -> float:
        """How far the trial was off the goal; keeps it."""
        number = math.log(sommerfeld_number)
        self.tried.append((self.last, number - _rough_number(self.last, self.ratio)))
        return abs(number - self.goal)


def _rough_number(place: float, ratio: float) -> float:
    """Ln S by the sum of the short (Ocvirk) and the long bearing (Sommerfeld): a first guess."""
    e = math.tanh(place)
    gap = 1.0 - e * e
    short = gap**2 / (math.pi * e * math.sqrt(math.pi**2 * gap + 16.0 * e * e) * ratio**2)
    long = (2.0 + e * e) * math.sqrt(gap) / (12.0 * math.pi**2 * e)
    return math.log(short + long)


def _refuse_outside(argument: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise OutOfRange(argument, f"{low} to {high}", value)
