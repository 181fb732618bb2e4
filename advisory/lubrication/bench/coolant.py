"""The page of coolant, and what its method knows."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words
from advisory.common.calculation import Values
from advisory.common.charts import Chart, Mark, Series
from advisory.engineering.checks import CheckValue
from advisory.lubrication.calculators import COOLANT
from advisory.lubrication.calculators.viscosity import KELVIN

_SHARES = np.linspace(0.0, 0.6, 25)


def _answered(answer: Mapping[str, Any], words: Words) -> str:
    freezing = {"freezing": words.quantity(answer["freezing_point"])}
    if answer["enough"]:
        return gettext("It begins to freeze at %(freezing)s: enough") % freezing
    return gettext("It begins to freeze at %(freezing)s: not enough") % freezing


def _charts(values: Values, answer: Mapping[str, Any], words: Words) -> Sequence[Chart]:
    degree = words.scale("degC")
    by = "volume_fraction" if values["mass_fraction"] is None else "mass_fraction"
    answers = COOLANT.compute([values | {by: float(share)} for share in _SHARES])
    curve = [
        (round(100.0 * float(share), 1), degree.of(each.values["freezing_point"] - KELVIN))
        for share, each in zip(_SHARES, answers, strict=True)
    ]
    here = (100.0 * values[by], degree.of(answer["freezing_point"]["value"]))
    return [
        Chart(
            title=gettext("Freezing point over strength"),
            sentence=gettext("The thick line is the lowest temperature expected."),
            series=[
                Series(gettext("First ice"), curve, style="chain", dots=False),
                Series(gettext("This mix"), [here]),
            ],
            x_label=gettext("Glycol, % by volume")
            if by == "volume_fraction"
            else gettext("Glycol, % by mass"),
            y_label=degree.words,
            marks=[Mark(gettext("Expected"), degree.of(values["lowest_temperature"] - KELVIN))],
            from_zero=False,
        )
    ]


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import coolant

    return coolant.CHECKS


METHOD = Method(
    does=_(
        "Works out at what temperature the first ice forms in a mix of glycol and water, and holds "
        "it against the lowest temperature expected."
    ),
    equations=(
        (_("Freezing point, x the share by mass"), "T = c₀ + c₁ x + c₂ x² + … + c₅ x⁵"),
        (_("By mass from by volume"), "x = v ρ glycol/(v ρ glycol + (1 − v) ρ water), at 20 °C"),
        (_("Enough"), "T lowest − T freezing ≥ 3 K"),
    ),
    holds=(
        _("Up to 60 % by mass of ethylene or propylene glycol in clean water."),
        _("The margin of 3 K covers handbook tables, which are up to 2.9 K warmer."),
    ),
    not_known=(
        _("What is really in the radiator: measure it, with an instrument for that glycol."),
        _("Inhibitors and their age: an old coolant may be safe from frost and eat metal."),
        _("Water that stands undrained in a block, a pump or a drain cock."),
    ),
    checks=_checks,
)

PAGE = BenchPage(
    calculator=COOLANT,
    title=_("Coolant"),
    question=_("Is the coolant safe from frost?"),
    groups=(
        Group(
            title=_("The mix"),
            lead=_(
                "Its strength by volume or by mass, one of the two. Half and half is 0.5 or 50 %."
            ),
            names=("glycol", "volume_fraction", "mass_fraction"),
        ),
        Group(title=_("The frost"), names=("lowest_temperature",)),
    ),
    answered=_answered,
    method=METHOD,
    charts=_charts,
    labels={
        "volume_fraction": _("Share by volume"),
        "mass_fraction": _("Share by mass"),
        "margin": _("Margin to the lowest temperature"),
    },
    choices={"ethylene": _("ethylene glycol"), "propylene": _("propylene glycol")},
    cautions=(
        _(
            "Ethylene glycol is poisonous and tastes sweet: no open vessel, nothing into the "
            "ground or the drain; it goes to a collecting point by the local rules."
        ),
    ),
)
