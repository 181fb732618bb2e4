"""How often the work comes round whose interval is not computed: one table, and its sources.

All of it is common practice, no source. The workshop's instruction replaces what stands here.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from advisory.plans.computation import Anchor, Limits, next_season
from advisory.plans.enums import CountedFrom, DueBy
from advisory.plans.work.base import Asked, Facts, Reason, WornPlace
from advisory.plans.work.found import bad_figures, brought_forward
from advisory.register.enums import PositionKind, Season, WorkKind

KM = 1000.0


@dataclass(frozen=True)
class Interval:
    """Distance (m) and months, whichever comes first; `first` is the distance after a rebuild."""

    distance: float | None
    months: int
    first: float | None = None


@dataclass(frozen=True)
class SeasonDay:
    """A day of the year by which work wants to be done, as it is in the northern half."""

    month: int
    day: int

    def next_after(self, after: date, facts: Facts) -> date:
        """Return the first such day after another, where the unit is."""
        return next_season(after + facts.season_ahead, self.month, self.day) - facts.season_ahead


INTERVALS = {
    # common practice, no source: with each oil change, and once a year
    WorkKind.FILTER_CHANGE: Interval(None, 12),
    # common practice, no source: unions and chafing yearly; nuts and unions nipped at 300-800 km
    WorkKind.PIPE_CHECK: Interval(5000 * KM, 12, first=500 * KM),
    # common practice, no source: a glance each month, a proper look each season
    WorkKind.SEAL_WEEP: Interval(2000 * KM, 3, first=500 * KM),
    # common practice, no source: yearly, and when running-in is over
    WorkKind.END_FLOAT: Interval(5000 * KM, 12, first=1600 * KM),
    # common practice, no source: bearings are looked at when it is apart, or when wear says so
    WorkKind.CLEARANCES: Interval(None, 60),
}

# common practice, no source: before the first frost, and while frost is to be expected
COOLANT_BY = SeasonDay(10, 15)
FROST_MONTHS = frozenset({10, 11, 12, 1, 2, 3})
FROST_ENDS = SeasonDay(4, 1)
# common practice, no source: most cars of this kind are laid up from late October
LAY_UP_BY = SeasonDay(10, 25)
# common practice, no source: most cars come out again in April
FIRST_RUN_BY = SeasonDay(4, 1)
# common practice, no source: what was done so shortly before the day counts for the season
DONE_AHEAD = timedelta(days=60)
# common practice, no source: oil that young goes into the lay-up as it is
FRESH_FOR_LAY_UP_DAYS = 60
# common practice, no source: the run home from a measuring, and how far readings of one day differ
SAME_MEASURING = 50 * KM
# common practice, no source: a car that is still driven so long after is driven through the winter
LAY_UP_LAPSES_DAYS = 60


def measuring(kind: WorkKind, place: PositionKind, facts: Facts, anchor: Anchor) -> Asked:
    """Return what measuring a place asks for: as usual, or sooner where wear or a finding says so.

    Wear brings it forward, also where the workshop set the interval; it never puts it off. What was
    done since without a value being written down tells nothing of wear: then the usual counts.
    """
    usual = _worn(kind, place, facts, anchor)
    return brought_forward(usual, bad_figures(facts, place), anchor)


def _worn(kind: WorkKind, place: PositionKind, facts: Facts, anchor: Anchor) -> Asked:
    usual = regular(kind, facts, anchor)
    wanted = [one for one in facts.worn.get(place, ()) if not _measured_since(one, anchor)]
    if not wanted or anchor.distance is None:
        return usual
    worn = min(wanted, key=lambda one: (one.look_at, not one.contradicts))
    ahead = max(worn.look_at - anchor.distance, 0.0)
    if usual.limits.distance is not None and usual.limits.distance <= ahead:
        return usual
    why: Reason = {"code": "wear_contradicts", "place": worn.name}
    if not worn.contradicts:
        far = max(worn.look_at - worn.measured_at, 0.0)
        why = {"code": "wear", "place": worn.name, "distance": far}
    return usual._replace(
        limits=usual.limits._replace(distance=ahead),
        by=DueBy.WEAR,
        reasons=(why, *usual.reasons),
    )


def _measured_since(worn: WornPlace, anchor: Anchor) -> bool:
    """Say whether the work was done after its wear asked for it.

    Where figures contradict one another, the measuring that found it is no answer to it.
    """
    if anchor.distance is None:
        return True
    if worn.contradicts:
        return anchor.distance > worn.measured_at + SAME_MEASURING
    return anchor.distance >= worn.look_at


def regular(kind: WorkKind, facts: Facts, anchor: Anchor) -> Asked:
    """Return what work of the table asks for, or what the workshop says instead."""
    if (by_workshop := as_instructed(kind, facts, anchor)) is not None:
        return by_workshop
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


def as_instructed(kind: WorkKind, facts: Facts, anchor: Anchor) -> Asked | None:
    """Return what the workshop's instruction asks for; None where it says no interval."""
    instruction = facts.instructions.get(kind)
    if instruction is None or not instruction.sets_interval:
        return None
    limits = Limits(
        distance=instruction.distance,
        running_time=instruction.running_time,
        months=instruction.months,
    )
    reasons = [instructed(facts, kind)]
    if instruction.season is not None:
        day, why = season_day(instruction.season, facts, anchor)
        limits = limits._replace(on=day)
        reasons.append(why)
    return Asked(
        limits,
        DueBy.WORKSHOP,
        tuple(reasons),
        before_first_run=instruction.season == Season.BEFORE_FIRST_RUN,
    )


def season_day(season: Season, facts: Facts, anchor: Anchor) -> tuple[date, Reason]:
    """Return the next day of a season after the work was last done, and why that day."""
    if season == Season.AT_LAY_UP:
        return lay_up_day(facts, anchor, DONE_AHEAD)
    after = _after(anchor, DONE_AHEAD)
    if season == Season.BEFORE_FIRST_RUN:
        back = facts.back_on
        if back is not None and back > after:
            return back, {"code": "before_first_run_announced", "on": back.isoformat()}
        day = FIRST_RUN_BY.next_after(after, facts)
        return day, {"code": "before_first_run", "on": day.isoformat()}
    day = COOLANT_BY.next_after(after, facts)
    return day, {"code": "before_frost", "on": day.isoformat()}


def lay_up_day(facts: Facts, anchor: Anchor, done_ahead: timedelta) -> tuple[date, Reason]:
    """Return the day of the next lay-up that is not covered yet, and why that day.

    What was done no longer than `done_ahead` before a lay-up was done for it.
    """
    after = _after(anchor, done_ahead)
    fresh = after > anchor.date
    if facts.lay_up is not None and not (fresh and facts.lay_up <= after):
        code = "lay_up_began" if facts.laid_up else "lay_up_announced"
        return facts.lay_up, {"code": code, "on": facts.lay_up.isoformat()}
    habit = facts.laid_up_last
    if habit is None:
        usual = LAY_UP_BY.next_after(after, facts)
    else:
        usual = next_season(after, habit.month, min(habit.day, 28))
    code = "lay_up_season" if habit is None else "lay_up_habit"
    return usual, {"code": code, "on": usual.isoformat()}


def _after(anchor: Anchor, done_ahead: timedelta) -> date:
    """Return the day up to which a season is covered by what was done."""
    fresh = anchor.counted_from in {CountedFrom.DONE, CountedFrom.BUILD}
    return anchor.date + done_ahead if fresh else anchor.date


def instructed(facts: Facts, kind: WorkKind) -> Reason:
    """Return the reason that the workshop says so."""
    instruction = facts.instructions[kind]
    return {
        "code": "instruction",
        "workshop": instruction.workshop,
        "distance": instruction.distance,
        "running_time": instruction.running_time,
        "hours_counted": facts.counts_hours,
        "months": instruction.months,
        "season": instruction.season,
        "text": instruction.text,
        "needs": instruction.needs,
    }


def said(facts: Facts, kind: WorkKind) -> tuple[Reason, ...]:
    """Return the workshop's words on this work where it sets no interval."""
    return (instructed(facts, kind),) if kind in facts.instructions else ()
