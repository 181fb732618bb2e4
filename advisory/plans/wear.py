"""Wear of a unit's places that have a limit: what was measured since it was built, what follows."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.common.charts import Chart
from advisory.common.quantities import Preferences
from advisory.engineering.wear import USUAL_UNCERTAINTY, Measured, WearForecast, wear_of
from advisory.findings.models import Finding
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.rules import Permission
from advisory.plans.wear_chart import fan_chart
from advisory.register.enums import QUANTITY_OF, BuildState, PositionKind
from advisory.register.models import Build, Position, Unit
from advisory.usage.queries import UnitUse, unit_uses_of

# What was measured on so many other units of the design says all that they can say.
MOST_ALIKE = 40
FEWEST_POINTS = 2


@dataclass(frozen=True)
class WearShown:
    """The wear of one place: its chart, which says it in words too, and what it rests on."""

    position: Position
    chart: Chart
    rests_on: str

    @property
    def name(self) -> str:
        """What the chart is called on its page."""
        return f"wear-{self.position.pk}"


@dataclass(frozen=True)
class _Point:
    metres: float
    value: float
    uncertainty: float


_Points = dict[int, dict[int, list[_Point]]]


def wear_of_unit(unit: Unit, use: UnitUse, by: Person) -> list[WearShown]:
    """Return the wear of each place of a unit that has a limit and was measured twice at least.

    Other units of the design are counted in as far as this reader's own workshop built them and
    the reader may see what was measured on them; none is named.
    """
    positions = list(
        Position.objects.filter(design=unit.design_id, wear_limit__gt=0, kind__in=QUANTITY_OF)
    )
    if not positions:
        return []
    points = _points([unit], {unit.pk: use}, positions, by)
    worn = [place for place in positions if len(points[unit.pk][place.pk]) >= FEWEST_POINTS]
    if not worn:
        return []
    others = _points_of_others(unit, worn, by)
    prefs = preferences_of(by)
    return [_shown(place, points[unit.pk][place.pk], others, prefs) for place in worn]


def _points_of_others(unit: Unit, positions: Sequence[Position], by: Person) -> _Points:
    alike = Unit.objects.filter(design=unit.design_id, workshop__isnull=False).exclude(pk=unit.pk)
    built = rules.scope(by, Permission.BUILD_UNIT, alike)
    seen = rules.scope(by, Permission.VIEW_USE, built).distinct().order_by("-pk")
    units = list(seen[:MOST_ALIKE])
    if not units:
        return {}
    return _points(units, unit_uses_of(units), positions, by)


def _points(
    units: Sequence[Unit],
    uses: dict[int, UnitUse],
    positions: Sequence[Position],
    by: Person,
) -> _Points:
    """Return what was measured by unit and place, each at the distance since it was built.

    Constant in queries: builds, their figures, findings.
    """
    wanted = {place.pk: QUANTITY_OF[PositionKind(place.kind)] for place in positions}
    found: _Points = defaultdict(lambda: defaultdict(list))
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
                    _Point(0.0, row.value, row.uncertainty or USUAL_UNCERTAINTY)
                )
    for finding in _findings(units, wanted, by):
        since = builds.get(finding.unit_id)
        if since is None or finding.position_id is None or finding.value is None:
            continue
        if finding.seen_on < since.built_on or wanted[finding.position_id] != finding.quantity:
            continue
        metres = uses[finding.unit_id].since(since.built_on, until=finding.seen_on)
        if metres is not None:
            found[finding.unit_id][finding.position_id].append(
                _Point(metres, finding.value, USUAL_UNCERTAINTY)
            )
    return found


def _findings(units: Sequence[Unit], places: Iterable[int], by: Person) -> Iterable[Finding]:
    rows = Finding.objects.filter(unit__in=units, position__in=list(places), value__gt=0)
    return rules.scope(by, Permission.VIEW_FINDING, rows).order_by("seen_on", "pk")


def _measured(points: Sequence[_Point]) -> Measured:
    return Measured(
        distance=np.array([point.metres for point in points]),
        value=np.array([point.value for point in points]),
        uncertainty=np.array([point.uncertainty for point in points]),
    )


def _shown(
    position: Position, points: Sequence[_Point], others: _Points, prefs: Preferences
) -> WearShown:
    fleet = [_measured(those[position.pk]) for those in others.values() if those[position.pk]]
    found = wear_of(_measured(points), float(position.wear_limit or 0.0), fleet)
    chart = fan_chart(
        found,
        [(point.metres, point.value) for point in points],
        prefs,
        inspection=found.next_inspection(),
        title=str(position),
    )
    return WearShown(position, chart, _rests_on(found, len(points), len(fleet)))


def _rests_on(found: WearForecast, points: int, fleet: int) -> str:
    own = ngettext(
        "Reckoned from %(n)d measurement of this unit",
        "Reckoned from %(n)d measurements of this unit",
        points,
    ) % {"n": points}
    if not fleet:
        return _("%(own)s alone, and from what is usual of such units.") % {"own": own}
    alike = ngettext("%(n)d other of its design", "%(n)d others of its design", fleet) % {
        "n": fleet
    }
    if found.alike < 3:
        return _("%(own)s and from %(alike)s, which say little yet.") % {"own": own, "alike": alike}
    return _("%(own)s and from %(alike)s.") % {"own": own, "alike": alike}
