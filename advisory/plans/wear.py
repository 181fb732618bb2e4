"""Wear of a unit's places that have a limit: what was measured since it was built, what follows."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.common.charts import Chart
from advisory.common.quantities import Preferences
from advisory.engineering.wear import WearForecast, wear_of
from advisory.findings.queries import Found, found_on
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.rules import Permission
from advisory.plans.wear_chart import fan_chart
from advisory.plans.wear_points import FEWEST_POINTS, Point, Points, measured, places_of, points_of
from advisory.register.models import Position, Unit
from advisory.register.queries import AsBuilt, as_built, as_built_of
from advisory.usage.queries import UnitUse, unit_uses_of

# What was measured on so many other units of the design says all that they can say.
MOST_ALIKE = 40


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


def wear_of_unit(
    unit: Unit, use: UnitUse, by: Person, record: AsBuilt | None = None, found: Found | None = None
) -> list[WearShown]:
    """Return the wear of each place of a unit that has a limit and was measured twice at least.

    Other units of the design are counted in as far as this reader's own workshop built them and
    the reader may see what was measured on them; none is named. `record` and `found` are given by
    who has read them already.
    """
    record = record or as_built(unit)
    positions = places_of(record)
    if not positions:
        return []
    found = found or found_on([unit], by)
    points = points_of({unit.pk: record}, {unit.pk: use}, positions, found)
    worn = [place for place in positions if len(points[unit.pk][place.pk]) >= FEWEST_POINTS]
    if not worn:
        return []
    others = _of_others(unit, worn, by)
    prefs = preferences_of(by)
    return [_shown(place, points[unit.pk][place.pk], others, prefs) for place in worn]


def _of_others(unit: Unit, positions: Sequence[Position], by: Person) -> Points:
    alike = Unit.objects.filter(design=unit.design_id, workshop__isnull=False).exclude(pk=unit.pk)
    built = rules.scope(by, Permission.BUILD_UNIT, alike)
    seen = rules.scope(by, Permission.VIEW_USE, built).distinct().order_by("-pk")
    units = list(seen[:MOST_ALIKE])
    if not units:
        return {}
    return points_of(as_built_of(units), unit_uses_of(units), positions, found_on(units, by))


def _shown(
    position: Position, points: Sequence[Point], others: Points, prefs: Preferences
) -> WearShown:
    fleet = [measured(those[position.pk]) for those in others.values() if those[position.pk]]
    found = wear_of(measured(points), float(position.wear_limit or 0.0), fleet)
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
