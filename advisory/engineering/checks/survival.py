"""Published lifetimes and recurring findings, beside what is computed here."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial

import numpy as np

from advisory.engineering.checks import lifetime_data as data
from advisory.engineering.checks.check_value import CheckValue, Mark
from advisory.engineering.survival import (
    Lives,
    LogRank,
    MeanCumulativeCount,
    WeibullFit,
    kaplan_meier,
    log_rank,
    mean_cumulative_count,
    nelson_aalen,
    weibull_fit,
    weibull_quantile_interval,
)

_NIST_CURVE = "NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.1.5"
_NIST_WEIBULL = "NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3"
_TRIAL = "E. J. Freireich et al., Blood 21 (1963) 699-716, in most textbooks of survival"
_LATE = "Six invented lives, worked by hand: who enters later is not at risk before"
_LIBRARY = "36 invented lives with late entry, by the library lifelines 0.30.3"
_NELSON = (
    "W. Nelson, valve seats of 41 diesel engines, in Recurrent Events Data Analysis, SIAM 2003, "
    "and with public statistics packages"
)
_BY_TWO: tuple[Mark, ...] = ("R", "C")
_DIGITS = 5.1e-5  # half of the fourth digit printed


def _survival(watched: Callable[[], Lives], age: float, figure: str = "survival") -> float:
    curve = kaplan_meier(watched())
    place = int(np.searchsorted(curve.duration, age, side="right")) - 1
    return float(getattr(curve, figure)[place])


def _curve_checks() -> list[CheckValue]:
    cases: tuple[tuple[str, Callable[[], Lives], str, tuple[Mark, ...], dict[float, float]], ...]
    cases = (
        (
            "NIST units",
            data.nist_lives,
            _NIST_CURVE,
            _BY_TWO,
            {10: 0.95, 32: 0.90, 56: 0.8471, 98: 0.7941, 122: 0.7374, 181: 0.6704},
        ),
        (
            "trial, 6-MP",
            data.treated_lives,
            _TRIAL,
            _BY_TWO,
            {6: 0.8571, 7: 0.8067, 10: 0.7529, 13: 0.6902, 16: 0.6275, 22: 0.5378, 23: 0.4482},
        ),
        (
            "late entry",
            data.late_entry_lives,
            _LATE,
            ("C",),
            {5: 0.75, 8: 0.5625, 10: 0.28125, 12: 0.0},
        ),
        (
            "late entry, 36 lives",
            data.invented_lives,
            _LIBRARY,
            ("C",),
            {80: 0.26954933, 101: 0.17969955, 110: 0.13477466, 123: 0.06738733},
        ),
    )
    checks = [
        CheckValue(
            what=f"share that lives on, {name}, at {age:g}",
            published=share,
            unit="",
            compute=partial(_survival, watched, age),
            tolerance=_DIGITS,
            source=source,
            marks=marks,
            absolute=True,
        )
        for name, watched, source, marks, shares in cases
        for age, share in shares.items()
    ]
    bands: tuple[tuple[str, Callable[[], Lives], float, float, float, str, tuple[Mark, ...]], ...]
    bands = (
        ("trial, 6-MP", data.treated_lives, 6, 0.6197, 0.9516, _TRIAL, _BY_TWO),
        ("late entry, 36 lives", data.invented_lives, 80, 0.1239950, 0.4389636, _LIBRARY, ("C",)),
        ("late entry, 36 lives", data.invented_lives, 123, 0.0061614, 0.2394267, _LIBRARY, ("C",)),
    )
    for name, watched, age, low, high, source, marks in bands:
        for figure, value in (("lower", low), ("upper", high)):
            checks.append(
                CheckValue(
                    what=f"{figure} end of the 95 % log-log band, {name}, at {age:g}",
                    published=value,
                    unit="",
                    compute=partial(_survival, watched, age, figure),
                    tolerance=_DIGITS,
                    source=source,
                    marks=marks,
                    absolute=True,
                )
            )
    return checks


def _median() -> float:
    median = kaplan_meier(data.treated_lives()).median
    return float("nan") if median is None else median


def _last_hazard(watched: Callable[[], Lives], figure: str) -> float:
    return float(getattr(nelson_aalen(watched()), figure)[-1])


@cache
def _trial_test() -> LogRank:
    return log_rank([data.treated_lives(), data.untreated_lives()])


def _weibull(watched: Callable[[], Lives], figure: str, place: int | None = None) -> float:
    value = getattr(_fitted(watched), figure)
    if figure == "mean":
        return float(value())
    return float(value if place is None else value[place])


@cache
def _fitted(watched: Callable[[], Lives]) -> WeibullFit:
    return weibull_fit(watched())


def _b10(place: int | None) -> float:
    age, interval = weibull_quantile_interval(data.nist_weibull_lives(), 0.10)
    return age if place is None else interval[place]


@cache
def _seats() -> MeanCumulativeCount:
    return mean_cumulative_count(data.valve_seat_units())


def _count(age: float, figure: str = "count") -> float:
    seats = _seats()
    return float(getattr(seats, figure)[int(np.searchsorted(seats.age, age))])


Row = tuple[str, float, str, Callable[[], float], float, bool, str, tuple[Mark, ...]]

_nist, _treated, _invented = data.nist_weibull_lives, data.treated_lives, data.invented_lives
_ROWS: tuple[Row, ...] = (
    ("median, trial, 6-MP", 23.0, "week", _median, 1e-9, True, _TRIAL, _BY_TWO),
    (
        "cumulative hazard, NIST units, at the end",
        0.38629,
        "",
        partial(_last_hazard, data.nist_lives, "cumulative_hazard"),
        5.1e-6,
        True,
        _NIST_CURVE,
        _BY_TWO,
    ),
    (
        "its standard error",
        0.16125,
        "",
        partial(_last_hazard, data.nist_lives, "standard_error"),
        5.1e-6,
        True,
        _NIST_CURVE,
        ("C",),
    ),
    (
        "cumulative hazard, late entry, 36 lives, at the end",
        3.34629479,
        "",
        partial(_last_hazard, _invented, "cumulative_hazard"),
        1e-7,
        True,
        _LIBRARY,
        ("C",),
    ),
    (
        "log-rank chi-square, trial, both arms",
        16.792941,
        "",
        lambda: _trial_test().chi_square,
        5.1e-7,
        True,
        _TRIAL,
        ("M", "C"),
    ),
    (
        "its p-value",
        4.17e-5,
        "",
        lambda: _trial_test().p_value,
        5.1e-8,
        True,
        _TRIAL,
        ("C",),
    ),
    (
        "failures expected of the 6-MP arm",
        19.2505,
        "",
        lambda: _trial_test().expected[0],
        _DIGITS,
        True,
        _TRIAL,
        ("C",),
    ),
    (
        "log-rank chi-square, three groups",
        1.1662685683,
        "",
        lambda: log_rank(data.invented_groups()).chi_square,
        1e-9,
        True,
        "36 invented lives in three groups, by the library lifelines 0.30.3",
        ("C",),
    ),
    (
        "its p-value, two degrees of freedom",
        0.5581462333,
        "",
        lambda: log_rank(data.invented_groups()).p_value,
        1e-9,
        True,
        "36 invented lives in three groups, by the library lifelines 0.30.3",
        ("C",),
    ),
    (
        "Weibull shape, NIST units",
        1.7208,
        "",
        partial(_weibull, _nist, "shape"),
        1e-5,
        False,
        _NIST_WEIBULL,
        _BY_TWO,
    ),
    (
        "Weibull scale, NIST units",
        606.5280,
        "hour",
        partial(_weibull, _nist, "scale"),
        1e-5,
        False,
        _NIST_WEIBULL,
        _BY_TWO,
    ),
    (
        "Weibull mean, NIST units",
        540.737,
        "hour",
        partial(_weibull, _nist, "mean"),
        1e-5,
        False,
        _NIST_WEIBULL,
        _BY_TWO,
    ),
    *(
        (
            f"{end} end of the 95 % profile interval of the {name}, NIST units",
            value,
            unit,
            partial(_weibull, _nist, figure, place),
            tolerance,
            True,
            _NIST_WEIBULL + " (data); interval by two computations",
            ("C",),
        )
        for name, figure, unit, tolerance, ends in (
            ("shape", "shape_interval", "", 5.1e-4, (0.906, 2.886)),
            ("scale", "scale_interval", "hour", 0.51, (438.0, 1119.0)),
        )
        for place, (end, value) in enumerate(zip(("lower", "upper"), ends, strict=True))
    ),
    *(
        (
            f"B10, NIST units, {words}",
            value,
            "hour",
            partial(_b10, place),
            0.051,
            True,
            _NIST_WEIBULL + " (data); B10 by two computations",
            ("C",),
        )
        for words, place, value in (
            ("best", None, 164.0),
            ("lower end", 0, 59.9),
            ("upper end", 1, 271.9495),
        )
    ),
    (
        "Weibull shape, trial, 6-MP",
        1.35373,
        "",
        partial(_weibull, _treated, "shape"),
        5.1e-6,
        True,
        _TRIAL,
        ("C",),
    ),
    (
        "Weibull scale, trial, 6-MP",
        33.7652,
        "week",
        partial(_weibull, _treated, "scale"),
        _DIGITS,
        True,
        _TRIAL,
        ("C",),
    ),
    (
        "Weibull shape, late entry, 36 lives",
        1.8611,
        "",
        partial(_weibull, _invented, "shape"),
        _DIGITS,
        True,
        _LIBRARY,
        ("C",),
    ),
    (
        "Weibull scale, late entry, 36 lives",
        74.6456,
        "",
        partial(_weibull, _invented, "scale"),
        1.1e-4,
        True,
        _LIBRARY,
        ("C",),
    ),
    (
        "Weibull log-likelihood, late entry, 36 lives",
        -135.903312,
        "",
        partial(_weibull, _invented, "log_likelihood"),
        1e-6,
        True,
        _LIBRARY,
        ("C",),
    ),
    *(
        (
            f"valve seats replaced an engine by {age:g} days",
            value,
            "",
            partial(_count, age),
            _DIGITS,
            True,
            _NELSON,
            ("R",),
        )
        for age, value in ((404.0, 0.6835), (604.0, 1.0597), (653.0, 1.5427))
    ),
    (
        "its robust standard error at 653 days",
        0.3117,
        "",
        partial(_count, 653.0, "standard_error"),
        _DIGITS,
        True,
        _NELSON,
        ("R",),
    ),
)

CHECKS = (
    *_curve_checks(),
    *(
        CheckValue(what, published, unit, compute, tolerance, source, marks, absolute)
        for what, published, unit, compute, tolerance, absolute, source, marks in _ROWS
    ),
)
