"""One item of one unit's plan: its cycle, what it is counted from, when it is due, how near.

Rows in, rows out, nothing saved. What is reckoned anew from the same rows comes out the same.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from operator import attrgetter
from typing import NamedTuple

from django.utils import timezone

from advisory.common.bare_rows import new_row
from advisory.plans.computation import (
    Anchor,
    Due,
    Standing,
    due_of,
    first_day,
    is_reached,
    state_of,
    was_in_time,
)
from advisory.plans.days import days_that_matter, next_of
from advisory.plans.enums import CountedFrom, DueState
from advisory.plans.gathering import Known
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.spread import Spread, spread_of
from advisory.plans.work import WORKS, Asked, Facts, Reason, Work
from advisory.usage.use import dates_reached_of, look_ahead

SECONDS_AN_HOUR = 3600.0
RECKONED = (
    "cycle",
    "in_force",
    "counted_from",
    "anchor_date",
    "anchor_distance",
    "due_distance",
    "due_hours",
    "due_date",
    "forecast_date",
    "forecast_first",
    "forecast_last",
    "asks_for_reading",
    "limited_by",
    "state",
    "reasons",
)
_values = attrgetter(*RECKONED)


@dataclass
class Outcome:
    """Items to add and to write anew, and work that was found done.

    `dated` are those in which nothing moved but the day on which they read differently by itself.
    """

    new: list[PlanItem] = field(default_factory=list)
    changed: list[PlanItem] = field(default_factory=list)
    dated: list[PlanItem] = field(default_factory=list)
    done: list[WorkDone] = field(default_factory=list)


class _Counted(NamedTuple):
    """An item whose cycle stands, and the day that it is counted from."""

    item: PlanItem
    known: Known
    work: Work
    facts: Facts
    before: tuple[object, ...] | None


class _Open(NamedTuple):
    """An item on its way: its anchor stands, its forecast and its state are still to come."""

    item: PlanItem
    known: Known
    work: Work
    facts: Facts
    before: tuple[object, ...] | None
    changed_on: date | None
    asked: Asked
    anchor: Anchor
    due: Due
    # the distance since the anchor is not known whole, and too far already
    passed_anyhow: bool


def reckon(known: Known) -> Outcome:
    """Reckon the whole plan of a unit."""
    return reckon_many([known])[0]


def reckon_many(knowns: Sequence[Known]) -> list[Outcome]:
    """Reckon the plans of many units, in their order; their forecasts all together."""
    outcomes = [Outcome() for _known in knowns]
    look_ahead((known.use, known.days_done, known.today) for known in knowns)
    counted = [_count(known, outcome) for known, outcome in zip(knowns, outcomes, strict=True)]
    look_ahead(
        (known.use, {one.item.anchor_date for one in those}, known.today)
        for known, those in zip(knowns, counted, strict=True)
    )
    begun = [[_open(one) for one in those] for those in counted]
    by_distance = [one for those in begun for one in those if one.due.distance is not None]
    forecasts = dates_reached_of(
        [(one.known.use, one.due.distance or 0.0, one.known.today) for one in by_distance]
    )
    told = {id(one): dates for one, dates in zip(by_distance, forecasts, strict=True)}
    for those, outcome in zip(begun, outcomes, strict=True):
        for one in those:
            _finish(one, spread_of(one.due, told.get(id(one))))
            if one.before is None:
                outcome.new.append(one.item)
            elif _values(one.item) != one.before:
                outcome.changed.append(one.item)
            elif one.item.changes_on != one.changed_on:
                outcome.dated.append(one.item)
    return outcomes


def _count(known: Known, outcome: Outcome) -> list[_Counted]:
    """Find the cycle of each kind of work, and the day that it is counted from."""
    facts = known.facts
    counted = []
    for kind, work in WORKS.items():
        item = known.items.get(kind)
        if not work.applies(facts):
            if item is not None and item.in_force:
                item.in_force, item.state = False, DueState.RESTING
                item.asks_for_reading, item.changes_on = False, None
                outcome.changed.append(item)
            continue
        before = None if item is None else _values(item)
        if item is None:
            item = _new_item(known, work)
        closed = _close(item, known, work, facts)
        outcome.done += closed
        _move_anchor(item, known, work, facts, closed)
        counted.append(_Counted(item, known, work, facts, before))
    return counted


def _open(counted: _Counted) -> _Open:
    """Find what the work asks for from that day on, and when it is due."""
    item, known, work = counted.item, counted.known, counted.work
    anchor = _anchor(item, known)
    asked = work.asks(counted.facts, anchor)
    at_latest = known.passed_anyhow(asked.limits, anchor)
    if at_latest is not None:
        anchor = anchor._replace(distance=at_latest)
    due = _due(asked, anchor, known, work)
    return _Open(*counted, item.changes_on, asked, anchor, due, at_latest is not None)


def _due(asked: Asked, anchor: Anchor, known: Known, work: Work) -> Due:
    limits = asked.limits
    return due_of(
        limits,
        anchor,
        known.spells if work.rests_laid_up else (),
        ran_out_at=known.ran_out_at(limits.running_time, anchor),
    )


def _new_item(known: Known, work: Work) -> PlanItem:
    done = known.done.get(work.kind)
    anchor = _built(known, work) or Anchor(known.start, None, CountedFrom.START)
    if done is not None and (anchor.counted_from == CountedFrom.START or done.date >= anchor.date):
        anchor = Anchor(done.date, None, CountedFrom.DONE)
    item = new_row(
        PlanItem,
        unit_id=known.unit.pk,
        work=work.kind,
        cycle=1 if done is None else done.cycle + 1,
        anchor_date=anchor.date,
        counted_from=anchor.counted_from,
    )
    item.unit = known.unit
    return item


def _built(known: Known, work: Work) -> Anchor | None:
    if known.built_on is None or not work.renewed_by_build:
        return None
    return Anchor(known.built_on, None, CountedFrom.BUILD)


def _anchor(item: PlanItem, known: Known) -> Anchor:
    """Return what the item is counted from, with the distance as it is known by now.

    What was done after the last reading is counted from where the unit is thought to have been:
    from that reading on, the work would be due again before it was done.
    """
    return Anchor(
        item.anchor_date, known.expected_at(item.anchor_date), CountedFrom(item.counted_from)
    )


def _close(item: PlanItem, known: Known, work: Work, facts: Facts) -> list[WorkDone]:
    """Take oil services that nothing stands for yet as this work done, one cycle each."""
    closed = []
    told = item.pk is not None
    for service in known.open_services.get(work.kind, []):
        if _is_before(service.date, item):
            continue
        if told:  # what the plan had said to the owner
            due = Due(item.due_distance, item.due_date, _interval_of(item))
        else:
            anchor = _anchor(item, known)
            due = _due(work.asks(facts, anchor), anchor, known, work)
        told = False
        closed.append(
            work_done(
                item,
                due,
                day=service.date,
                shown=service.shown,
                distance=known.distance_at(service.date, service.shown),
                at=known.now,
                by_id=service.entered_by_id,
                service_id=service.pk,
            )
        )
        item.cycle += 1
        item.anchor_date, item.counted_from = service.date, CountedFrom.DONE
    return closed


def _is_before(day: date, item: PlanItem) -> bool:
    """Say whether what was done on a day is older than what the item is counted from."""
    if item.counted_from == CountedFrom.START:
        return False
    if item.counted_from == CountedFrom.BUILD:
        return day < item.anchor_date
    return day <= item.anchor_date


def _interval_of(item: PlanItem) -> float | None:
    if item.due_distance is None or item.anchor_distance is None:
        return None
    return item.due_distance - item.anchor_distance


def work_done(
    item: PlanItem,
    due: Due,
    *,
    day: date,
    shown: int | None,
    distance: float | None,
    by_id: int | None,
    service_id: int | None = None,
    note: str = "",
    at: datetime | None = None,
) -> WorkDone:
    """Return the row that says this cycle's work was done, held against what the plan had said."""
    # what was done before the unit came into the register no plan had asked for
    asked = item.counted_from != CountedFrom.START or day >= item.anchor_date
    return new_row(
        WorkDone,
        unit_id=item.unit_id,
        work=item.work,
        cycle=item.cycle,
        date=day,
        shown=shown,
        distance=distance,
        was_due_on=due.date if asked else None,
        was_due_distance=due.distance if asked else None,
        in_time=was_in_time(due, day, distance) if asked else None,
        note=note,
        by_id=by_id,
        service_id=service_id,
        created_at=at or timezone.now(),
    )


def _move_anchor(
    item: PlanItem, known: Known, work: Work, facts: Facts, closed: Sequence[WorkDone]
) -> None:
    """Count from the latest day on which the work was done or became needless.

    The cycle ends where that moves forward: what was said of the old one is said.
    """
    latest = _latest(known, work, facts, closed)
    was = Anchor(item.anchor_date, None, CountedFrom(item.counted_from))
    moved_on = latest.counted_from != CountedFrom.START and (
        was.counted_from == CountedFrom.START or latest.date > was.date
    )
    done = known.done.get(work.kind)
    if done is not None and done.cycle >= item.cycle:
        item.cycle = done.cycle + 1
    elif moved_on:
        item.cycle += 1
    item.anchor_date, item.counted_from = latest.date, latest.counted_from


def _latest(known: Known, work: Work, facts: Facts, closed: Sequence[WorkDone]) -> Anchor:
    days = [row.date for row in closed]
    if work.kind in known.done:
        days.append(known.done[work.kind].date)
    done = max((*days, *_renewals(known, work)), default=None)
    latest = _built(known, work)
    if done is not None and (latest is None or done >= latest.date):
        latest = Anchor(done, None, CountedFrom.DONE)
    elif latest is None:
        latest = Anchor(known.start, None, CountedFrom.START)
    return _after_lapse(latest, known, work, facts)


def _after_lapse(anchor: Anchor, known: Known, work: Work, facts: Facts) -> Anchor:
    """Let seasons that were missed lie: the one to come counts."""
    while work.lapses is not None and not facts.laid_up:
        due = work.asks(facts, anchor).limits.on
        if due is None or (lapsed := work.lapses(due, facts)) > known.today:
            break
        anchor = Anchor(lapsed, None, CountedFrom.SEASON)
    return anchor


def _renewals(known: Known, work: Work) -> Iterable[date]:
    """Return the days on which other work did this work as well."""
    for kind in work.renewed_by:
        if kind in known.done:
            yield known.done[kind].date
    if work.renewed_by_oil_change and known.oil.last_change is not None:
        yield known.oil.last_change.date


def _finish(one: _Open, spread: Spread) -> None:
    """Say when it is expected, how sure that is, and how near it stands."""
    item, known, work, facts, due = one.item, one.known, one.work, one.facts, one.due
    expected = first_day(due, spread.middle)
    rests = work.rests_laid_up and not one.asked.before_first_run
    still = (rests and facts.laid_up) or (work.needs_car and not facts.in_car)
    new_cycle = item.pk is None or item.state == DueState.RESTING
    standing = Standing(known.today, known.use.distance(), still)
    state = state_of(
        due,
        expected,
        standing,
        lead=work.lead,
        before=None if new_cycle else _said_in_this_cycle(item, known, work),
    )
    asks = state != DueState.RESTING and spread.asks_for_reading(due, standing, work.lead)
    if asks and state == DueState.DUE and not is_reached(due, standing):
        state = DueState.NEAR  # nobody can say that it is due: a reading will
    item.state, item.asks_for_reading = state, asks
    item.in_force = True
    item.anchor_distance = one.anchor.distance
    item.due_distance, item.due_date = due.distance, due.date
    item.due_hours = _running_time(one)
    item.forecast_date = expected
    item.forecast_first, item.forecast_last = spread.first, spread.last
    item.limited_by = one.asked.by
    item.reasons = [*one.asked.reasons, *_of_today(one, spread.middle)]
    # by the day that the calendar sets, before the car's standing still moved it
    season = one.asked.limits.on
    lapses = None if season is None or work.lapses is None else work.lapses(season, facts)
    days = days_that_matter(due, expected, spread, work, lapses)
    item.changes_on = next_of((*days, *known.days_that_matter), known.today)


def _running_time(one: _Open) -> float | None:
    """Return the running hours from one time to the next: as set, or as its distance comes to."""
    limits = one.asked.limits
    running = limits.running_time or limits.goes_with_distance
    if limits.running_time and limits.distance:
        running = min(limits.running_time, limits.distance / one.known.mean_speed)
    return running / SECONDS_AN_HOUR if running else None


def _said_in_this_cycle(item: PlanItem, known: Known, work: Work) -> DueState | None:
    """Return the state as last reckoned, unless another cycle has begun since."""
    row = known.items.get(work.kind)
    if row is None or known.cycles_read.get(work.kind) != item.cycle:
        return None
    return DueState(item.state)


def _of_today(one: _Open, forecast: date | None) -> Sequence[Reason]:
    """Return what must be said besides: what rests, what is only reckoned, what was moved."""
    item, known, facts, due = one.item, one.known, one.facts, one.due
    said: list[Reason] = []
    if one.work.needs_car and not facts.in_car:
        said.append({"code": "rests_in_no_car"})
    elif one.work.rests_laid_up and facts.laid_up and not one.asked.before_first_run:
        said.append({"code": "rests_laid_up"})
    now = known.use.distance()
    if one.asked.limits.counts_distance and due.distance is None and facts.in_car:
        said.append({"code": "no_reading" if now is None else "distance_not_known"})
    if one.passed_anyhow:
        said.append({"code": "passed_anyhow"})
    if known.spells and due_of(one.asked.limits, one.anchor).date != due.date:
        said.append({"code": "moved_by_standing"})
    reached = due.distance is not None and now is not None and now >= due.distance
    if item.asks_for_reading:
        said.append({"code": "asks_for_reading"})
    elif item.state == DueState.DUE and not reached and forecast is not None:
        by_day = due.date is not None and due.date <= known.today
        if not by_day and forecast <= known.today:
            said.append({"code": "by_forecast"})
    return said
