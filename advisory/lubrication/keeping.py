"""Keeping what was said: one row for each change of an advice, with what moved it."""

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max, QuerySet
from django.utils import timezone

from advisory.common.bare_rows import new_row
from advisory.common.keys import among
from advisory.common.many_rows import write_rows
from advisory.lubrication.models import OilAdvice
from advisory.lubrication.sameness import Compute, Record, moved_by, says_the_same
from advisory.register.models import Unit

Place = tuple[int, bool]
Unsaid = tuple["Told", str]


@dataclass(frozen=True)
class Told:
    """An advice as it is told: its inputs and its result are plain values, as JSON has them.

    `owner_alone`: it rests on what the owner has told nobody else.
    """

    unit_id: int
    inputs: Record
    result: Record
    owner_alone: bool = False

    @property
    def place(self) -> Place:
        """Where it stands in the history: what the owner alone is told has its own."""
        return self.unit_id, self.owner_alone


@dataclass(frozen=True)
class AdviceMethod:
    """A method whose advice is kept.

    `record` makes of an advice's inputs and result what is named when it moves, and `compute`
    makes of such records what the method as it stands says.
    """

    name: str
    version: str
    record: Callable[[Record, Record], Record]
    compute: Compute

    def digest(self, result: Record) -> str:
        """Tell one advice from another: over method, its version and the result."""
        said = json.dumps([self.name, self.version, result], sort_keys=True, default=str)
        return hashlib.sha256(said.encode()).hexdigest()


def keep(method: AdviceMethod, tellings: Sequence[Told]) -> int:
    """Keep what says something else than what was said last, and say how many that was.

    Inputs that moved nothing make no new row.
    """
    told = [(one, method.digest(one.result)) for one in tellings]
    if not _unsaid(method, told):
        return 0
    with transaction.atomic():
        # two that show the same page at once keep it once
        keys = {one.unit_id for one in tellings}
        units = Unit.objects.select_for_update(of=("self",), no_key=True)
        list(units.filter(pk__in=among(keys)).order_by("pk").values_list("pk"))
        rows = _new_rows(method, _unsaid(method, told))
        write_rows(OilAdvice, rows)
    return len(rows)


def latest(method: str, unit_ids: Iterable[int]) -> QuerySet[OilAdvice]:
    """Return what was kept last for each unit, for all and for its owner alone."""
    newest = (
        OilAdvice.objects.filter(unit__in=among(set(unit_ids)), method=method)
        .order_by()
        .values("unit_id", "owner_alone")
        .annotate(newest=Max("pk"))
        .values("newest")
    )
    return OilAdvice.objects.filter(pk__in=newest)


def _unsaid(method: AdviceMethod, told: Sequence[Unsaid]) -> list[Unsaid]:
    """Return what reads otherwise, to the letter, than what was kept last; with its digest."""
    last = latest(method.name, {one.unit_id for one, _digest in told})
    said = {
        (unit_id, alone): digest
        for unit_id, alone, digest in last.values_list("unit_id", "owner_alone", "digest")
    }
    return [(one, digest) for one, digest in told if said.get(one.place) != digest]


def _new_rows(method: AdviceMethod, unsaid: Sequence[Unsaid]) -> list[OilAdvice]:
    """Return the rows to keep of what reads otherwise: those that say something else."""
    last = latest(method.name, {one.unit_id for one, _digest in unsaid})
    before = {(row.unit_id, row.owner_alone): row for row in last}
    now = timezone.now()
    rows = (_row(method, one, digest, before, now) for one, digest in unsaid)
    return [row for row in rows if row is not None]


def _row(
    method: AdviceMethod,
    told: Told,
    digest: str,
    said: Mapping[Place, OilAdvice],
    now: datetime,
) -> OilAdvice | None:
    before = said.get(told.place)
    # the first that only the owner is told came from what all were told
    came_from = before or said.get((told.unit_id, False))
    moved: list[dict[str, Any]] = []
    if came_from is not None:
        inputs, result = as_kept(told.inputs), as_kept(told.result)
        if (
            before is not None
            and before.method_version == method.version
            and says_the_same(before.result, result)
        ):
            return None
        moved = moved_by(
            method.record(came_from.inputs, came_from.result),
            method.record(inputs, result),
            said_before=came_from.result,
            versions=(came_from.method_version, method.version),
            compute=method.compute,
        )
    return new_row(
        OilAdvice,
        unit_id=told.unit_id,
        computed_at=now,
        method=method.name,
        method_version=method.version,
        inputs=told.inputs,
        result=told.result,
        digest=digest,
        owner_alone=told.owner_alone,
        moved_by=moved,
    )


def as_kept(values: Record) -> Any:
    """Return values as they come back from the database: lists for tuples."""
    return json.loads(json.dumps(values))
