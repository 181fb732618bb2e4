"""The table of Raimondi and Boyd for the full bearing, beside the kept table of this package.

Its last column but one is their heat balance: all friction leaves with the oil, the side flow at
the mean of inlet and outlet.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from advisory.engineering.checks.check_value import CheckValue, Mark
from advisory.engineering.journal_bearing import film_figures

_PAPER = (
    "A. A. Raimondi, J. Boyd, A solution for the finite journal bearing and its application to "
    "analysis and design, Parts I-III, ASLE Transactions 1 (1958) 159-209"
)
SOURCE = (
    f"{_PAPER}, as reprinted in Shigley's Mechanical Engineering Design, figures 12-16 to 12-24, "
    "and there read as an open-source program carries it (MecaPy, lubrication_data.py)"
)
HEAT_SOURCE = f"{_PAPER}: the temperature rise variable J rho c dT/P of the same table"

# Length over diameter, least film over radial clearance, Sommerfeld number, attitude angle
# [degree], friction variable, flow variable, side flow ratio, pressure ratio. Written down from
# memory, then found to be the same, figure by figure, in the program named above; each row
# computed again by two independent solutions.
ROWS = (
    (1.0, 0.9, 1.33, 79.5, 26.4, 3.37, 0.15, 0.54),
    (1.0, 0.8, 0.631, 74.02, 12.8, 3.59, 0.28, 0.529),
    (1.0, 0.6, 0.264, 63.1, 5.79, 3.99, 0.497, 0.484),
    (1.0, 0.4, 0.121, 50.58, 3.22, 4.33, 0.68, 0.415),
    (1.0, 0.2, 0.0446, 36.24, 1.7, 4.62, 0.842, 0.313),
    (1.0, 0.1, 0.0188, 26.45, 1.05, 4.74, 0.919, 0.247),
    (1.0, 0.03, 0.00474, 15.47, 0.514, 4.82, 0.973, 0.152),
    (0.5, 0.9, 4.31, 81.62, 85.6, 3.43, 0.173, 0.523),
    (0.5, 0.8, 2.03, 74.94, 40.9, 3.72, 0.318, 0.506),
    (0.5, 0.6, 0.779, 61.45, 17.0, 4.29, 0.552, 0.441),
    (0.5, 0.4, 0.319, 48.14, 8.1, 4.85, 0.73, 0.365),
    (0.5, 0.2, 0.0923, 33.31, 3.26, 5.41, 0.874, 0.267),
    (0.5, 0.1, 0.0313, 23.66, 1.6, 5.69, 0.939, 0.206),
    (0.5, 0.03, 0.00609, 13.75, 0.61, 5.88, 0.98, 0.126),
    (0.25, 0.9, 16.2, 82.31, 322.0, 3.45, 0.18, 0.515),
    (0.25, 0.8, 7.57, 75.18, 153.0, 3.76, 0.33, 0.489),
    (0.25, 0.6, 2.83, 60.86, 61.1, 4.37, 0.567, 0.415),
    (0.25, 0.4, 1.07, 46.72, 26.7, 4.99, 0.746, 0.334),
    (0.25, 0.2, 0.261, 31.04, 8.8, 5.6, 0.884, 0.24),
    (0.25, 0.1, 0.0736, 21.85, 3.5, 5.91, 0.945, 0.18),
    (0.25, 0.03, 0.0101, 12.22, 0.922, 6.12, 0.984, 0.108),
)

#: Heat capacity of a volume times temperature rise over unit load, by length over diameter, for
#: the least films above: from memory, and computed again from the other columns.
HEAT_ROWS: dict[float, tuple[float, ...]] = {
    1.0: (106.0, 52.1, 24.3, 14.2, 8.00, 5.16, 2.61),
    0.5: (343.0, 164.0, 68.6, 33.0, 13.4, 6.66, 2.56),
    0.25: (1287.0, 611.0, 245.0, 107.0, 35.4, 14.1, 3.73),
}

_COLUMNS = (
    ("Sommerfeld number", "sommerfeld_number"),
    ("attitude angle", "attitude_angle"),
    ("friction variable", "friction_variable"),
    ("flow variable", "flow_variable"),
    ("side flow ratio", "side_flow_ratio"),
    ("pressure ratio", "pressure_ratio"),
)

_COARSE = "The grid of 1958 is coarse for so thin a film."
_CONTRADICTED = (
    "The value of 1958 contradicts its own friction variable; 0.260 is right, as this row's other "
    "values say."
)


def _tolerance(column: str, film: float) -> tuple[float, bool, str]:
    """Say how near the published value must be met, whether in its unit, and a remark."""
    if column == "attitude_angle":
        return 1.0, True, ""
    if film >= 0.4:
        return 0.01, False, ""
    if column == "pressure_ratio":
        return (0.03 if film >= 0.1 else 0.065), False, _COARSE
    if column in {"sommerfeld_number", "friction_variable"} and film < 0.1:
        return 0.035, False, _COARSE
    return 0.01, False, ""


def _computed(name: str, eccentricity_ratio: float, length_to_diameter: float) -> float:
    figures = film_figures(eccentricity_ratio, length_to_diameter)
    value = float(getattr(figures, name))
    return float(np.degrees(value)) if name == "attitude_angle" else value


def _heat(eccentricity_ratio: float, length_to_diameter: float) -> float:
    """Compute rho c dT/P with all friction leaving by the oil [-]."""
    film = film_figures(eccentricity_ratio, length_to_diameter)
    leaving = film.flow_variable * (1.0 - 0.5 * film.side_flow_ratio)
    return float(4.0 * np.pi * film.friction_variable / leaving)


def _heat_checks() -> list[CheckValue]:
    films = [film for length, film, *_ in ROWS if length == 1.0]
    return [
        CheckValue(
            what=f"rho c dT/P, L/D {length:g}, least film {film:g} of the clearance",
            published=published,
            unit="",
            compute=partial(_heat, 1.0 - film, length),
            tolerance=0.01 if film >= 0.1 else 0.035,
            source=HEAT_SOURCE,
            marks=("M", "C"),
            remark=_COARSE if film < 0.1 else "",
        )
        for length, values in HEAT_ROWS.items()
        for film, published in zip(films, values, strict=True)
    ]


def _checks() -> list[CheckValue]:
    marks: tuple[Mark, ...] = ("R", "C")
    checks = []
    for length, film, *values in ROWS:
        for (words, name), published in zip(_COLUMNS, values, strict=True):
            tolerance, absolute, remark = _tolerance(name, film)
            if (length, film, name) == (1.0, 0.6, "sommerfeld_number"):
                tolerance, remark = 0.02, _CONTRADICTED
            compute: Callable[[], float] = partial(_computed, name, 1.0 - film, length)
            checks.append(
                CheckValue(
                    what=f"{words}, L/D {length:g}, least film {film:g} of the clearance",
                    published=published,
                    unit="degree" if name == "attitude_angle" else "",
                    compute=compute,
                    tolerance=tolerance,
                    source=SOURCE,
                    marks=marks,
                    absolute=absolute,
                    remark=remark,
                )
            )
    return checks


CHECKS = tuple(_checks() + _heat_checks())
