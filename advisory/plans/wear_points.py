"""What was measured of wear since units were built, each at its distance; rows in, figures out."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from advisory.engineering.wear import USUAL_UNCERTAINTY, Measured
from advisory.findings.queries import Found
from advisory.register.enums import QUANTITY_OF, PositionKind
from advisory.register.models import Position, Unit
from advisory.register.queries import AsBuilt
from advisory.usage.use import UnitUse

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


def places_of(record: AsBuilt) -> list[Position]:
    """Return the positions of one unit's record that wear toward a limit, without any query."""
    return [row.position for row in record.measured_rows if (row.position.wear_limit or 0.0) > 0]


def points_of(
    records: Mapping[int, AsBuilt],
    uses: Mapping[int, UnitUse],
    positions: Sequence[Position],
    found: Found,
) -> Points:
    """Return what was measured by unit and place, each at the distance since it was built."""
    wanted = {place.pk: QUANTITY_OF[PositionKind(place.kind)] for place in positions}
    points: Points = defaultdict(lambda: defaultdict(list))
    begun: dict[int, date] = {}
    for pk, record in records.items():
        if record.build is None:
            continue
        begun[pk] = record.build.built_on
        for row in record.figures:
            if wanted.get(row.position_id) == row.quantity and row.value > 0:
                points[pk][row.position_id].append(
                    Point(begun[pk], 0.0, row.value, row.uncertainty or USUAL_UNCERTAINTY)
                )
    for one in _later(found):
        if wanted.get(one.position) != one.quantity:
            continue
        # a unit that no workshop built is followed from when it was measured first
        since = begun.setdefault(one.unit, one.day)
        metres = uses[one.unit].since(since, until=one.day) if one.day >= since else None
        if metres is not None:
            point = Point(one.day, metres, one.value, one.uncertainty or USUAL_UNCERTAINTY)
            points[one.unit][one.position].append(point)
    return points


@dataclass(frozen=True)
class _Later:
    """A size that was measured on a unit that runs."""

    day: date
    unit: int
    position: int
    quantity: str
    value: float
    uncertainty: float | None


def _later(found: Found) -> list[_Later]:
    """Return what was measured in findings and by owners themselves, the oldest first."""
    told = [
        _Later(row.seen_on, row.unit_id, row.position_id, row.quantity, row.value, None)
        for row in found.findings
        if row.position_id is not None and row.value is not None and row.value > 0
    ]
    told += [
        _Later(
            row.measuring.measured_on,
            row.measuring.unit_id,
            row.position_id,
            row.quantity,
            row.value,
            row.uncertainty,
        )
        for row in found.values
    ]
    return sorted(told, key=lambda one: one.day)


def last_of(points: Sequence[Point]) -> Point:
    """Return what was measured last: the farthest on, of one distance the latest."""
    return max(reversed(points), key=lambda point: point.metres)


def measured(points: Sequence[Point]) -> Measured:
    """Return measurements as engineering wants them."""
    return Measured(
        distance=np.array([point.metres for point in points]),
        value=np.array([point.value for point in points]),
        uncertainty=np.array([point.uncertainty for point in points]),
    )
