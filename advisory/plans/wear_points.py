"""What was measured of wear since units were built, each at its distance; rows in, figures out."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import QuerySet

from advisory.engineering.wear import USUAL_UNCERTAINTY, Measured
from advisory.findings.models import Finding, MeasuredValue
from advisory.register.enums import QUANTITY_OF, BuildState, PositionKind
from advisory.register.models import Build, Position, Unit
from advisory.usage.queries import UnitUse

# One measurement tells where it stands, and nothing of how it wears.
FEWEST_POINTS = 2


@dataclass(frozen=True)
class Point:
    """A size (m) measured on a day, at a distance since the build (m), with its uncertainty (m)."""

    day: date
    metres: float
    value: float
    uncertainty: float


Points = dict[int, dict[int, list[Point]]]


def places(units: Sequence[Unit]) -> list[Position]:
    """Return the positions of these units' designs that wear toward a limit."""
    designs = {unit.design_id for unit in units}
    rows = Position.objects.filter(design__in=designs, wear_limit__gt=0, kind__in=QUANTITY_OF)
    return list(rows)


def points_of(
    units: Sequence[Unit],
    uses: Mapping[int, UnitUse],
    positions: Sequence[Position],
    findings: "QuerySet[Finding]",
    values: "QuerySet[MeasuredValue]",
) -> Points:
    """Return what was measured by unit and place, each at the distance since it was built.

    Constant in queries: builds, their figures, and those of the findings and values passed.
    """
    wanted = {place.pk: QUANTITY_OF[PositionKind(place.kind)] for place in positions}
    found: Points = defaultdict(lambda: defaultdict(list))
    builds = {
        build.unit_id: build
        for build in Build.objects.filter(unit__in=units, state=BuildState.SIGNED)
        .prefetch_related("measurements")
        .order_by("unit_id", "built_on", "revision", "pk")
    }
    for pk, build in builds.items():
        for row in build.measurements.all():
            if wanted.get(row.position_id) == row.quantity and row.value > 0:
                found[pk][row.position_id].append(
                    Point(build.built_on, 0.0, row.value, row.uncertainty or USUAL_UNCERTAINTY)
                )
    begun = {pk: build.built_on for pk, build in builds.items()}
    for one in _later(units, wanted, findings, values):
        if wanted[one.position] != one.quantity:
            continue
        # a unit that no workshop built is followed from when it was measured first
        since = begun.setdefault(one.unit, one.day)
        metres = uses[one.unit].since(since, until=one.day) if one.day >= since else None
        if metres is not None:
            point = Point(one.day, metres, one.value, one.uncertainty or USUAL_UNCERTAINTY)
            found[one.unit][one.position].append(point)
    return found


@dataclass(frozen=True)
class _Later:
    """A size that was measured on a unit that runs."""

    day: date
    unit: int
    position: int
    quantity: str
    value: float
    uncertainty: float | None


def _later(
    units: Sequence[Unit],
    places: Iterable[int],
    findings: "QuerySet[Finding]",
    values: "QuerySet[MeasuredValue]",
) -> list[_Later]:
    """Return what was measured in findings and by owners themselves, the oldest first."""
    wanted = {"position__in": list(places), "value__gt": 0}
    told = [
        _Later(day, unit, position, quantity, value, None)
        for day, unit, position, quantity, value in findings.filter(unit__in=units, **wanted)
        .order_by("pk")
        .values_list("seen_on", "unit_id", "position_id", "quantity", "value")
        if position is not None and value is not None
    ]
    told += [
        _Later(*row)
        for row in values.filter(measuring__unit__in=units, finding=None, **wanted)
        .order_by("pk")
        .values_list(
            "measuring__measured_on",
            "measuring__unit_id",
            "position_id",
            "quantity",
            "value",
            "uncertainty",
        )
    ]
    return sorted(told, key=lambda one: one.day)


def measured(points: Sequence[Point]) -> Measured:
    """Return measurements as engineering wants them."""
    return Measured(
        distance=np.array([point.metres for point in points]),
        value=np.array([point.value for point in points]),
        uncertainty=np.array([point.uncertainty for point in points]),
    )
