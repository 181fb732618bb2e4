"""Advice that was kept, explained: what it says, what sets it, what was taken for unknown."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.drawing import Compared, Comparison
from advisory.common.quantities import Preferences, in_words
from advisory.lubrication.enums import Filtration
from advisory.lubrication.models import OilAdvice
from advisory.lubrication.sentences import months_words, sentence
from advisory.lubrication.words import Assumed, assumed_words

LIMITS: dict[str, Promise | str] = {
    "workshop": gettext_lazy("The workshop's instruction"),
    "running-in": gettext_lazy("Running-in"),
    "dirt": gettext_lazy("Dirt in the oil"),
    "ageing": gettext_lazy("Ageing of the oil"),
    "calendar": gettext_lazy("The calendar"),
}


@dataclass(frozen=True)
class LimitShown:
    """One limit in words; `sets`: it is the one that comes first."""

    name: str
    amount: str
    sets: bool


@dataclass(frozen=True)
class Explained:
    """Advice in words: the answer, its limits, reasons, the other filters, what was assumed."""

    answer: str
    limits: list[LimitShown]
    reasons: list[str]
    comparison: Comparison
    assumed: list[Assumed]
    filter_change: str | None


def explain(advice: OilAdvice, prefs: Preferences) -> Explained:
    """Put kept advice on the oil-change interval in words."""
    result: Mapping[str, Any] = advice.result
    assumed = list(result["assumed"])
    fitted = result["filtration"]
    capacity = result["filter_change_distance"]
    return Explained(
        answer=_("%(far)s or %(time)s, whichever comes first")
        % {
            "far": in_words(result["distance"], "distance", prefs),
            "time": months_words(result["months"]),
        },
        limits=[
            LimitShown(
                str(words), _amount(result["limits"][name], prefs), name == result["limited_by"]
            )
            for name, words in LIMITS.items()
            if result["limits"].get(name) is not None
        ],
        reasons=[
            sentence(reason["code"], {k: v for k, v in reason.items() if k != "code"}, prefs)
            for reason in result["reasons"]
        ],
        comparison=Comparison(
            [
                Compared(
                    label=str(Filtration(other["filtration"]).label),
                    amount=other["distance"],
                    words=in_words(other["distance"], "distance", prefs),
                    why=_("%(limit)s sets it") % {"limit": LIMITS[other["limited_by"]]},
                    current=other["filtration"] == fitted and "filtration" not in assumed,
                )
                for other in result["compare"]
            ]
        ),
        assumed=assumed_words(assumed),
        filter_change=None if capacity is None else in_words(capacity, "distance", prefs),
    )


def _amount(limit: Mapping[str, Any], prefs: Preferences) -> str:
    parts = []
    if limit["distance"] is not None:
        parts.append(in_words(limit["distance"], "distance", prefs))
    if limit["running_time"] is not None:
        parts.append(
            _("about %(time)s of running")
            % {"time": in_words(limit["running_time"], "running_time", prefs)}
        )
    if limit["months"] is not None:
        parts.append(months_words(limit["months"]))
    return ", ".join(parts)
