"""Reckoning all plans: parts of a run that any number of workers take, each part whole or not.

A part is taken under a row lock and done in the same transaction: a worker that is killed gives it
back by itself, two at once never have the same, and whoever begins again goes on where it stopped.
"""

import gc
import logging
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import timedelta
from itertools import islice

from django.db import Error, IntegrityError, connection, transaction
from django.utils import timezone

from advisory.plans.actions.refresh import refresh_chunk
from advisory.plans.models import PlanRun, PlanRunPart
from advisory.register.models import Unit

logger = logging.getLogger(__name__)

UNITS_A_PART = 1000
# What was left undone for so long is begun anew: it belongs to another day.
LEFT_AFTER = timedelta(hours=6)
RUNS_KEPT = 30


def open_run(*, anew: bool = False) -> PlanRun:
    """Return the run that is under way, or begin one over all units; `anew`: begin one anyhow."""
    for _attempt in range(2):
        standing = PlanRun.objects.filter(under_way=True).first()
        old = standing is not None and standing.began_at < timezone.now() - LEFT_AFTER
        if standing is not None and not (anew or old):
            return standing
        try:
            return _begin_run(instead_of=standing)
        except IntegrityError:
            anew = False  # somebody was quicker: join that
    return PlanRun.objects.get(under_way=True)


@transaction.atomic
def _begin_run(*, instead_of: PlanRun | None) -> PlanRun:
    if instead_of is not None:
        PlanRun.objects.filter(pk=instead_of.pk).update(under_way=False)
    run = PlanRun.objects.create()
    parts = [
        PlanRunPart(run=run, number=number, first_unit=keys[0], last_unit=keys[-1])
        for number, keys in enumerate(_in_parts(), start=1)
    ]
    PlanRunPart.objects.bulk_create(parts)
    run.units = Unit.objects.count()
    run.save(update_fields=["units"])
    kept = PlanRun.objects.order_by("-pk").values("pk")[:RUNS_KEPT]
    PlanRun.objects.exclude(pk__in=list(kept.values_list("pk", flat=True))).delete()
    return run


def _in_parts() -> Iterator[list[int]]:
    keys = Unit.objects.order_by("pk").values_list("pk", flat=True).iterator()
    while part := list(islice(keys, UNITS_A_PART)):
        yield part


def work_on(run: PlanRun, *, told: Callable[[PlanRunPart], None] = lambda _part: None) -> int:
    """Do parts of a run until all are done, by this worker or by others.

    Returned is how many plans had changed of those that this one reckoned.
    """
    moved = 0
    with _tidied_by_hand() as tidy:
        while (part := do_part(run)) is not None:
            moved += part.moved
            told(part)
            tidy()
        # what others have in hand is theirs, unless they die over it
        while _is_under_way(run):
            if (part := do_part(run, waiting=True)) is not None:
                moved += part.moved
                told(part)
    return moved


@transaction.atomic
def do_part(run: PlanRun, *, waiting: bool = False) -> PlanRunPart | None:
    """Take a part of a run and do it; return it, or None where there is none to do.

    Those that others have in hand are passed over, or with `waiting` waited for.
    """
    left = PlanRunPart.objects.filter(run=run, done_at=None, run__under_way=True)
    if connection.features.has_select_for_update_skip_locked:
        left = left.select_for_update(of=("self",), skip_locked=not waiting)
    part = left.order_by("number").first()
    if part is None:
        return None
    keys = Unit.objects.filter(pk__range=(part.first_unit, part.last_unit)).order_by("pk")
    part.moved, part.failed = _reckon(list(keys.values_list("pk", flat=True)))
    part.done_at = timezone.now()
    part.save(update_fields=["moved", "failed", "done_at"])
    return part


def _reckon(keys: Sequence[int]) -> tuple[int, int]:
    """Reckon the plans of these units; one that can't be must not keep the others from theirs.

    Return how many had changed, and how many could not be reckoned; the log says which and why.
    """
    try:
        with transaction.atomic():
            return refresh_chunk(keys), 0
    except Error:
        raise  # the database's fault, not a unit's
    except Exception:
        if len(keys) == 1:
            logger.exception("The plan of unit %s can't be reckoned and stays as it was.", keys[0])
            return 0, 1
    half = len(keys) // 2
    first, second = _reckon(keys[:half]), _reckon(keys[half:])
    return first[0] + second[0], first[1] + second[1]


def _is_under_way(run: PlanRun) -> bool:
    """Say whether something of a run is left to do; where nothing is, note its end."""
    if PlanRunPart.objects.filter(run=run, done_at=None).exists():
        return PlanRun.objects.filter(pk=run.pk, under_way=True).exists()
    ended = PlanRun.objects.filter(pk=run.pk, under_way=True)
    ended.update(under_way=False, ended_at=timezone.now())
    return False


@contextmanager
def _tidied_by_hand() -> Iterator[Callable[[], object]]:
    """Keep Python from looking for lost cycles in the middle of a part: a third of the time.

    What is returned looks for those that a part leaves behind, and is called after each.
    """
    was_on = gc.isenabled()
    gc.collect()
    gc.freeze()
    gc.disable()
    try:
        yield gc.collect
    finally:
        gc.unfreeze()
        if was_on:
            gc.enable()
