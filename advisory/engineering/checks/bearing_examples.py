"""Worked examples of journal bearings in textbooks, with and without their heat."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, partial

import numpy as np

from advisory.engineering.checks.check_value import CheckValue, Mark
from advisory.engineering.journal_bearing import BearingPerformance, load_solution

_INCH = 0.0254
_POUND_FORCE = 4.4482216
_PSI = 6894.757
_MICROREYN = 6.894757e-3  # Pa s

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
_JINDAL_FILM_TEXT = (
    "U. C. Jindal, Machine Design, example 17-2, page 482: 6 kN, 60 by 60 mm, c 0.04 mm, 1260 rpm; "
    "the book asks for the oil of this film, 6.293 mPa s"
)
_JINDAL_FLOW_TEXT = (
    "U. C. Jindal, Machine Design, example 17-3, page 483: 10.5 kN, 60 by 60 mm, c 0.024 mm, "
    "1440 rpm; the book asks for the oil of this film, 3.469 mPa s"
)
_JINDAL_LARGE_TEXT = (
    "U. C. Jindal, Machine Design, example 17-5, page 484: 22 kN, 96 by 96 mm, 960 rpm, 20 mPa s; "
    "the book asks for the clearance of this film, c 0.08322 mm"
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


@cache
def _jindal_film_example() -> BearingPerformance:
    return load_solution(
        diameter=0.06,
        length=0.06,
        running_clearance=0.00008,
        speed=21.0,
        load=6000.0,
        viscosity=0.006293,
    )


@cache
def _jindal_flow_example() -> BearingPerformance:
    return load_solution(
        diameter=0.06,
        length=0.06,
        running_clearance=0.000048,
        speed=24.0,
        load=10_500.0,
        viscosity=0.003469,
    )


@cache
def _jindal_large_example() -> BearingPerformance:
    return load_solution(
        diameter=0.096,
        length=0.096,
        running_clearance=0.00016644,
        speed=16.0,
        load=22_000.0,
        viscosity=0.020,
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
    _Example(
        _jindal_film_example,
        _JINDAL_FILM_TEXT,
        ("R",),
        0.02,
        "",
        (("least film", 8.0, "um", "minimum_film_thickness", 1e-6),),
    ),
    _Example(
        _jindal_flow_example,
        _JINDAL_FLOW_TEXT,
        ("R",),
        0.02,
        "",
        (
            ("least film", 4.8, "um", "minimum_film_thickness", 1e-6),
            ("flow", 0.2874, "l/min", "flow", 1e-3 / 60.0),
        ),
    ),
    _Example(
        _jindal_large_example,
        _JINDAL_LARGE_TEXT,
        ("R",),
        0.02,
        "",
        (
            ("least film", 16.6, "um", "minimum_film_thickness", 1e-6),
            ("flow", 1.701, "l/min", "flow", 1e-3 / 60.0),
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


CHECKS = tuple(_worked_checks() + _rise_checks())
