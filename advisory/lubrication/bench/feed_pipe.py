"""The page of the oil feed pipe, and what its method knows."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words
from advisory.common.bench.units import in_figures
from advisory.common.calculation import Values
from advisory.common.charts import Chart, Series
from advisory.engineering.checks import CheckValue
from advisory.lubrication.bench.oil import DATA_SHEET, OIL_CHOICES, OIL_HELPS, OIL_LABELS
from advisory.lubrication.calculators import FEED_PIPE

_HEIGHTS = np.linspace(0.1, 1.0, 37)  # of the bore


def _answered(answer: Mapping[str, Any], words: Words) -> str:
    if answer["flow"] is None:
        return gettext("Beyond what is computed here: the flow would not be laminar")
    said = words.quantity(answer["flow"])
    ratio = answer["flow_ratio"]
    if ratio is None or ratio > 0.9995:
        return gettext("%(flow)s comes through") % {"flow": said}
    return gettext("%(flow)s comes through: %(share)s %% of what did") % {
        "flow": said,
        "share": in_figures(100.0 * ratio, 3),
    }


def _charts(values: Values, answer: Mapping[str, Any], words: Words) -> Sequence[Chart]:
    micron, flow = words.scale("um"), words.scale("ml/min")
    heights = [float(share) * values["bore"] for share in _HEIGHTS]
    answers = FEED_PIPE.compute([values | {"flattened_to": height} for height in heights])
    curve = [
        (micron.of(height * 1e6), flow.of(each.values["flow"] * 60e6))
        for height, each in zip(heights, answers, strict=True)
        if each.values["flow"] is not None
    ]
    if not curve:
        return []
    series = [Series(gettext("Flow"), curve, style="chain", dots=False)]
    if answer["flow"] is not None:
        height = values["flattened_to"] or values["bore"]
        here = (micron.of(height * 1e6), flow.of(answer["flow"]["value"]))
        series.append(Series(gettext("As asked"), [here]))
    return [
        Chart(
            title=gettext("Flow over the height that is left"),
            sentence=gettext("From a pipe squashed to a tenth of its bore to a round one."),
            series=series,
            x_label=gettext("Inside height, %(unit)s") % {"unit": micron.words},
            y_label=gettext("Flow, %(unit)s") % {"unit": flow.words},
        )
    ]


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import feed_pipe

    return feed_pipe.CHECKS


METHOD = Method(
    does=_(
        "Works out how much oil comes through a pipe at a pressure, while it is round and when it "
        "is squashed, and how long it takes to fill what it feeds."
    ),
    equations=(
        (_("Round pipe (Hagen and Poiseuille)"), "Q = π R⁴ Δp/(8 μ L)"),
        (_("Squashed to an ellipse (Boussinesq)"), "Q = π a³ b³ Δp/(4 μ L (a² + b²))"),
        (_("Its wall keeps its length"), "4 a E(1 − b²/a²) = 2 π R"),
        (_("Reynolds number"), "Re = 4 ρ Q/(μ · perimeter)"),
    ),
    holds=(
        _("Laminar flow, to a Reynolds number of 2000. Beyond, no flow is stated."),
        _("A straight pipe of one bore; the squashed part counts in series with the rest."),
    ),
    not_known=(
        _("Bends, unions, restrictors and the ways in and out, which all take pressure."),
        _("A crush with a sharp dent or a kink: an ellipse lets more through than that."),
        _("Sludge in the pipe, and whether the pump draws cold oil at all."),
        _("Oil so cold that it no longer flows as a liquid."),
    ),
    checks=_checks,
    further=((_("How oils are chosen for a unit"), "lubrication:choice_figures"),),
)

PAGE = BenchPage(
    calculator=FEED_PIPE,
    title=_("Oil feed pipe"),
    question=_("How much oil comes through the pipe?"),
    groups=(
        Group(title=_("The pipe"), names=("bore", "length", "pressure_difference")),
        Group(
            title=_("The oil in the pipe"),
            lead=_(
                "Its viscosity where you know it. Else an oil, generic or by the two viscosities "
                "of its data sheet, and its temperature."
            ),
            names=("viscosity", "lubricant", *DATA_SHEET, "temperature"),
        ),
        Group(
            title=_("If it is squashed"),
            names=("flattened_to", "flattened_length"),
        ),
        Group(title=_("To fill"), names=("volume_to_fill",)),
    ),
    answered=_answered,
    method=METHOD,
    charts=_charts,
    fine=frozenset({"flattened_to"}),
    labels=OIL_LABELS
    | {
        "pressure_difference": _("Pressure from end to end"),
        "flattened_to": _("Height that is left inside"),
        "flattened_length": _("Length of the squashed part"),
        "volume_to_fill": _("Volume to fill"),
        "flow_round": _("Flow when round"),
        "flow_ratio": _("Share that is left"),
    },
    helps=OIL_HELPS,
    choices=OIL_CHOICES,
    cautions=(
        _("A squashed pipe is mended or replaced, not reckoned with: a bearing hangs on it."),
    ),
)
