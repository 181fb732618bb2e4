"""The page of the thrust washer, and what its method knows."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words
from advisory.engineering.checks import CheckValue
from advisory.lubrication.calculators import THRUST_WASHER


def _answered(answer: Mapping[str, Any], words: Words) -> str:
    said = gettext("%(pressure)s at %(speed)s") % {
        "pressure": words.quantity(answer["pressure"]),
        "speed": words.quantity(answer["sliding_speed"]),
    }
    if all(check["passed"] for check in answer["checks"]):
        return said
    return said + gettext("; more than the washer is allowed")


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import thrust_washer

    return thrust_washer.CHECKS


METHOD = Method(
    does=_(
        "Works out the pressure on a thrust washer's face, how fast it slides, and their product, "
        "and holds them against what such washers bear."
    ),
    equations=(
        (_("Pressure"), "p = 4 W/(π (D² − d²))"),
        (
            _("Sliding speed at the mean diameter"),
            "v = π N (D + d)/2, half of it for a floating washer",
        ),
        (_("Product"), "p v"),
    ),
    holds=(
        _("A flat ring that bears all over its face."),
        _("The speed of a floating washer: half, where both its faces rub alike."),
    ),
    not_known=(
        _("How the load is shared by a face that is bent, cocked or worn to a step."),
        _("The film of a grooved or tapered face: the limits are those of practice."),
        _("Whether oil arrives at all, which decides more than the load."),
    ),
    checks=_checks,
)

PAGE = BenchPage(
    calculator=THRUST_WASHER,
    title=_("Thrust washer"),
    question=_("Does the washer bear it?"),
    groups=(
        Group(
            title=_("The washer"),
            names=("inner_diameter", "outer_diameter", "floating", "material"),
        ),
        Group(title=_("What is asked of it"), names=("load", "speed")),
    ),
    answered=_answered,
    method=METHOD,
    labels={
        "floating": _("The washer floats"),
        "sliding_speed": _("Sliding speed"),
        "pressure_velocity": _("Pressure times speed"),
    },
)
