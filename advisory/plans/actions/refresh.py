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

from advisory.lubrication.advice import keep_advice
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
        refresh_plans(units=held.difference(reckoned))


def refresh_soon(units: Iterable[int]) -> None:
    """Reckon the plans of these units once what is being written stands."""
    held = _held.get()
    if held is not None:
        held.update(units)
        return
    keys = list(units)

    def refresh() -> None:
        refresh_plans(units=keys)

    transaction.on_commit(refresh, robust=True)


def refresh_plan(*, unit: Unit) -> None:
    """Reckon one unit's plan anew."""
    refresh_plans(units=[unit.pk])


def refresh_plans(*, units: Iterable[int]) -> int:
    """Reckon the plans of the units with these keys anew; return how many had changed."""
    return sum(_refresh_chunk(chunk) for chunk in _chunks(units))


def _chunks(keys: Iterable[int]) -> Iterator[list[int]]:
    ordered = iter(sorted(set(keys)))
    while chunk := list(islice(ordered, CHUNK)):
        yield chunk


@transaction.atomic
def _refresh_chunk(keys: Sequence[int]) -> int:
    units = list(
        Unit.objects.select_for_update(of=("self",), no_key=True)
        .filter(pk__in=keys)
        .select_related("design__workshop", "owner")
        .order_by("pk")
    )
    known = gather(units)
    outcomes = reckon_many(known)
    write(outcomes)
    keep_advice({one.unit.pk: one.advice for one in known})
    moved = [
        one.unit
        for one, outcome in zip(known, outcomes, strict=True)
        if outcome.new or outcome.changed or outcome.done
    ]
    for unit in moved:
        transaction.on_commit(partial(plan_refreshed.send, sender=PlanItem, unit=unit))
    return len(moved)


def write(outcomes: Sequence[Outcome]) -> None:
    """Write what was reckoned."""
    now = timezone.now()
    new = [item for outcome in outcomes for item in outcome.new]
    changed = [item for outcome in outcomes for item in outcome.changed]
    for item in (*new, *changed):
        item.updated_at = now
    PlanItem.everything.bulk_create(new, ignore_conflicts=True)
    PlanItem.everything.bulk_update(changed, [*RECKONED, "updated_at"], batch_size=100)
    WorkDone.objects.bulk_create(
        [row for outcome in outcomes for row in outcome.done], ignore_conflicts=True
    )
