"""Where a journal settles under its load, each trial a direct solution of Reynolds' equation."""

from __future__ import annotations

import math

import numpy as np

from advisory.engineering.errors import OutOfRange
from advisory.engineering.journal_bearing.reynolds import (
    AXIAL_CELLS,
    CIRCUMFERENTIAL_CELLS,
    ECCENTRICITY_LIMITS,
    LENGTH_LIMITS,
    FilmSolution,
    FilmSolver,
    refuse_outside,
)

SOMMERFELD_TOLERANCE = 1e-6  # in ln S
ROUGH_TOLERANCE = 1e-3  # in ln S, on the coarse grid


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
    refuse_outside("length_to_diameter", length_to_diameter, *LENGTH_LIMITS)
    if not (sommerfeld_number > 0.0 and np.isfinite(sommerfeld_number)):
        raise OutOfRange("sommerfeld_number", "above 0", sommerfeld_number)
    low, high = (float(np.arctanh(e)) for e in ECCENTRICITY_LIMITS)
    film = FilmSolver(length_to_diameter, circumferential_cells, axial_cells)
    goal = float(np.log(sommerfeld_number))
    # ln S follows the rough rule up to a correction that hardly changes with eccentricity; it is
    # learnt on the coarse grid first, where a trial costs a quarter.
    search = _Search(length_to_diameter, goal, low, high)
    for solve, tolerance in (
        (film.roughly_at, ROUGH_TOLERANCE),
        (film.at, SOMMERFELD_TOLERANCE),
    ):
        search.begin()
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
        self.last = self.origin = 0.0
        self.correction = self.slope = 0.0
        self.trials = 0

    def begin(self) -> None:
        """Begin with another grid: the slope of the correction still holds, its value does not."""
        self.trials = 0

    def place(self) -> float:
        """Choose the next trial, artanh of the eccentricity ratio."""
        low, high = self.limits
        for _ in range(50):
            middle = 0.5 * (low + high)
            number = _rough_number(middle, self.ratio) + self.correction
            number += self.slope * (middle - self.origin)
            low, high = (middle, high) if number > self.goal else (low, middle)
        self.last = 0.5 * (low + high)
        return self.last

    def miss(self, sommerfeld_number: float) -> float:
        """How far the trial was off the goal; learns from it."""
        number = math.log(sommerfeld_number)
        correction = number - _rough_number(self.last, self.ratio)
        step = self.last - self.origin
        if self.trials and abs(step) > 1e-9:
            self.slope = (correction - self.correction) / step
        self.origin, self.correction = self.last, correction
        self.trials += 1
        return abs(number - self.goal)


def _rough_number(place: float, ratio: float) -> float:
    """Ln S by the sum of the short (Ocvirk) and the long bearing (Sommerfeld): a first guess."""
    e = math.tanh(place)
    gap = 1.0 - e * e
    short = gap**2 / (math.pi * e * math.sqrt(math.pi**2 * gap + 16.0 * e * e) * ratio**2)
    long = (2.0 + e * e) * math.sqrt(gap) / (12.0 * math.pi**2 * e)
    return math.log(short + long)
