"""The page of due dates, and what its method knows."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words, register
from advisory.common.calculation import Values
from advisory.common.charts import Chart, Series
from advisory.engineering.checks import CheckValue
from advisory.engineering.usage_forecast import ASSUMPTIONS
from advisory.usage.calculators import DUE_DATE

_MONTHS = (
    _("Jan"), _("Feb"), _("Mar"), _("Apr"), _("May"), _("Jun"),
    _("Jul"), _("Aug"), _("Sep"), _("Oct"), _("Nov"), _("Dec"),
)  # fmt: skip


def _day(told: str | None) -> str:
    if told is None:
        return gettext("more than ten years ahead")
    return date_format(date.fromisoformat(told), "j F Y")


def _answered(answer: Mapping[str, Any], _words: Words) -> str:
    cars = answer["cars"]
    if len(cars) > 1:
        return ngettext("%(n)d car reckoned", "%(n)d cars reckoned", len(cars)) % {"n": len(cars)}
    (car,) = cars
    return gettext("Most likely about %(day)s") % {"day": _day(car["p50"])}


def _retold(_values: Values, answer: Mapping[str, Any], _words: Words) -> Mapping[str, Any]:
    cars = [{name: told if name == "id" else _day(told) for name, told in car.items()}
            for car in answer["cars"]]  # fmt: skip
    return {**answer, "cars": cars}


def _charts(_values: Values, answer: Mapping[str, Any], _words: Words) -> Sequence[Chart]:
    factors = answer["season"]["month_factors"]
    return [
        Chart(
            title=gettext("The season that was reckoned with"),
            sentence=gettext("Use in each month over that of a mean month, all cars together."),
            series=[
                Series(
                    gettext("Month factor"),
                    [(float(place), round(factor, 2)) for place, factor in enumerate(factors)],
                )
            ],
            x_label=gettext("Month"),
            y_label=gettext("Factor"),
            kind="bar",
            x_words=[str(month) for month in _MONTHS],
        )
    ]


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import usage_forecast

    return usage_forecast.CHECKS


METHOD = Method(
    does=_(
        "Works out by when each of many cars will have come to a distance, with a chance of 10, 50 "
        "and 90 %, from few and uneven readings."
    ),
    equations=(
        (_("Yearly distance r, from distance d over use u, events of φ"),
         "shape a + Σ d/φ, mean (a + Σ d/φ)/(a/m + Σ u/φ)"),
        (_("Use between two days"), "u = Σ days of each month · month share/days in the month"),
        (_("One event"), "φ = clustering + (15 %)² · r"),
        (_("Chance by a day"), "gamma law with the mean r·u and its variance"),
        (_("Off the road, 3 % a year"), "P(x by day t) = P(x by t − 290 days)"),
    ),
    holds=(
        _("Cars that are driven for pleasure, most of them from April to October."),
        _(
            "On invented cars that are driven by another law, four in five true days lie between "
            "the first and the last of the three days; the middle one is out by two months."
        ),
        _("Below 60 cars the stated default season counts, the more the fewer they are."),
    ),
    not_known=(
        _("What the owner has in mind: a tour, a sale, a rebuild. A reading tells it."),
        _("Hours. Where a unit counts hours, they follow from the same use."),
    ),
    checks=_checks,
    taken=ASSUMPTIONS,
)  # fmt: skip

PAGE = register(
    BenchPage(
        calculator=DUE_DATE,
        title=_("Due date"),
        question=_("When will it have come so far?"),
        groups=(
            Group(title=_("The cars"), names=("cars",)),
            Group(title=_("The day of asking"), names=("today",)),
        ),
        answered=_answered,
        method=METHOD,
        charts=_charts,
        retold=_retold,
        folded=frozenset({"season"}),
        labels={
            "id": _("Name"),
            "limit": _("Due at"),
            "p10": _("Hardly before"),
            "p50": _("Most likely"),
            "p90": _("Hardly after"),
            "laid_up": _("Laid up"),
            "today": _("Day of asking"),
            "learnt": _("Learnt from these cars, share"),
            "month_factors": _("Month factors"),
        },
    )
)
