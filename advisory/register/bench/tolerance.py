"""The page of limits and fits, and what its method knows."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from advisory.common.bench import BenchPage, Group, Method, Words
from advisory.engineering.checks import CheckValue
from advisory.register.calculators import TOLERANCE


def _signed(told: Mapping[str, Any], words: Words) -> str:
    said = words.quantity(told)
    return f"+{said}" if float(told["value"]) > 0.0 else said


def _size(told: Mapping[str, Any], words: Words) -> str:
    return words.quantity({**told, "value": abs(float(told["value"]))})


def _answered(answer: Mapping[str, Any], words: Words) -> str:
    limits = gettext("%(lower)s to %(upper)s") % {
        "lower": _signed(answer["lower_deviation"], words),
        "upper": _signed(answer["upper_deviation"], words),
    }
    pair = answer["fit"]
    if pair is None:
        return limits
    least, greatest = pair["minimum_clearance"], pair["maximum_clearance"]
    ends = {"limits": limits, "least": _size(least, words), "greatest": _size(greatest, words)}
    if least["value"] >= 0.0:
        return gettext("%(limits)s; a play of %(least)s to %(greatest)s") % ends
    if greatest["value"] <= 0.0:
        return gettext("%(limits)s; an interference of %(greatest)s to %(least)s") % ends
    return gettext("%(limits)s; up to %(least)s of interference or %(greatest)s of play") % ends


def _checks() -> Sequence[CheckValue]:
    from advisory.engineering.checks import fits

    return [check for check in fits.CHECKS if "deviation of" in check.what]


METHOD = Method(
    does=_(
        "Looks up the limits of a size by its tolerance class, and the play of a hole and a shaft "
        "that go together."
    ),
    equations=(
        (_("Shaft below size"), "upper = −deviation, lower = upper − tolerance"),
        (_("Hole above size"), "lower = +deviation, upper = lower + tolerance"),
        (_("Least clearance of a pair"), "lower limit of the hole − upper limit of the shaft"),
    ),
    holds=(
        _("Sizes from 1 to 500 mm; letters a to h, js, j, k, m, n, p, r, s, t, u; grades 1 to 18."),
        _("Limits at 20 °C."),
    ),
    not_known=(
        _("Form: a bore within its limits may still be oval, tapered or bell-mouthed."),
        _("Old makers' own limits, from before the standard: their drawing stands above it."),
        _("Letters cd, ef, fg, v, x, y, z and beyond, which are not shipped here."),
    ),
    checks=_checks,
)

PAGE = BenchPage(
    calculator=TOLERANCE,
    title=_("Limits and fits"),
    question=_("What are the limits of this size?"),
    groups=(
        Group(
            title=_("The size"),
            names=("size", "tolerance_class", "mating_class"),
        ),
    ),
    answered=_answered,
    method=METHOD,
    labels={"fit": _("Play of the pair"), "mating_class": _("Class of the part that goes with it")},
)
