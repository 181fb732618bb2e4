"""The page of the dirt in a sump, and what its method knows."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words
from advisory.engineering.checks import CheckValue
from advisory.lubrication.calculators import DIRT_BALANCE


def _answered(answer: Mapping[str, Any], words: Words) -> str:
    return gettext("%(dirt)s at the end") % {"dirt": words.quantity(answer["concentration"])}


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import dirt_balance

    return dirt_balance.CHECKS


METHOD = Method(
    does=_(
        "Keeps account of the dirt in a well-mixed sump: what arrives, what a filter takes out, "
        "what stays behind at each drain."
    ),
    equations=(
        (_("Within a fill"), "V dC/dt = ingress − q E C"),
        (_("Efficiency of one pass"), "E = 1 − 1/β"),
        (_("At a drain"), "C start = r C end"),
    ),
    holds=(
        _("Oil that is stirred enough to be dirty alike everywhere."),
        _("Dirt of a size that the filter's figure is for."),
    ),
    not_known=(
        _("Dirt that settles, and comes up again when the sump is disturbed."),
        _("Fines below the filter's rating, which gather as if there were no filter."),
        _("A filter that is full or lets by: it counts as none."),
    ),
    checks=_checks,
)

PAGE = BenchPage(
    calculator=DIRT_BALANCE,
    title=_("Dirt in the sump"),
    question=_("How dirty does the oil get?"),
    groups=(
        Group(
            title=_("The sump"),
            names=("sump_volume", "ingress_rate", "duration", "fills", "residue_fraction"),
        ),
        Group(
            title=_("The filter"),
            lead=_("Its flow, and its beta ratio or its efficiency. Leave all open without one."),
            names=("filter_flow", "beta_ratio", "efficiency"),
        ),
        Group(title=_("At the start"), names=("initial_concentration",)),
    ),
    answered=_answered,
    method=METHOD,
    labels={
        "ingress_rate": _("Dirt that arrives"),
        "duration": _("Running time of a fill"),
        "filter_flow": _("Flow through the filter"),
        "initial_concentration": _("Dirt at the start"),
        "residue_fraction": _("Share that stays behind"),
        "fills": _("Fills in a row"),
        "concentration": _("Dirt at the end"),
        "steady_concentration": _("What it would come to"),
    },
)
