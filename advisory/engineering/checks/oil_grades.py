"""Limits of the oil grades as the standards have them, against where the grades change here."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.oil_grades import iso_viscosity_grade, sae_engine_grades, sae_gear_grade

_J300 = "SAE J300, May 2024, table 1 (read in a summary)"
_J306 = "SAE J306, February 2019, table 1 (read in a summary)"
_ISO_3448 = "ISO 3448, table 1: middle +-10 % (read in a summary)"

ENGINE_LIMITS = (
    ("8", 4.0, 6.1), ("12", 5.0, 7.1), ("16", 6.1, 8.2), ("20", 6.9, 9.3), ("30", 9.3, 12.5),
    ("40", 12.5, 16.3), ("50", 16.3, 21.9), ("60", 21.9, 26.1),
)  # fmt: skip
GEAR_LIMITS = (
    ("65", 3.8, 5.0), ("70", 5.0, 6.5), ("75", 6.5, 8.5), ("80", 8.5, 11.0), ("85", 11.0, 13.5),
    ("90", 13.5, 18.5), ("110", 18.5, 24.0), ("140", 24.0, 32.5), ("190", 32.5, 41.0),
)  # fmt: skip
ISO_LIMITS = ((32, 28.8, 35.2), (46, 41.4, 50.6), (100, 90.0, 110.0), (460, 414.0, 506.0))


def _is_engine(grade: str, viscosity: float) -> bool:
    return grade in sae_engine_grades(viscosity * 1e-6)


def _is_gear(grade: str, viscosity: float) -> bool:
    return sae_gear_grade(viscosity * 1e-6) == grade


def _is_iso(grade: int, viscosity: float) -> bool:
    return float(iso_viscosity_grade(viscosity * 1e-6)) == grade


def _edge(inside: Callable[[float], bool], first_in: float, last_out: float) -> float:
    """Find by bisection where a grade begins or ends, from one point inside and one outside."""
    within, without = first_in, last_out
    for _ in range(60):
        middle = 0.5 * (within + without)
        within, without = (middle, without) if inside(middle) else (within, middle)
    return within


def _checks(
    limits: tuple[tuple[str, float, float], ...] | tuple[tuple[int, float, float], ...],
    inside: Callable[..., bool],
    name: str,
    unit: str,
    source: str,
) -> list[CheckValue]:
    made: list[CheckValue] = []
    for grade, low, high in limits:
        middle = 0.5 * (low + high)
        for words, published, beyond in (("from", low, 0.5 * low), ("to", high, 2.0 * high)):
            made.append(
                CheckValue(
                    f"{name} {grade} {words}",
                    published,
                    unit,
                    partial(_edge, partial(inside, grade), middle, beyond),
                    1e-6,
                    source,
                    ("R",),
                )
            )
    return made


CHECKS: tuple[CheckValue, ...] = (
    *_checks(ENGINE_LIMITS, _is_engine, "SAE engine grade", "mm2/s at 100 degC", _J300),
    *_checks(GEAR_LIMITS, _is_gear, "SAE gear grade", "mm2/s at 100 degC", _J306),
    *_checks(ISO_LIMITS, _is_iso, "ISO VG", "mm2/s at 40 degC", _ISO_3448),
)
