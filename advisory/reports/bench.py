"""The page of lifetimes, and what its method knows."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words, register
from advisory.common.bench.units import in_figures
from advisory.common.calculation import Values
from advisory.common.charts import Chart, Series
from advisory.engineering.checks import CheckValue
from advisory.reports.calculators import SURVIVAL

_STYLES = ("solid", "dashed", "chain", "dotted")
_CERTAIN = 0.05


def _answered(answer: Mapping[str, Any], _words: Words) -> str:
    groups = answer["groups"]
    test = answer["log_rank"]
    if test is not None:
        p = test["permutation_p_value"] or test["p_value"]
        chance = in_figures(p, 2)
        if p < _CERTAIN:
            return gettext("The groups differ (p %(chance)s)") % {"chance": chance}
        return gettext("No difference shown (p %(chance)s)") % {"chance": chance}
    if len(groups) == 1 and groups[0]["median"] is not None:
        return gettext("Half last to %(median)s") % {"median": in_figures(groups[0]["median"])}
    failures = sum(group["failures"] for group in groups)
    return ngettext(
        "%(n)d failure: too few to say when half have failed",
        "%(n)d failures: too few to say when half have failed",
        failures,
    ) % {"n": failures}


def _steps(curve: Sequence[Mapping[str, float]], figure: str) -> list[tuple[float, float]]:
    """Draw a share as steps, from all at the start."""
    points = [(0.0, 1.0)]
    for point in curve:
        points += [(point["duration"], points[-1][1]), (point["duration"], point[figure])]
    return [(x, round(y, 4)) for x, y in points]


def _charts(_values: Values, answer: Mapping[str, Any], _words: Words) -> Sequence[Chart]:
    groups = [group for group in answer["groups"] if group["curve"]]
    if not groups or len(groups) > len(_STYLES):
        return []
    series = [
        Series(
            group["group"] or gettext("All"),
            _steps(group["curve"], "survival"),
            style=style,
            dots=False,
        )
        for group, style in zip(groups, _STYLES, strict=False)
    ]
    if len(groups) == 1:
        series += [
            Series(label, _steps(groups[0]["curve"], figure), style="dotted", dots=False)
            for label, figure in (
                (gettext("Lower end of the band"), "lower"),
                (gettext("Upper end of the band"), "upper"),
            )
        ]
    return [
        Chart(
            title=gettext("Share that lives on"),
            sentence=gettext(
                "Each step down is a failure. What was still whole when last seen counts up to "
                "then."
            ),
            series=series,
            x_label=gettext("Duration, in the unit of the lives"),
            y_label=gettext("Share"),
        )
    ]


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import survival

    return survival.CHECKS


METHOD = Method(
    does=_(
        "Works out how long things last from those that failed and those that still run, also "
        "where watching began late, and whether groups of them differ."
    ),
    equations=(
        (_("Share that lives on (Kaplan and Meier)"), "S(t) = Π (1 − dᵢ/nᵢ) over failures to t"),
        (_("Its band"), "log(−log S) ± 1.96 standard errors (Greenwood)"),
        (_("Weibull law"), "S(t) = exp(−(t/η)^β), β and η of greatest likelihood"),
        (
            _("Log-rank test"),
            "χ² of observed less expected failures of each group, by the hypergeometric law",
        ),
    ),
    holds=(
        _("Lives that have nothing to do with each other, and all end alike."),
        _("Being last seen whole must have nothing to do with being about to fail."),
        _("With fewer than ten lives in a group the p-value by dealing out counts."),
    ),
    not_known=(
        _("Why they failed. A difference between groups is not yet its cause."),
        _("What happens beyond the longest life watched; a Weibull law only guesses it."),
        _("Things that fail again and again: count those by unit, as the fleet report does."),
    ),
    checks=_checks,
)

PAGE = register(
    BenchPage(
        calculator=SURVIVAL,
        title=_("Lifetimes"),
        question=_("How long do they last, and does it differ?"),
        groups=(Group(title=_("The lives"), names=("lives",)),),
        answered=_answered,
        method=METHOD,
        charts=_charts,
        labels={
            "failed": _("Failed (yes or no)"),
            "entry": _("Watched from"),
            "n": _("Lives"),
            "curve": _("Share that lives on"),
            "weibull": _("Weibull law"),
            "lifetimes": _("All lives"),
            "log_rank": _("Do the groups differ?"),
            "p_value": _("p-value"),
            "permutation_p_value": _("p-value by dealing out"),
            "chi_square": _("Chi-square"),
            "compared": _("Observed and expected failures"),
            "of_group": _("Group"),
        },
    )
)
