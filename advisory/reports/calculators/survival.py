"""The calculator of lifetimes: how long things last, with what still runs counted in."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.calculation import (
    Answer,
    Calculator,
    ListOut,
    NumberOut,
    ObjectOut,
    Out,
    TextOut,
    Values,
    Warned,
    WholeOut,
)
from advisory.engineering.errors import OutOfRange
from advisory.engineering.survival import (
    Lives,
    SurvivalCurve,
    WeibullFit,
    kaplan_meier,
    lives,
    log_rank,
    weibull_fit,
)
from advisory.engineering.survival.log_rank import SMALL_GROUP
from advisory.reports.calculators.lives import SHAPE


def _number(name: str, what: str, *, nullable: bool = False) -> NumberOut:
    return NumberOut(name=name, description=what, nullable=nullable)


def _interval(name: str, what: str) -> ListOut:
    return ListOut(
        name=name,
        description=f"{what} (95 %, profile): lower and upper end, null where there is no bound.",
        item=NumberOut(name="end", description="An end.", nullable=True),
    )


_GROUP = TextOut(
    name="group", description="Name of the group; null for lives without one.", nullable=True
)
_WEIBULL = ObjectOut(
    name="weibull",
    description="Weibull law of greatest likelihood; null where none can be fitted.",
    nullable=True,
    parts=(
        _number("shape", "Below 1 failures grow rarer with age, above 1 more frequent."),
        _number("scale", "Age by which 63.2 % have failed."),
        _interval("shape_interval", "Of the shape"),
        _interval("scale_interval", "Of the scale"),
    ),
)
_CURVE = ListOut(
    name="curve",
    description="Share that lives on after each age at which any failed (Kaplan and Meier).",
    item=ObjectOut(
        name="point",
        description="One age.",
        parts=(
            _number("duration", "The age."),
            _number("survival", "Share that lives on."),
            _number("lower", "Lower end of its band (95 %, log-log)."),
            _number("upper", "Upper end of its band."),
        ),
    ),
)
_ANSWERS: tuple[Out, ...] = (
    ListOut(
        name="groups",
        description="Each group, in the order in which it first came.",
        item=ObjectOut(
            name="lifetimes",
            description="The lives of one group.",
            parts=(
                _GROUP,
                WholeOut(name="n", description="Lives."),
                WholeOut(name="failures", description="How many failed."),
                _number(
                    "median",
                    "First age at which at most half live on; null where it is not reached.",
                    nullable=True,
                ),
                _CURVE,
                _WEIBULL,
            ),
        ),
    ),
    ObjectOut(
        name="log_rank",
        description="Test whether the groups fail alike; null with one group, or where nothing "
        "can be compared.",
        nullable=True,
        parts=(
            _number("chi_square", "The statistic."),
            WholeOut(name="degrees_of_freedom", description="Its degrees of freedom."),
            _number("p_value", "By the chi-square law."),
            _number(
                "permutation_p_value",
                f"By dealing the lives out to the groups in every way, or in some thousands where "
                f"there are more; where a group has fewer than {SMALL_GROUP} lives, else null.",
                nullable=True,
            ),
            ListOut(
                name="compared",
                description="Failures of each group, and how many there would be if all were "
                "alike.",
                item=ObjectOut(
                    name="of_group",
                    description="One group.",
                    parts=(
                        _GROUP,
                        WholeOut(name="n", description="Lives."),
                        _number("observed", "Failures."),
                        _number("expected", "Failures if all groups were alike."),
                    ),
                ),
            ),
        ),
    ),
)


def _grouped(row: Values) -> dict[str | None, Lives]:
    members: dict[str | None, list[Values]] = {}
    for life in row["lives"]:
        members.setdefault(life["group"], []).append(life)
    return {
        group: lives(
            np.array([life["duration"] for life in those]),
            np.array([life["failed"] for life in those]),
            np.array([life["entry"] for life in those]),
        )
        for group, those in members.items()
    }


def _points(curve: SurvivalCurve) -> list[dict[str, float]]:
    figures = (curve.duration, curve.survival, curve.lower, curve.upper)
    return [
        dict(zip(("duration", "survival", "lower", "upper"), point, strict=True))
        for point in zip(*(figure.tolist() for figure in figures), strict=True)
    ]


def _ends(interval: tuple[float, float]) -> list[float | None]:
    return [end if math.isfinite(end) else None for end in interval]


def _fitted(group: str | None, watched: Lives, warned: list[Warned]) -> Mapping[str, Any] | None:
    try:
        fit: WeibullFit = weibull_fit(watched)
    except OutOfRange as error:
        warned.append(
            Warned(
                "no_weibull",
                _("No Weibull law for %(group)s: failed must be %(limit)s.")
                % {
                    "group": _("the lives without a group") if group is None else f"“{group}”",
                    "limit": error.limit,
                },
            )
        )
        return None
    return {
        "shape": fit.shape,
        "scale": fit.scale,
        "shape_interval": _ends(fit.shape_interval),
        "scale_interval": _ends(fit.scale_interval),
    }


def _compared(groups: Mapping[str | None, Lives], warned: list[Warned]) -> Mapping[str, Any] | None:
    if len(groups) < 2:
        return None
    try:
        test = log_rank(list(groups.values()))
    except OutOfRange as error:
        warned.append(
            Warned(
                "not_compared",
                _("The groups can't be compared: %(what)s must be %(limit)s.")
                % {"what": error.argument, "limit": error.limit},
            )
        )
        return None
    if test.permutation_p_value is not None:
        warned.append(
            Warned(
                "small_group",
                _(
                    "A group has fewer than %(n)d lives: p_value is then too small, go by "
                    "permutation_p_value."
                )
                % {"n": SMALL_GROUP},
            )
        )
    compared = zip(groups, test.n, test.observed, test.expected, strict=True)
    return {
        "chi_square": test.chi_square,
        "degrees_of_freedom": test.degrees_of_freedom,
        "p_value": test.p_value,
        "permutation_p_value": test.permutation_p_value,
        "compared": [
            {"group": group, "n": n, "observed": observed, "expected": expected}
            for group, n, observed, expected in compared
        ],
    }


def _answer(row: Values) -> Answer:
    groups = _grouped(row)
    warned: list[Warned] = []
    told = []
    for group, watched in groups.items():
        curve = kaplan_meier(watched)
        told.append(
            {
                "group": group,
                "n": watched.n,
                "failures": watched.failures,
                "median": curve.median,
                "curve": _points(curve),
                "weibull": _fitted(group, watched, warned),
            }
        )
    return Answer({"groups": told, "log_rank": _compared(groups, warned)}, tuple(warned))


def _compute(rows: Sequence[Values]) -> list[Answer]:
    # The lives of a case are reckoned together; two cases have nothing in common.
    return [_answer(row) for row in rows]


SURVIVAL = Calculator(
    name="survival",
    version="1",
    summary="How long things last, what still runs counted in, and whether groups differ.",
    takes=SHAPE,
    answers=_ANSWERS,
    sources=(
        (
            "E. L. Kaplan, P. Meier, J. Am. Stat. Assoc. 53 (1958) 457-481; variance by "
            "M. Greenwood (1926); band by J. D. Kalbfleisch, R. L. Prentice (1980)"
        ),
        (
            "Weibull: NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3 (read); profile "
            "intervals by W. Q. Meeker, L. A. Escobar, Statistical Methods for Reliability Data, "
            "Wiley 1998, ch. 8"
        ),
        (
            "Log-rank: N. Mantel, Cancer Chemother. Rep. 50 (1966) 163-170; R. Peto, J. Peto, "
            "J. R. Stat. Soc. A 135 (1972) 185-207"
        ),
    ),
    compute=_compute,
    example={
        "lives": [
            {"duration": duration, "failed": failed, "group": group}
            for group, those in (
                ("no filter", ((9_400, True), (12_100, True), (15_800, True), (16_000, False))),
                (
                    "bypass filter",
                    ((11_000, False), (18_300, True), (21_500, True), (24_000, False)),
                ),
            )
            for duration, failed in those
        ]
    },
    most_cases=100,
)
