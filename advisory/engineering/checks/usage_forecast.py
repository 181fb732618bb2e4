"""Published and independently computed values of rates learnt from counts, and of the calendar."""

from __future__ import annotations

from datetime import date
from functools import partial

from advisory.engineering.checks.check_value import CheckValue
from advisory.engineering.usage_forecast import (
    Fleet,
    Use,
    annual_distance,
    expected_distance,
)
from advisory.engineering.usage_forecast.assumptions import ALL_YEAR_SHARES, LAID_UP_SHARES

_DEATHS = (
    "A. Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.6, estimating a rate from "
    "Poisson data: an idealized example"
)
_DEATHS_REMARK = (
    "One event stands for a distance of one clustering. That years differ, and that a car may have "
    "stood, which the book has not, moves it by up to 1.5 %."
)
_CALENDAR = "added up day by day, by hand"
_START = date(2001, 1, 1).toordinal()
_EVENT = 1e9  # metres


def _rate(events: float, years: int) -> float:
    """Return the mean rate after so many events in so many years, from Gamma(3, 5)."""
    fleet = Fleet(
        seasons=(ALL_YEAR_SHARES,),
        shares=(1.0,),
        annual_mean=0.6 * _EVENT,
        annual_shape=3.0,
        clustering=_EVENT,
    )
    last = date(2001 + years, 1, 1).toordinal()
    use = Use((_START, last), (0.0, events * _EVENT), last)
    return annual_distance(use, fleet).mean / _EVENT


def _driven(month: int, day: int, to_month: int, to_day: int) -> float:
    """Return the kilometres between two days of 2025, at 10 000 km a year."""
    fleet = Fleet(seasons=(LAID_UP_SHARES,), shares=(1.0,), annual_mean=10_000e3)
    first = date(2025, month, day).toordinal()
    use = Use((first,), (0.0,), first)
    return expected_distance(use, date(2025, to_month, to_day).toordinal(), fleet) / 1e3


CHECKS: tuple[CheckValue, ...] = (
    CheckValue(
        "rate after 3 events in 2 years, prior of shape 3 and mean 0.6",
        6.0 / 7.0,
        "",
        partial(_rate, 3.0, 2),
        0.015,
        _DEATHS,
        ("M",),
        remark=_DEATHS_REMARK,
    ),
    CheckValue(
        "rate after 30 events in 20 years, the same prior",
        33.0 / 25.0,
        "",
        partial(_rate, 30.0, 20),
        0.015,
        _DEATHS,
        ("M",),
        remark=_DEATHS_REMARK,
    ),
    CheckValue(
        "a laid-up car of 10 000 km a year, 31 May to 30 June",
        1700.0,
        "km",
        partial(_driven, 5, 31, 6, 30),
        1e-9,
        _CALENDAR,
        ("C",),
    ),
    CheckValue(
        "the same car, 15 April to 10 May",
        900.0 * 15 / 30 + 1550.0 * 10 / 31,
        "km",
        partial(_driven, 4, 15, 5, 10),
        1e-9,
        _CALENDAR,
        ("C",),
    ),
)
