"""Saying how far a unit may run until it is measured again, whenever something was measured."""

from collections.abc import Collection, Iterable, Sequence

from django.db import transaction
from django.db.models import Q

from advisory.engineering.wear import contradiction_in, next_measuring
from advisory.findings.models import Finding, MeasuredValue
from advisory.findings.queries import Found
from advisory.plans.models import WearMark
from advisory.plans.wear_points import FEWEST_POINTS, Point, last_of, measured, places, points_of
from advisory.register.models import Position, Unit
from advisory.register.queries import as_built_of
from advisory.usage.queries import unit_uses_of
from advisory.usage.use import UnitUse


@transaction.atomic
def mark_wear(*, units: Iterable[int]) -> None:
    """Reckon anew, from each unit's own measurements, where its places are to be measured next.

    What the owner has told nobody else counts only where there is no workshop that would read it
    out of the plan.
    """
    wanted = set(units)
    found = _found(wanted)
    measured_on = {row.unit_id for row in found.findings}
    measured_on |= {row.measuring.unit_id for row in found.values}
    # what was built and not measured since has worn as far as anybody knows: not at all
    rows = list(Unit.objects.filter(pk__in=measured_on).order_by("pk")) if measured_on else []
    positions = places(rows) if rows else []
    uses = unit_uses_of(rows) if positions else {}
    points = points_of(as_built_of(rows), uses, positions, found) if positions else {}
    marks = [
        mark
        for unit in rows
        for position in positions
        if position.design_id == unit.design_id
        and len(points[unit.pk][position.pk]) >= FEWEST_POINTS
        and (mark := _mark(unit, position, points[unit.pk][position.pk], uses[unit.pk])) is not None
    ]
    WearMark.objects.filter(unit__in=wanted).delete()
    WearMark.objects.bulk_create(marks)


def _found(units: Collection[int]) -> Found:
    measured = {"position__isnull": False, "value__gt": 0}
    told = Finding.objects.filter(Q(sent_at__isnull=False) | Q(unit__workshop=None), **measured)
    values = MeasuredValue.objects.filter(finding=None, value__gt=0).select_related("measuring")
    return Found(
        tuple(told.filter(unit__in=units).order_by("pk")),
        tuple(values.filter(measuring__unit__in=units).order_by("pk")),
    )


def _mark(unit: Unit, position: Position, points: Sequence[Point], use: UnitUse) -> WearMark | None:
    """Return where a place is to be measured next; None where wear doesn't set it."""
    last = last_of(points)
    now, since = use.distance(), use.since(last.day)
    if now is None or since is None:
        return None
    told = measured(points)
    ahead = next_measuring(told, float(position.wear_limit or 0.0))
    if ahead is None:
        return None
    measured_at = now - since
    return WearMark(
        unit=unit,
        position=position,
        measured_at=measured_at,
        look_at=measured_at + ahead,
        contradicts=not ahead and contradiction_in(told) is not None,
    )
