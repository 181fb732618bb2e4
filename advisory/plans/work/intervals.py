"""How often the work comes round whose interval is not computed: one table, and its sources.

All of it is common practice, no source. The workshop's instruction replaces what stands here.
"""

from dataclasses import dataclass

from advisory.plans.computation import Anchor, Limits
from advisory.plans.enums import CountedFrom, DueBy
from advisory.plans.work.base import Asked, Facts, Reason
from advisory.register.enums import WorkKind

KM = 1000.0


@dataclass(frozen=True)
class Interval:
    """Distance (m) and months, whichever comes first; `first` is the distance after a rebuild."""

    distance: float | None
    months: int
    first: float | None = None


@dataclass(frozen=True)
class SeasonDay:
    """A day of the year by which work wants to be done, in the northern half of the world."""

    month: int
    day: int


INTERVALS = {
    # common practice, no source: with each oil change, and once a year
    WorkKind.FILTER_CHANGE: Interval(None, 12),
    # common practice, no source: unions and chafing yearly; nuts and unions nipped at 300-800 km
    WorkKind.PIPE_CHECK: Interval(5000 * KM, 12, first=500 * KM),
    # common practice, no source: a glance each month, a proper look each season
    WorkKind.SEAL_WEEP: Interval(2000 * KM, 3, first=500 * KM),
    # common practice, no source: yearly, and when running-in is over
    WorkKind.END_FLOAT: Interval(5000 * KM, 12, first=1600 * KM),
}

# common practice, no source: before the first frost, and while frost is to be expected
COOLANT_BY = SeasonDay(10, 15)
FROST_MONTHS = frozenset({10, 11, 12, 1, 2, 3})
FROST_ENDS = SeasonDay(4, 1)
# common practice, no source: most cars of this kind are laid up from late October
LAY_UP_BY = SeasonDay(10, 25)
# common practice, no source: oil that young goes into the lay-up as it is
FRESH_FOR_LAY_UP_DAYS = 60
# common practice, no source: a car that is still driven so long after is driven through the winter
LAY_UP_LAPSES_DAYS = 60


def regular(kind: WorkKind, facts: Facts, anchor: Anchor) -> Asked:
    """Return what work of the table asks for, or what the workshop says instead."""
    instruction = facts.instructions.get(kind)
    if instruction is not None and (instruction.distance or instruction.months):
        limits = Limits(distance=instruction.distance, months=instruction.months)
        return Asked(limits, DueBy.WORKSHOP, (instructed(facts, kind),))
    interval = INTERVALS[kind]
    first = anchor.counted_from == CountedFrom.BUILD and interval.first is not None
    limits = Limits(distance=interval.first if first else interval.distance, months=interval.months)
    reason: Reason = {
        "code": "first_after_rebuild" if first else "interval",
        "distance": limits.distance,
        "months": limits.months,
    }
    by = DueBy.RUNNING_IN if first else DueBy.DISTANCE if limits.distance else DueBy.CALENDAR
    return Asked(limits, by, (reason, *said(facts, kind)))


def instructed(facts: Facts, kind: WorkKind) -> Reason:
    """Return the reason that the workshop says so."""
    instruction = facts.instructions[kind]
    return {
        "code": "instruction",
        "workshop": instruction.workshop,
        "distance": instruction.distance,
        "months": instruction.months,
        "text": instruction.text,
    }


def said(facts: Facts, kind: WorkKind) -> tuple[Reason, ...]:
    """Return the workshop's words on this work where it sets no interval."""
    return (instructed(facts, kind),) if kind in facts.instructions else ()
