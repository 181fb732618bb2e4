"""What was measured of wear since units were built, each at its distance; rows in, figures out."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import QuerySet

from advisory.engineering.wear import USUAL_UNCERTAINTY, Measured
from advisory.findings.models import Finding
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
) -> Points:
    """Return what was measured by unit and place, each at the distance since it was built.

    Constant in queries: builds, their figures, those of the findings that are passed.
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
    rows = findings.filter(unit__in=units, position__in=list(wanted), value__gt=0)
    for finding in rows.order_by("seen_on", "pk"):
        since = builds.get(finding.unit_id)
        if since is None or finding.position_id is None or finding.value is None:
            continue
        if finding.seen_on < since.built_on or wanted[finding.position_id] != finding.quantity:
            continue
        metres = uses[finding.unit_id].since(since.built_on, until=finding.seen_on)
        if metres is not None:
            found[finding.unit_id][finding.position_id].append(
                Point(finding.seen_on, metres, finding.value, USUAL_UNCERTAINTY)
            )
    return found


def measured(points: Sequence[Point]) -> Measured:
    """Return measurements as engineering wants them."""
    return Measured(
        distance=np.array([point.metres for point in points]),
        value=np.array([point.value for point in points]),
        uncertainty=np.array([point.uncertainty for point in points]),
    )
