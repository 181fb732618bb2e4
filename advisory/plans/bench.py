"""The page of wear, and what its method knows."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words, register
from advisory.common.calculation import Values
from advisory.common.charts import Chart
from advisory.engineering.checks import CheckValue
from advisory.engineering.wear import ASSUMPTIONS
from advisory.plans.calculators import WEAR, forecast_of
from advisory.plans.wear_chart import fan_chart
from advisory.plans.wear_words import wear_sentence


def _answered(answer: Mapping[str, Any], words: Words) -> str:
    codes = {warned["code"] for warned in answer["warnings"]}
    if "limit_passed" in codes:
        return gettext("It is past its limit: don't run it")
    if "measurements_contradict" in codes:
        return gettext("The figures contradict one another: measure it again")
    if answer["next_inspection"] is None:
        return gettext("No limit is in sight")
    return gettext("Look at it again after %(far)s") % {
        "far": words.quantity(answer["next_inspection"])
    }


def _charts(values: Values, answer: Mapping[str, Any], words: Words) -> Sequence[Chart]:
    built = values["distance_at_build"]
    points = [(one["distance"] - built, one["value"]) for one in values["measurements"]]
    looked = answer["next_inspection"]
    inspection = None if looked is None else looked["value"] * 1000.0
    found, prefs = forecast_of(values), words.preferences
    sentence = wear_sentence(found, points, prefs, inspection=inspection)
    return [fan_chart(found, points, prefs, sentence=sentence, inspection=inspection)]


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import wear

    return wear.CHECKS


METHOD = Method(
    does=_(
        "Works out how fast a clearance or end float wears, when it meets its limit, and how far "
        "it may run before it is measured again; from few measurements, and from other units of "
        "the same design."
    ),
    equations=(
        (_("Wear"), "c(x) = c₀ + w·x"),
        (_("As built, by design"), "c₀ normal about the design's mean"),
        (_("Rate, by design"), "log w normal about the design's mean"),
        (
            _("Next inspection"),
            "the least x at which P(c₀ + w·x ≥ limit) = worst chance, within the bounds",
        ),
        (_("Figures contradict one another"), "c(x₁) − c(x₂) > 2√(u₁² + u₂²), x₁ ≤ x₂"),
        (_("Its own line (Fieller)"), "x̄ + [D/b ± (t s/b)√((1 − g)/n + D²/(b² Sxx))]/(1 − g)"),
    ),
    holds=(
        _("Wear by a straight line: after running-in, and before something goes wrong."),
        _(
            "In simulation the 80 % interval holds the true distance 73 to 88 times in a hundred, "
            "by the spread of the rates, the gauge and the scatter as built."
        ),
    ),
    not_known=(
        _("Damage. Dirt, a dry start or frost can end a bearing within an hour."),
        _("Which of two figures that contradict one another is wrong: then it tells no distance."),
        _("With one measurement and no other units of the design it is little more than a guess."),
        _("It is no licence to run on to the limit: when in doubt, stop and ask the workshop."),
    ),
    checks=_checks,
    taken=ASSUMPTIONS,
)  # fmt: skip

PAGE = register(
    BenchPage(
        calculator=WEAR,
        title=_("Wear"),
        question=_("When does the clearance meet its limit?"),
        groups=(
            Group(
                title=_("This unit"),
                names=("measurements", "limit", "distance_at_build"),
            ),
            Group(title=_("Other units of the design"), names=("fleet",)),
            Group(title=_("The next inspection"), names=("worst_chance", "at_least", "at_most")),
        ),
        answered=_answered,
        method=METHOD,
        charts=_charts,
        fine=frozenset({"limit"}),
        labels={
            "value": _("Clearance"),
            "limit": _("Wear limit"),
            "p10": _("With a chance of 10 %"),
            "p50": _("As likely as not"),
            "p90": _("With a chance of 90 %"),
            "at_least": _("Not before"),
            "at_most": _("Not after"),
            "rate_interval": _("Rate, 80 %"),
            "units_alike": _("Other units that tell a rate"),
            "fleet": _("Their measurements"),
        },
        cautions=(
            _(
                "This is advice for planning, no licence to keep running: noise, heat, metal in "
                "the oil or a sudden change mean stop, and ask the workshop."
            ),
        ),
    )
)
