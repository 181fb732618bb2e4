"""Reckoning plans anew: for one unit at once when something changed, for all of them at night.

It may be killed at any point, run twice at once, or begun again: rows of a unit are locked while
its plan is reckoned, a chunk is written whole or not at all, and what is reckoned twice from the
same rows changes nothing.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import partial
from itertools import islice

from django.db import transaction
from django.utils import timezone

from advisory.common import audit
from advisory.common.keys import among
from advisory.common.many_rows import write_rows, write_rows_anew
from advisory.common.together import FEW
from advisory.lubrication.advice import keep_advice
from advisory.plans.actions.wear_marks import mark_wear
from advisory.plans.gathering import gather
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.reckoning import RECKONED, Outcome, reckon_many
from advisory.plans.signals import plan_refreshed
from advisory.register.models import Unit

CHUNK = 200
# Units whose plans wait to be reckoned at the end of `together`; None outside of it.
_held: ContextVar[set[int] | None] = ContextVar("plans_held", default=None)


@contextmanager
def together(*, reckoned: Iterable[int] = ()) -> Iterator[None]:
    """Reckon once, at the end, the plans that several changes move, instead of after each.

    Wrap it around the transaction. `reckoned` are units whose plans were reckoned inside it.
    """
    if _held.get() is not None:
        yield
        return
    held: set[int] = set()
    token = _held.set(held)
    try:
        yield
    finally:
        _held.reset(token)
        refresh_plans(units=held.difference(reckoned), after_a_change=True)


def refresh_soon(units: Iterable[int]) -> None:
    """Reckon the plans of these units once what is being written stands."""
    held = _held.get()
    if held is not None:
        held.update(units)
        return
    keys = list(units)

    def refresh() -> None:
        refresh_plans(units=keys, after_a_change=True)

    transaction.on_commit(refresh, robust=True)


def refresh_plan(*, unit: Unit) -> None:
    """Reckon one unit's plan anew."""
    refresh_plans(units=[unit.pk])


def refresh_plans(*, units: Iterable[int], after_a_change: bool = False) -> int:
    """Reckon the plans of the units with these keys anew; return how many had changed.

    After a change that somebody made (a reading put in late, say) the trail keeps which due days it
    moved, and from when to when; by itself a forecast moves every day, and nobody wants to know.
    """
    moved = 0
    for chunk in _chunks(units):
        with transaction.atomic():
            if after_a_change:
                mark_wear(units=chunk)
            moved += refresh_chunk(chunk, after_a_change)
    return moved


def _chunks(keys: Iterable[int]) -> Iterator[list[int]]:
    ordered = iter(sorted(set(keys)))
    while chunk := list(islice(ordered, CHUNK)):
        yield chunk


@transaction.atomic
def refresh_chunk(keys: Sequence[int], after_a_change: bool = False) -> int:
    """Reckon the plans of some units together, all or none; return how many had changed."""
    locked = Unit.objects.select_for_update(of=("self",), no_key=True).order_by("pk")
    beside = ("design__workshop", "owner")
    # units of a fleet share designs, and owners have several
    with_those = locked.prefetch_related if len(keys) > FEW else locked.select_related
    units = list(with_those(*beside).filter(pk__in=among(keys)))
    known = gather(units)
    before = {one.unit.pk: _days_of(one.items.values()) for one in known}
    outcomes = reckon_many(known)
    write(outcomes)
    if after_a_change:
        for one, outcome in zip(known, outcomes, strict=True):
            _keep_moved_days(one.unit, before[one.unit.pk], _days_of(outcome.changed))
    keep_advice({one.unit.pk: one.advice for one in known})
    moved = [
        one.unit
        for one, outcome in zip(known, outcomes, strict=True)
        if outcome.new or outcome.changed or outcome.done
    ]
    for unit in moved:
        transaction.on_commit(partial(plan_refreshed.send, sender=PlanItem, unit=unit))
    return len(moved)


def _days_of(items: Iterable[PlanItem]) -> dict[str, str | None]:
    """Return when work is expected, as far as it is in force."""
    return {
        item.work: None if item.forecast_date is None else item.forecast_date.isoformat()
        for item in items
        if item.in_force
    }


def _keep_moved_days(
    unit: Unit, before: dict[str, str | None], after: dict[str, str | None]
) -> None:
    moved = {
        work: [before[work], day] for work, day in after.items() if before.get(work, day) != day
    }
    if moved:
        audit.record("move_due_days", unit, by=None, moved=moved)


def write(outcomes: Sequence[Outcome]) -> None:
    """Write what was reckoned."""
    now = timezone.now()
    new = [item for outcome in outcomes for item in outcome.new]
    changed = [item for outcome in outcomes for item in outcome.changed]
    dated = [item for outcome in outcomes for item in outcome.dated]
    for item in (*new, *changed):
        item.updated_at = now
    write_rows(PlanItem, new, leave_those_there=True)
    write_rows_anew(PlanItem, changed, [*RECKONED, "changes_on", "updated_at"])
    write_rows_anew(PlanItem, dated, ["changes_on"])
    done = [row for outcome in outcomes for row in outcome.done]
    write_rows(WorkDone, done, leave_those_there=True)
