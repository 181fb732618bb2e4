"""Published and independently computed values of lines, and of where they meet a limit."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, partial

import numpy as np

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.wear import Measured, OwnLine, WearForecast, own_line, wear_of

_NORRIS = "NIST Statistical Reference Datasets, linear regression, Norris (certified values)"
_FIELLER = (
    "E. C. Fieller, J. R. Stat. Soc. B 16 (1954) 175-185; five measurements, computed by hand and "
    "by simulation"
)
_SYMMETRY = "by symmetry: what is measured without doubt is met where its own line meets the limit"

# response over reading of an ozone monitor, as NIST prints them
_NORRIS_X = (
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5,
    666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2,
    999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
)  # fmt: skip
_NORRIS_Y = (
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1,
    668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0,
    998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
)  # fmt: skip
_KM = (0.0, 8_000.0, 15_500.0, 24_000.0, 31_000.0)
_MM = (0.045, 0.056, 0.062, 0.075, 0.081)
_LIMIT = 0.100


@cache
def _line(norris: bool) -> OwnLine:
    x, y = (_NORRIS_X, _NORRIS_Y) if norris else (_KM, _MM)
    return own_line(np.array(x), np.array(y))


def _of_line(norris: bool, figure: str, factor: float = 1.0) -> float:
    return factor * float(getattr(_line(norris), figure))


def _meets(level: float, end: str) -> float:
    return float(getattr(_line(False).meets(_LIMIT, level), end))


@cache
def _certain() -> WearForecast:
    return wear_of(
        Measured(np.array([0.0, 10_000e3]), np.array([5e-5, 6e-5]), np.full(2, 2e-7)), 10e-5
    )


def _certain_middle() -> float:
    return (_certain().distance_at(0.5) or 0.0) / 1e3


_Row = tuple[str, float, str, partial[float], float]
_FIELLER_ROWS: Sequence[_Row] = (
    ("wear line, value at nought", 0.045446, "mm", partial(_of_line, False, "intercept"), 5.1e-7),
    ("its rate", 1.169, "um", partial(_of_line, False, "slope", 1e6), 5.1e-4),
    ("its scatter", 0.001506, "mm", partial(_of_line, False, "scatter"), 5.1e-7),
    ("it meets 0.100 mm at", 46_666.0, "km", partial(_meets, 0.8, "at"), 0.51),
    ("80 % interval of that, from", 44_063.0, "km", partial(_meets, 0.8, "lower"), 0.51),
    ("80 % interval of that, to", 49_726.0, "km", partial(_meets, 0.8, "upper"), 0.51),
    ("95 % interval of that, from", 41_936.0, "km", partial(_meets, 0.95, "lower"), 0.51),
    ("95 % interval of that, to", 53_156.0, "km", partial(_meets, 0.95, "upper"), 0.51),
)

CHECKS: tuple[CheckValue, ...] = (
    CheckValue(
        "intercept of the line",
        -0.262323073774029,
        "",
        partial(_of_line, True, "intercept"),
        1e-11,
        _NORRIS,
        ("R",),
    ),
    CheckValue(
        "slope of the line",
        1.00211681802045,
        "",
        partial(_of_line, True, "slope"),
        1e-13,
        _NORRIS,
        ("R",),
    ),
    *(
        CheckValue(what, published, unit, compute, tolerance, _FIELLER, ("C",), absolute=True)
        for what, published, unit, compute, tolerance in _FIELLER_ROWS
    ),
    CheckValue(
        "0.05 mm as built, 0.06 mm after 10 000 km, each to 0.2 um: to 0.10 mm, as likely as not",
        40_000.0,
        "km",
        _certain_middle,
        0.015,
        _SYMMETRY,
        ("C",),
    ),
)
