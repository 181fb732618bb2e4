"""Published values of journal bearings: a standard's table, and the short bearing as a limit."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial

import numpy as np

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.journal_bearing import FilmSolution, film_figures, solve_film

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


CHECKS = tuple(_iso_checks() + _short_checks())
