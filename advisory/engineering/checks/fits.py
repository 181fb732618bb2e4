"""Limits, fits and press fits beside the standard's tables and a worked example."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.press_fit import PressFit, PressFitMaterial, press_fit
from advisory.engineering.tolerances import tolerance_zone

_ISO = "ISO 286-1 and ISO 286-2, printed tables, in which two published libraries agree"

# Size [mm], class, lower and upper deviation [um].
_DEVIATIONS = (
    (25.0, "H6", 0.0, 13.0),
    (25.0, "H7", 0.0, 21.0),
    (25.0, "H8", 0.0, 33.0),
    (25.0, "h11", -130.0, 0.0),
    (25.0, "p6", 22.0, 35.0),
    (25.0, "r6", 28.0, 41.0),
    (25.0, "s6", 35.0, 48.0),
    (40.0, "H6", 0.0, 16.0),
    (40.0, "H7", 0.0, 25.0),
    (40.0, "H8", 0.0, 39.0),
    (40.0, "h11", -160.0, 0.0),
    (40.0, "p6", 26.0, 42.0),
    (40.0, "r6", 34.0, 50.0),
    (40.0, "s6", 43.0, 59.0),
    (60.0, "H6", 0.0, 19.0),
    (60.0, "H7", 0.0, 30.0),
    (60.0, "H8", 0.0, 46.0),
    (60.0, "h11", -190.0, 0.0),
    (60.0, "p6", 32.0, 51.0),
    (60.0, "r6", 41.0, 60.0),
    (60.0, "s6", 53.0, 72.0),
    (70.0, "H7", 0.0, 30.0),
    (70.0, "p6", 32.0, 51.0),
    (70.0, "r6", 43.0, 62.0),
    (70.0, "s6", 59.0, 78.0),
)


def _deviation(size: float, tolerance_class: str, end: str) -> float:
    return float(getattr(tolerance_zone(size * 1e-3, tolerance_class), f"{end}_deviation")) * 1e6


_EXAMPLE = (
    "A published worked example by Lame: 50/80 mm, steel on steel, 40 um, 40 mm long, mu 0.12, "
    "E 210 GPa, nu 0.3"
)


@cache
def _grip() -> PressFit:
    return press_fit(
        interface_diameter=0.05,
        sleeve_outer_diameter=0.08,
        length=0.04,
        interference=40e-6,
        sleeve_material=PressFitMaterial.STEEL,
        shaft_material=PressFitMaterial.STEEL,
        friction_coefficient=0.12,
    )


def _grip_figure(name: str, size: float) -> float:
    return float(getattr(_grip(), name)) / size


def _press_fit_checks() -> list[CheckValue]:
    rows: tuple[tuple[str, float, str, Callable[[], float], float], ...] = (
        ("pressure", 51.2, "MPa", partial(_grip_figure, "pressure", 1e6), 0.051),
        (
            "hoop stress at the sleeve's bore",
            116.8,
            "MPa",
            partial(_grip_figure, "sleeve_hoop_stress", 1e6),
            0.11,
        ),
        ("push-off force", 38.6, "kN", partial(_grip_figure, "push_off_force", 1e3), 0.051),
        ("torque that slips it", 965.0, "N m", partial(_grip_figure, "torque", 1.0), 0.51),
    )
    return [
        CheckValue(what, published, unit, compute, tolerance, _EXAMPLE, ("R", "C"), True)
        for what, published, unit, compute, tolerance in rows
    ]


CHECKS = (
    *(
        CheckValue(
            what=f"{end} deviation of {tolerance_class} at {size:g} mm",
            published=value,
            unit="um",
            compute=partial(_deviation, size, tolerance_class, end),
            tolerance=1e-6,
            source=_ISO,
            marks=("R",),
            absolute=True,
        )
        for size, tolerance_class, low, high in _DEVIATIONS
        for end, value in (("lower", low), ("upper", high))
    ),
    *_press_fit_checks(),
)
