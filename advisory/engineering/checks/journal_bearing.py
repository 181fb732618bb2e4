"""Published values of journal bearings: a standard's table, textbooks' examples, limits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, partial

import numpy as np

from advisory.engineering.checks.check_value import CheckValue, Mark
from advisory.engineering.journal_bearing import (
    BearingPerformance,
    FilmSolution,
    film_figures,
    load_solution,
    solve_film,
)

_INCH = 0.0254
_POUND_FORCE = 4.4482216
_PSI = 6894.757
_MICROREYN = 6.894757e-3  # Pa s

_ISO = (
    "ISO 7902-2, Hydrodynamic plain journal bearings under steady-state conditions, Functions "
    "used in the calculation procedure: So for 360 degrees"
)
_ISO_ROWS = (
    (1.0, 0.1, 0.1196),
    (1.0, 0.2, 0.2518),
    (1.0, 0.4, 0.6108),
    (1.0, 0.6, 1.3146),
    (1.0, 0.8, 3.5663),
    (1.0, 0.9, 8.4352),
    (1.0, 0.95, 18.79),
    (0.5, 0.2, 0.0783),
    (0.5, 0.4, 0.2026),
    (0.5, 0.6, 0.4982),
    (0.5, 0.8, 1.7339),
    (0.5, 0.9, 5.0881),
)


def _iso_number(eccentricity_ratio: float, length_to_diameter: float) -> float:
    figures = film_figures(eccentricity_ratio, length_to_diameter)
    return 1.0 / (2.0 * np.pi * float(figures.sommerfeld_number))


def _iso_checks() -> list[CheckValue]:
    return [
        CheckValue(
            what=f"So = 1/(2 pi S), B/D {length:g}, eccentricity ratio {e:g}",
            published=published,
            unit="",
            compute=partial(_iso_number, e, length),
            tolerance=0.005,
            source=_ISO,
            marks=("M", "C"),
        )
        for length, e, published in _ISO_ROWS
    ]


_OCVIRK = "F. W. Ocvirk, Short-bearing approximation for full journal bearings, NACA TN 2808 (1952)"
_SHORT = 0.05


@cache
def _short_film(eccentricity_ratio: float) -> FilmSolution:
    return solve_film(eccentricity_ratio, _SHORT)


def _short_checks() -> list[CheckValue]:
    checks = []
    for e in (0.1, 0.2, 0.3, 0.4, 0.5):
        gap = 1.0 - e * e
        root = np.sqrt(np.pi**2 * gap + 16.0 * e * e)
        cases: tuple[tuple[str, str, float, Callable[[], float]], ...] = (
            (
                "Sommerfeld number",
                "",
                float(gap**2 / (np.pi * e * root)) / _SHORT**2,
                partial(_of_film, "sommerfeld_number", e),
            ),
            (
                "attitude angle",
                "degree",
                float(np.degrees(np.arctan(np.pi * np.sqrt(gap) / (4.0 * e)))),
                partial(_of_film, "attitude_angle", e),
            ),
            ("flow variable", "", np.pi * (1.0 + e), partial(_of_film, "flow_variable", e)),
            ("side flow", "", 2.0 * np.pi * e, partial(_short_side_flow, e)),
        )
        checks += [
            CheckValue(
                what=f"{name} of the direct solution, L/D 0.05, eccentricity ratio {e:g}",
                published=float(value),
                unit=unit,
                compute=compute,
                tolerance=0.005,
                source=_OCVIRK,
                marks=("R", "C"),
                remark="A limit for L/D to 0, and only there: 58 % off at L/D 0.5, eccentricity "
                "ratio 0.9.",
            )
            for name, unit, value, compute in cases
        ]
    return checks


def _of_film(name: str, eccentricity_ratio: float) -> float:
    value = float(getattr(_short_film(eccentricity_ratio), name))
    return float(np.degrees(value)) if name == "attitude_angle" else value


def _short_side_flow(eccentricity_ratio: float) -> float:
    film = _short_film(eccentricity_ratio)
    return film.side_flow_ratio * film.flow_variable


_INCH_TEXT = (
    "Shigley's Mechanical Engineering Design, chapter on lubrication and journal bearings: "
    "R 0.75 in, c 0.0015 in, L 1.5 in, 30 rev/s, 500 lbf, 4 microreyn"
)
_METRIC_TEXT = (
    "V. B. Bhandari, Design of Machine Elements, chapter on sliding contact bearings: 3.2 kN, "
    "D = L = 50 mm, c 0.05 mm, 1490 rpm, 25 mPa s"
)
_JINDAL_TEXT = (
    "U. C. Jindal, Machine Design, example 17-4: 3 kN, 60 by 60 mm, c 0.06 mm, 1440 rpm, 30 mPa s"
)


@cache
def _inch_example() -> BearingPerformance:
    return load_solution(
        diameter=1.5 * _INCH,
        length=1.5 * _INCH,
        running_clearance=0.003 * _INCH,
        speed=30.0,
        load=500.0 * _POUND_FORCE,
        viscosity=4.0 * _MICROREYN,
    )


@cache
def _metric_example() -> BearingPerformance:
    return load_solution(
        diameter=0.05,
        length=0.05,
        running_clearance=0.0001,
        speed=1490.0 / 60.0,
        load=3200.0,
        viscosity=0.025,
    )


@cache
def _jindal_example() -> BearingPerformance:
    return load_solution(
        diameter=0.06,
        length=0.06,
        running_clearance=0.00012,
        speed=24.0,
        load=3000.0,
        viscosity=0.030,
    )


_TEXTBOOK_HEAT = 1.514e6
"""Density times specific heat in 8.3e-6 K/Pa, the factor of metric textbooks [J/m3/K]."""


def _textbook_rise(bearing: BearingPerformance) -> float:
    """Temperature rise with all friction heat in the oil and the textbooks' heat capacity [K]."""
    leaving = bearing.flow * (1.0 - 0.5 * bearing.side_flow_ratio)
    return float(bearing.friction_power / (_TEXTBOOK_HEAT * leaving))


def _rise_of_whole_flow(example: Callable[[], BearingPerformance]) -> float:
    """Temperature rise where all oil, side flow too, leaves at the outlet temperature [K]."""
    bearing = example()
    return float(bearing.friction_power / (_TEXTBOOK_HEAT * bearing.flow))


def _torque(example: Callable[[], BearingPerformance]) -> float:
    """Friction torque [N m]."""
    bearing = example()
    return float(bearing.friction_coefficient * bearing.case.load * 0.5 * bearing.case.diameter)


@dataclass(frozen=True)
class _Example:
    """A worked example: its bearing, and what the book finds as (what, value, unit, figure, SI)."""

    bearing: Callable[[], BearingPerformance]
    source: str
    marks: tuple[Mark, ...]
    tolerance: float
    remark: str
    values: tuple[tuple[str, float, str, str, float], ...]

    def checks(self) -> list[CheckValue]:
        return [
            CheckValue(
                what=what,
                published=published,
                unit=unit,
                compute=partial(self.computed, figure, size),
                tolerance=self.tolerance,
                source=self.source,
                marks=self.marks,
                remark=self.remark,
            )
            for what, published, unit, figure, size in self.values
        ]

    def computed(self, figure: str, size: float) -> float:
        if figure == "torque":
            return _torque(self.bearing) / size
        return float(getattr(self.bearing(), figure)) / size


_EXAMPLES = (
    _Example(
        _inch_example,
        _INCH_TEXT,
        ("M", "C"),
        0.02,
        "",
        (
            ("unit load", 222.0, "psi", "unit_load", _PSI),
            ("Sommerfeld number", 0.135, "", "sommerfeld_number", 1.0),
            ("least film", 0.00063, "inch", "minimum_film_thickness", _INCH),
            ("friction coefficient", 0.0070, "", "friction_coefficient", 1.0),
            ("friction torque", 2.62, "lbf inch", "torque", _POUND_FORCE * _INCH),
            ("flow", 0.217, "inch3/s", "flow", _INCH**3),
            ("side flow ratio", 0.655, "", "side_flow_ratio", 1.0),
            ("peak pressure", 529.0, "psi", "maximum_pressure", _PSI),
            ("attitude angle", 53.0, "degree", "attitude_angle", float(np.pi) / 180.0),
        ),
    ),
    _Example(
        _metric_example,
        _METRIC_TEXT,
        ("M", "C"),
        0.02,
        "",
        (
            ("Sommerfeld number", 0.121, "", "sommerfeld_number", 1.0),
            ("least film", 20.0, "um", "minimum_film_thickness", 1e-6),
            ("friction coefficient", 0.00644, "", "friction_coefficient", 1.0),
            ("friction power", 80.0, "W", "friction_power", 1.0),
            ("flow", 6720.0, "mm3/s", "flow", 1e-9),
        ),
    ),
    _Example(
        _jindal_example,
        _JINDAL_TEXT,
        ("R",),
        0.04,
        "The book reads between its table's rows by straight lines.",
        (
            ("friction coefficient", 0.00985, "", "friction_coefficient", 1.0),
            ("least film", 32.0, "um", "minimum_film_thickness", 1e-6),
            ("flow", 0.638, "l/min", "flow", 1e-3 / 60.0),
            ("friction power", 133.7, "W", "friction_power", 1.0),
        ),
    ),
)


def _worked_checks() -> list[CheckValue]:
    rise = CheckValue(
        what="rise of the whole flow",
        published=8.3,
        unit="K",
        compute=partial(_rise_of_whole_flow, _jindal_example),
        tolerance=0.04,
        source=_JINDAL_TEXT,
        marks=("R",),
        remark="The book lets all oil leave at the outlet temperature. With side flow at the mean, "
        "as the heat balance here has it, the rise is 11.6 K.",
    )
    return [check for example in _EXAMPLES for check in example.checks()] + [rise]


_RISE_TEXT = (
    "Shigley's Mechanical Engineering Design, figure of the temperature rise: 0.120 dT/P, K and "
    "MPa, as a parabola in S, read in two published programs"
)
_RISE_FIT = (0.349109, 6.00940, 0.047467)


def _rise_variable(sommerfeld_number: float) -> float:
    """Compute 0.120 dT/P of a square bearing of any size, with the book's heat capacity."""
    diameter, clearance, speed, load = 0.05, 0.0001, 30.0, 2000.0
    unit_load = load / diameter**2
    bearing = load_solution(
        diameter=diameter,
        length=diameter,
        running_clearance=clearance,
        speed=speed,
        load=load,
        viscosity=sommerfeld_number * unit_load / (speed * (diameter / clearance) ** 2),
    )
    return 0.120 * _textbook_rise(bearing) / (unit_load / 1e6)


def _rise_checks() -> list[CheckValue]:
    a, b, c = _RISE_FIT
    return [
        CheckValue(
            what=f"0.120 dT/P (K/MPa), L/D 1, S {number:g}",
            published=a + b * number + c * number**2,
            unit="",
            compute=partial(_rise_variable, number),
            tolerance=0.02,
            source=_RISE_TEXT,
            marks=("R",),
            remark="The book's parabola is a fit; below S 0.2, and for L/D 0.5 and 0.25, it is 5 "
            "to 12 % off the very table that it was fitted to, and is not used here.",
        )
        for number in (0.2, 0.4, 0.6, 1.0)
    ]


CHECKS = tuple(_iso_checks() + _short_checks() + _worked_checks() + _rise_checks())
