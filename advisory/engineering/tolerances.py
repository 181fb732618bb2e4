"""Limits and fits by ISO 286: deviations of a tolerance class, clearance of a pair."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from advisory.engineering import iso_286_tables as tables
from advisory.engineering.errors import OutOfRange

SIZE_LIMITS = (0.001, 0.5)
"""Sizes for which the tables are shipped here [m]."""

_MICROMETRE = 1e-6
_CLASS = re.compile(r"([A-Za-z]{1,2})(\d{1,2})")
_LETTERS = (
    "a",
    "b",
    "c",
    "d",
    "e",
    "f",
    "g",
    "h",
    "js",
    "j",
    "k",
    "m",
    "n",
    "p",
    "r",
    "s",
    "t",
    "u",
)


@dataclass(frozen=True)
class ToleranceZone:
    """Where the limits of a size lie.

    Parameters
    ----------
    upper_deviation, lower_deviation : float
        Of the limits from the nominal size [m].
    is_hole : bool
        Whether it is a hole's class (capital letter) or a shaft's.
    """

    upper_deviation: float
    lower_deviation: float
    is_hole: bool

    @property
    def tolerance(self) -> float:
        """Width between the limits [m]."""
        return self.upper_deviation - self.lower_deviation


@dataclass(frozen=True)
class Fit:
    """What play a pair has; negative is interference.

    Parameters
    ----------
    minimum_clearance, maximum_clearance : float
        Diametral [m].
    """

    minimum_clearance: float
    maximum_clearance: float


def tolerance_zone(size: float, tolerance_class: str) -> ToleranceZone:
    """Look up the limit deviations of a tolerance class.

    Parameters
    ----------
    size : float
        Nominal, 0.001 to 0.5 [m].
    tolerance_class : str
        Letter and grade, as "H7" or "r6": letters a to h, js, j, k, m, n, p, r, s, t, u, capital
        for holes; grades 1 to 18.

    Returns
    -------
    ToleranceZone

    Raises
    ------
    OutOfRange
        For a size beyond the tables, or a class that the standard does not have at this size.

    References
    ----------
    ISO 286-1:2010, Geometrical product specifications, ISO code system for tolerances on linear
    sizes, tables 1 to 5 and clause 4.3 (from memory, compared with two published libraries).

    Examples
    --------
    >>> zone = tolerance_zone(0.025, "r6")
    >>> round(zone.upper_deviation * 1e6), round(zone.lower_deviation * 1e6)
    (41, 28)
    """
    low, high = SIZE_LIMITS
    if not low <= size <= high:
        raise OutOfRange("size", "0.001 to 0.5 m", size)
    match = _CLASS.fullmatch(tolerance_class.strip())
    letter = match.group(1) if match else ""
    if (
        match is None
        or letter.lower() not in _LETTERS
        or letter
        not in {
            letter.lower(),
            letter.upper(),
        }
    ):
        raise _no_class(tolerance_class, "a letter of " + ", ".join(_LETTERS) + " and a grade")
    grade = int(match.group(2))
    if grade not in tables.STANDARD_TOLERANCES:
        raise _no_class(tolerance_class, "of a grade 1 to 18")
    width = _width(size, grade)
    if letter.lower() == "js":
        return ToleranceZone(
            0.5 * width * _MICROMETRE, -0.5 * width * _MICROMETRE, letter.isupper()
        )
    if letter.isupper():
        upper, lower = _hole(size, letter, grade, width, tolerance_class)
    else:
        upper, lower = _shaft(size, letter, grade, width, tolerance_class)
    return ToleranceZone(upper * _MICROMETRE, lower * _MICROMETRE, letter.isupper())


def fit(size: float, tolerance_class: str, mating_class: str) -> Fit:
    """Find the least and the greatest clearance of a hole and a shaft.

    Parameters
    ----------
    size : float
        Nominal, 0.001 to 0.5 [m].
    tolerance_class, mating_class : str
        One of a hole and one of a shaft, in either order.

    Returns
    -------
    Fit

    Raises
    ------
    OutOfRange
        As `tolerance_zone`, or where both are holes' or both shafts' classes.

    References
    ----------
    ISO 286-1:2010, clause 3.3 (from memory).

    Examples
    --------
    >>> pair = fit(0.025, "H7", "r6")
    >>> round(pair.minimum_clearance * 1e6), round(pair.maximum_clearance * 1e6)
    (-41, -7)
    """
    zones = [tolerance_zone(size, name) for name in (tolerance_class, mating_class)]
    if zones[0].is_hole == zones[1].is_hole:
        wanted = "of a shaft (small letter)" if zones[0].is_hole else "of a hole (capital letter)"
        raise OutOfRange("mating_class", wanted, mating_class)
    hole, shaft = zones if zones[0].is_hole else reversed(zones)
    return Fit(
        hole.lower_deviation - shaft.upper_deviation,
        hole.upper_deviation - shaft.lower_deviation,
    )


def _step(size: float, steps: tuple[int, ...]) -> int:
    """Which step a size falls in; a part in 1e9 is allowed at its upper limit."""
    return int(np.searchsorted(np.array(steps) * (1e-3 * (1.0 + 1e-9)), size))


def _width(size: float, grade: int) -> float:
    return float(tables.STANDARD_TOLERANCES[grade][_step(size, tables.MAIN_STEPS)])


def _clearance(size: float, letter: str, given: str) -> float:
    if letter in tables.CLEARANCE_DEVIATIONS:
        return float(tables.CLEARANCE_DEVIATIONS[letter][_step(size, tables.MAIN_STEPS)])
    if size <= 0.001 and letter in {"a", "b"}:
        raise _no_class(given, "one that ISO 286 has at this size (a and b only above 1 mm)")
    return float(tables.WIDE_DEVIATIONS[letter][_step(size, tables.FINE_STEPS)])


def _interference(size: float, letter: str, given: str) -> float:
    """How far the lower limit of a shaft lies above size, k to u."""
    if letter in tables.TRANSITION_DEVIATIONS:
        return float(tables.TRANSITION_DEVIATIONS[letter][_step(size, tables.MAIN_STEPS)])
    value = tables.INTERFERENCE_DEVIATIONS[letter][_step(size, tables.FINE_STEPS)]
    if value is None:
        raise _no_class(given, "one that ISO 286 has at this size (t and T only above 24 mm)")
    return float(value)


def _shaft(size: float, letter: str, grade: int, width: float, given: str) -> tuple[float, float]:
    if letter <= "h":
        upper = -_clearance(size, letter, given)
        return upper, upper - width
    if letter == "j":
        if grade not in tables.SHAFT_J:
            raise _no_class(given, "j5, j6 or j7")
        lower = -float(tables.SHAFT_J[grade][_step(size, tables.MAIN_STEPS)])
        return lower + width, lower
    lower = _interference(size, letter, given)
    if letter == "k" and not 4 <= grade <= 7:
        lower = 0.0
    return lower + width, lower


def _hole(size: float, letter: str, grade: int, width: float, given: str) -> tuple[float, float]:
    small = letter.lower()
    if small <= "h":
        lower = _clearance(size, small, given)
        return lower + width, lower
    step = _step(size, tables.MAIN_STEPS)
    if small == "j":
        if grade not in tables.HOLE_J:
            raise _no_class(given, "J6, J7 or J8")
        upper = float(tables.HOLE_J[grade][step])
        return upper, upper - width
    exception = tables.PRINTED_EXCEPTIONS.get((letter, grade, tables.MAIN_STEPS[step]))
    upper = exception if exception is not None else _hole_upper(size, small, grade, given)
    return upper, upper - width


def _hole_upper(size: float, small: str, grade: int, given: str) -> float:
    """Upper deviation of holes K to U: the shaft's turned round, and raised for fine grades."""
    deviation = _interference(size, small, given)
    above_three = size > 0.003 * (1.0 + 1e-9)
    if small == "k" and grade > 8 and above_three:
        raise _no_class(given, "K of a grade to 8 at this size")
    if small == "n" and grade > 8:
        if size <= 0.001:
            raise _no_class(given, "N of a grade to 8 at 1 mm")
        return 0.0 if above_three else -deviation
    raised = grade <= (8 if small in "kmn" else 7)
    if not (raised and above_three and grade >= 3):
        return -deviation
    return -deviation + _width(size, grade) - _width(size, grade - 1)


def _no_class(given: str, wanted: str) -> OutOfRange:
    return OutOfRange("tolerance_class", wanted, given)
