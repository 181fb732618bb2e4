"""The page of an oil's viscosity, and what its method knows."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words
from advisory.common.calculation import Values
from advisory.common.charts import Chart, Series
from advisory.engineering.checks import CheckValue
from advisory.lubrication.bench.oil import OIL_CHOICES, OIL_HELPS, OIL_LABELS, oil_group
from advisory.lubrication.calculators import VISCOSITY
from advisory.lubrication.calculators.viscosity import KELVIN

_DRAWN_C = np.arange(20.0, 121.0, 5.0)


def _answered(answer: Mapping[str, Any], words: Words) -> str:
    told = answer["dynamic_viscosity"]
    if not isinstance(told, list):
        return gettext("%(viscosity)s there") % {"viscosity": words.quantity(told)}
    several = sorted(told, key=lambda one: float(one["value"]))
    return gettext("%(most)s at the coldest, %(least)s at the hottest") % {
        "most": words.quantity(several[-1]),
        "least": words.quantity(several[0]),
    }


def _charts(values: Values, _answer: Mapping[str, Any], words: Words) -> Sequence[Chart]:
    degree = words.scale("degC")
    (drawn,) = VISCOSITY.compute([values | {"temperature": (_DRAWN_C + KELVIN).tolist()}])
    curve = [
        (degree.of(float(t)), round(float(mu) * 1e3, 2))
        for t, mu in zip(_DRAWN_C, drawn.values["dynamic_viscosity"], strict=True)
    ]
    return [
        Chart(
            title=gettext("Viscosity over temperature"),
            sentence=gettext("Dynamic viscosity is what carries a film, and what holds up a flow."),
            series=[Series(gettext("Dynamic viscosity"), curve, style="chain", dots=False)],
            x_label=gettext("Temperature, %(unit)s") % {"unit": degree.words},
            y_label=gettext("mPa·s"),
        )
    ]


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import oil_grades, viscosity

    return (*viscosity.CHECKS, *oil_grades.CHECKS)


METHOD = Method(
    does=_(
        "Draws the standard's line through the two viscosities of a data sheet, reads viscosity "
        "and density at any temperature from it, and says which grades the oil meets."
    ),
    equations=(
        (_("Viscosity (ASTM D341)"), "log log(ν + 0.7 + …) = A − B log T, ν in mm²/s, T in K"),
        (_("Viscosity index to 100 (ASTM D2270)"), "VI = 100 (L − U)/(L − H)"),
        (
            _("Above 100"),
            "VI = 100 + (10^N − 1)/0.00715, N = (log H − log U)/log Y",
        ),
        (_("Density (API MPMS 11.1)"), "ρ = ρ₁₅ exp(−α Δt (1 + 0.8 α Δt))"),
    ),
    holds=(
        _("From −40 to 150 °C, where the oil is a clear liquid."),
        _("Viscosity index from 2 mm²/s at 100 °C."),
    ),
    not_known=(
        _("When an oil clouds and when it no longer pours: its data sheet says."),
        _("How far a multigrade shears in a film, but for a rule of thumb."),
        _("Fuel, water and dirt in the oil, which thin or thicken it."),
        _("Pressure: between gear teeth an oil is far thicker than here."),
    ),
    checks=_checks,
)

PAGE = BenchPage(
    calculator=VISCOSITY,
    title=_("Viscosity of an oil"),
    question=_("How thick is this oil, cold and hot?"),
    groups=(
        oil_group(),
        Group(title=_("Where"), names=("temperature",)),
        Group(
            title=_("Cold data, for W grades"),
            lead=_("From the data sheet, all four of the cold tests or none."),
            names=(
                "high_shear_viscosity",
                "cranking_viscosity",
                "cranking_temperature",
                "pumping_viscosity",
                "pumping_temperature",
            ),
        ),
    ),
    answered=_answered,
    method=METHOD,
    charts=_charts,
    labels=OIL_LABELS | {"sae_engine_grades": _("SAE engine grades"), "iso_vg": _("ISO VG")},
    helps=OIL_HELPS,
    choices=OIL_CHOICES,
)
