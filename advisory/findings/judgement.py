"""What a measured figure says, held against the build record and the position's limits.

| figure is | judgement | source |
| --- | --- | --- |
| at or past the wear limit | stop | the workshop's limit for the position |
| below the wear limit by less than it may be off | ask | common practice, no source |
| above the figure from which the workshop wants to look into it | ask | the workshop's figure |
| a clearance or float clearly smaller than as built | ask | common practice, no source |
| above as built, with no limit to hold it against | ask | common practice, no source |
| above as built, below both limits | watch | common practice, no source |
| below the limit, but nobody knows what it was when built | watch | common practice, no source |
| within what was built | good | the build record, the design |

A damage mark says how urgent it is by itself (`marks.py`); the graver of mark and figure counts.

A judgement is never a licence: past a limit the only word is to stop and ask.
"""

from dataclasses import dataclass
from enum import StrEnum

from django.utils.translation import gettext as _

from advisory.findings.enums import Judgement
from advisory.findings.marks import MARK_FACTS, DamageMark
from advisory.register.enums import MeasuredQuantity

# Twice the standard deviation of a dial gauge in an owner's hand, 0.005 mm (common practice, no
# source).
GAUGE_DOUBT = 0.01e-3
# Figures were typed with a few places; two that were typed alike must compare alike.
AS_TYPED_ALIKE = 1e-9
# What wear only ever makes larger: a figure clearly below as built is a fault, of unit or gauge.
NEVER_SHRINKS = frozenset({MeasuredQuantity.RUNNING_CLEARANCE, MeasuredQuantity.END_FLOAT})


class Because(StrEnum):
    """Which line of the table above spoke."""

    NO_FIGURE = "no-figure"
    NO_LIMITS = "no-limits"
    PAST_LIMIT = "past-limit"
    TOO_NEAR = "too-near"
    LOOK_INTO = "look-into"
    SMALLER_THAN_BUILT = "smaller-than-built"
    GROWN_WITHOUT_LIMIT = "grown-without-limit"
    GROWN = "grown"
    BELOW_LIMIT = "below-limit"
    AS_BUILT = "as-built"
    MARK = "mark"


# The graver later; of a mark and a figure the graver counts.
GRAVITY = (Judgement.UNJUDGED, Judgement.GOOD, Judgement.WATCH, Judgement.ASK, Judgement.STOP)


@dataclass(frozen=True)
class HeldAgainst:
    """What a figure is held against, in metres; None where nobody knows."""

    as_built: float | None = None
    as_built_least: float | None = None
    as_built_most: float | None = None
    look_into_above: float | None = None
    wear_limit: float | None = None


@dataclass(frozen=True)
class Verdict:
    """A judgement, and the line of the table that gave it."""

    judgement: Judgement
    because: Because


def stands_words(judgement: Judgement) -> str:
    """Say in one line how a place stands by what was measured there; "" where nobody knows."""
    return {
        Judgement.STOP: _("At or past its limit: don't run it, ask the workshop."),
        Judgement.ASK: _("Ask the workshop before it runs."),
        Judgement.WATCH: _("Watch it: below the limits known."),
        Judgement.GOOD: _("Within what was built."),
        Judgement.UNJUDGED: "",
    }[judgement]


def judge(
    value: float | None,
    quantity: str,
    against: HeldAgainst,
    mark: str = "",
    off: float | None = None,
) -> Verdict:
    """Hold a figure (m) against record and limits; a mark that was seen can only make it graver.

    `off` is by how much the figure may be off (m), as far as somebody said so.
    """
    of_figure = _judge_figure(value, quantity, against, off or 0.0)
    if not mark:
        return of_figure
    of_mark = MARK_FACTS[DamageMark(mark)].judgement
    if GRAVITY.index(of_mark) > GRAVITY.index(of_figure.judgement):
        return Verdict(of_mark, Because.MARK)
    return of_figure


def _judge_figure(value: float | None, quantity: str, against: HeldAgainst, off: float) -> Verdict:
    if value is None:
        return Verdict(Judgement.UNJUDGED, Because.NO_FIGURE)
    if against.wear_limit is not None and value >= against.wear_limit - AS_TYPED_ALIKE:
        return Verdict(Judgement.STOP, Because.PAST_LIMIT)
    if off and against.wear_limit is not None and value + off >= against.wear_limit:
        return Verdict(Judgement.ASK, Because.TOO_NEAR)
    if against.look_into_above is not None and value > against.look_into_above + AS_TYPED_ALIKE:
        return Verdict(Judgement.ASK, Because.LOOK_INTO)
    if quantity in NEVER_SHRINKS and _smaller_than_built(value, against):
        return Verdict(Judgement.ASK, Because.SMALLER_THAN_BUILT)
    most_as_built = _most_as_built(against)
    limited = against.wear_limit is not None or against.look_into_above is not None
    if most_as_built is None:
        # Below a limit, but nobody knows where it began: not a good one, only not a bad one.
        return (
            Verdict(Judgement.WATCH, Because.BELOW_LIMIT)
            if limited
            else Verdict(Judgement.UNJUDGED, Because.NO_LIMITS)
        )
    if value <= most_as_built + AS_TYPED_ALIKE:
        return Verdict(Judgement.GOOD, Because.AS_BUILT)
    if not limited:
        return Verdict(Judgement.ASK, Because.GROWN_WITHOUT_LIMIT)
    return Verdict(Judgement.WATCH, Because.GROWN)


def _most_as_built(against: HeldAgainst) -> float | None:
    """Return the largest figure that still reads as it was built."""
    known = []
    if against.as_built is not None:
        known.append(against.as_built + GAUGE_DOUBT)
    if against.as_built_most is not None:
        known.append(against.as_built_most)
    return max(known, default=None)


def _smaller_than_built(value: float, against: HeldAgainst) -> bool:
    least = against.as_built if against.as_built is not None else against.as_built_least
    return least is not None and value < least - GAUGE_DOUBT - AS_TYPED_ALIKE
