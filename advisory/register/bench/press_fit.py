"""The page of the press fit, and what its method knows."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words
from advisory.engineering.checks import CheckValue
from advisory.register.calculators import PRESS_FIT


def _answered(answer: Mapping[str, Any], words: Words) -> str:
    said = gettext("It holds %(force)s; warm the sleeve by %(rise)s") % {
        "force": words.quantity(answer["push_off_force"]),
        "rise": words.quantity(answer["assembly_temperature_rise"]),
    }
    if all(check["passed"] for check in answer["checks"]):
        return said
    return said + gettext("; a limit is not kept")


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import fits

    return [check for check in fits.CHECKS if "deviation of" not in check.what]


METHOD = Method(
    does=_(
        "Works out how hard a sleeve grips a shaft that is larger than its bore, what that does to "
        "both metals, and how warm the sleeve must be to go on by hand."
    ),
    equations=(
        (
            _("Pressure (Lamé)"),
            "p = δ/(d [(Cₕ + νₕ)/Eₕ + (Cₛ − νₛ)/Eₛ])",
        ),
        (_("Shape of sleeve and shaft"), "Cₕ = (D² + d²)/(D² − d²), Cₛ = (d² + dᵢ²)/(d² − dᵢ²)"),
        (_("Hoop stress at the sleeve's bore"), "σ = p Cₕ; greatest shear by p (Cₕ + 1)"),
        (_("Force and torque"), "F = μ π d l p, T = F d/2"),
        (_("Warming"), "Δt = (δ + play)/(α d)"),
    ),
    holds=(
        _("Long, smooth, round parts of one metal each, within their elastic range."),
        _("Interference below a fiftieth of the diameter, far beyond what any metal here stands."),
    ),
    not_known=(
        _("The part's own metal: typical values are taken. Grey cast iron varies most."),
        _("Roughness that is smoothed away when it is pressed on: it takes some of the grip."),
        _("Loosening as the parts warm differently, or as they turn fast."),
        _("Keyways, oil holes, shoulders and short sleeves, where stress is higher."),
    ),
    checks=_checks,
)

PAGE = BenchPage(
    calculator=PRESS_FIT,
    title=_("Press fit"),
    question=_("Does the sleeve hold, and how does it go on?"),
    groups=(
        Group(
            title=_("The sleeve"),
            names=("interface_diameter", "sleeve_outer_diameter", "length", "sleeve_material"),
        ),
        Group(title=_("The shaft"), names=("shaft_material", "shaft_inner_diameter")),
        Group(
            title=_("The fit"),
            names=("interference", "friction_coefficient", "assembly_clearance"),
        ),
    ),
    answered=_answered,
    method=METHOD,
    fine=frozenset({"interference", "assembly_clearance"}),
    labels={
        "interface_diameter": _("Diameter where they meet"),
        "shaft_inner_diameter": _("Bore of a hollow shaft"),
        "assembly_clearance": _("Play while it goes on"),
        "sleeve_hoop_stress": _("Stress at the sleeve's bore"),
        "shaft_hoop_stress": _("Stress of the shaft"),
        "torque": _("Torque that slips it"),
        "assembly_temperature_rise": _("Warm the sleeve by"),
    },
    cautions=(
        _(
            "A warm sleeve burns: tongs and gloves. Warm it evenly in oil or in an oven, away from "
            "white metal and seals, and no flame near oil."
        ),
    ),
)
