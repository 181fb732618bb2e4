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
from advisory.plans.unit_shown import UnitShown
from advisory.plans.wear_chart import fan_chart
from advisory.plans.wear_points import (
    FEWEST_POINTS,
    Point,
    Points,
    last_of,
    measured,
    places_of,
    points_of,
)
from advisory.plans.wear_words import PlanAsks, wear_sentence
from advisory.plans.work import MEASURED_BY
from advisory.register.enums import PositionKind
from advisory.register.models import Position, Unit
from advisory.register.queries import AsBuilt, as_built, as_built_of
from advisory.usage.queries import unit_uses_of
from advisory.usage.use import UnitUse

# What was measured on so many other units of the design says all that they can say.
MOST_ALIKE = 40


@dataclass(frozen=True)
class WearShown:
    """The wear of one place: its chart, which says it in words too, and what it rests on.

    Where nothing is told of it, that rests on nothing.
    """

    position: Position
    chart: Chart
    rests_on: str

    @property
    def name(self) -> str:
        """What the chart is called on its page."""
        return f"wear-{self.position.pk}"


def wear_of_unit(
    unit: Unit,
    use: UnitUse,
    by: Person,
    record: AsBuilt | None = None,
    found: Found | None = None,
    plan: UnitShown | None = None,
) -> list[WearShown]:
    """Return the wear of each place of a unit that has a limit and was measured twice at least.

    Other units of the design are counted in as far as this reader's own workshop built them and
    the reader may see what was measured on them; none is named. `record` and `found` are given by
    who has read them already; with the `plan`, nothing is said that it contradicts.
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
    return [
        _shown(
            place,
            points[unit.pk][place.pk],
            others,
            prefs,
            asked=_asked(place, points[unit.pk][place.pk], use, plan),
            halted=_halted(place, plan),
        )
        for place in worn
    ]


def _halted(position: Position, plan: UnitShown | None) -> bool:
    """Say whether something that was found at a place stands against running its unit."""
    return plan is not None and any(one.standing.position == position for one in plan.halts)


def _asked(
    position: Position, points: Sequence[Point], use: UnitUse, plan: UnitShown | None
) -> PlanAsks | None:
    """Return what the plan asks of a place, counted from where it was measured last."""
    work = MEASURED_BY.get(PositionKind(position.kind))
    driven, now = use.since(last_of(points).day), use.distance()
    for one in plan.items if plan is not None else ():
        if one.item.work == work:
            at, ahead = one.item.due_distance, None
            if at is not None and driven is not None and now is not None and not one.rests:
                ahead = at - (now - driven)
            return PlanAsks(one.name, one.due, ahead)
    return None


def _of_others(unit: Unit, positions: Sequence[Position], by: Person) -> Points:
    alike = Unit.objects.filter(design=unit.design_id, workshop__isnull=False).exclude(pk=unit.pk)
    built = rules.scope(by, Permission.BUILD_UNIT, alike)
    seen = rules.scope(by, Permission.VIEW_USE, built).distinct().order_by("-pk")
    units = list(seen[:MOST_ALIKE])
    if not units:
        return {}
    return points_of(as_built_of(units), unit_uses_of(units), positions, found_on(units, by))


def _shown(
    position: Position,
    points: Sequence[Point],
    others: Points,
    prefs: Preferences,
    *,
    asked: PlanAsks | None,
    halted: bool,
) -> WearShown:
    fleet = [measured(those[position.pk]) for those in others.values() if those[position.pk]]
    found = wear_of(measured(points), float(position.wear_limit or 0.0), fleet)
    drawn = [(point.metres, point.value) for point in points]
    inspection = found.next_inspection()
    sentence = wear_sentence(found, drawn, prefs, inspection=inspection, asked=asked, halted=halted)
    chart = fan_chart(
        found,
        drawn,
        prefs,
        sentence=sentence,
        inspection=inspection,
        title=str(position),
        told=not halted,
    )
    told = found.contradiction is None and not halted
    rests_on = _rests_on(found, len(points), len(fleet) - found.left_out) if told else ""
    return WearShown(position, chart, rests_on)


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
