"""The steps of a round over a unit: from its design's positions, and from what is due."""

from collections.abc import Collection, Iterable
from typing import Any

from advisory.findings.enums import InspectionScope, StepKind
from advisory.findings.inspecting.places import INSIDE, LOOKED_AT, OUTSIDE
from advisory.findings.marks import DamageMark, marks_at
from advisory.findings.models import InspectionStep
from advisory.findings.signals import work_due_asked
from advisory.people.models import Person
from advisory.register.enums import PositionKind, WorkKind
from advisory.register.models import Design, Position, Unit

# what an oil and its strainer can show, wherever the unit has it from
STRAINER_MARKS = frozenset(
    {
        DamageMark.WATER_IN_OIL,
        DamageMark.FLAKES_WHITE,
        DamageMark.FLAKES_YELLOW,
        DamageMark.FLAKES_MAGNETIC,
        DamageMark.FLAKES_BLACK,
    }
)
SCOPES: tuple[str, ...] = (
    *(str(scope.value) for scope in InspectionScope),
    *(str(work.value) for work in LOOKED_AT),
)


def work_due(unit: Unit, by: Person) -> list[WorkKind]:
    """Return the due work that asks for looking or measuring."""
    told: list[tuple[Any, Any]] = work_due_asked.send(sender=Unit, unit=unit, by=by)
    due = {WorkKind(work) for _receiver, works in told for work in works}
    return [work for work in LOOKED_AT if work in due]


def planned_steps(
    design: Design, scope: str, due: Collection[WorkKind] = ()
) -> list[InspectionStep]:
    """Return the steps of a round, unsaved and in order; none where there is nothing to look at.

    The workshop's order of dismantling comes before the places that are only reached apart.
    """
    wanted = _wanted(scope, due)
    due_kinds: set[PositionKind | None] = set().union(*(LOOKED_AT[work] for work in due))
    places = [
        position
        for position in design.positions.all()
        if wanted is None or PositionKind(position.kind) in wanted
    ]
    # apart, what runs inside is reached last; the rest stays in the design's order
    outside = [place for place in places if wanted is not None and place.kind not in INSIDE]
    inside = [place for place in places if place not in outside]
    steps = []
    if wanted is None or None in wanted:
        steps.append(InspectionStep(kind=StepKind.STRAINER, due=None in due_kinds))
    steps += _at(outside, due_kinds)
    if inside:
        steps += [
            InspectionStep(
                kind=StepKind.TAKE_APART, text=one.text, otherwise=one.otherwise,
                caution=one.caution,
            )
            for one in design.dismantling.all()
        ]  # fmt: skip
        steps += _at(inside, due_kinds)
    if not steps:
        return []
    steps.insert(0, InspectionStep(kind=StepKind.PREPARE))
    for order, step in enumerate(steps, start=1):
        step.order = order
    return steps


def _at(places: Iterable[Position], due: Collection[PositionKind | None]) -> list[InspectionStep]:
    return [
        InspectionStep(kind=StepKind.PLACE, position=place, due=PositionKind(place.kind) in due)
        for place in places
    ]


def _wanted(scope: str, due: Collection[WorkKind]) -> frozenset[PositionKind | None] | None:
    """Return the kinds of places that a round goes to; None for all of them, apart."""
    if scope == InspectionScope.APART:
        return None
    if scope == InspectionScope.OUTSIDE:
        return OUTSIDE
    if scope == InspectionScope.DUE:
        return frozenset().union(*(LOOKED_AT[work] for work in due))
    return LOOKED_AT[WorkKind(scope)]


def marks_for(step: InspectionStep) -> list[DamageMark]:
    """Return the marks that can be picked at a step."""
    if step.kind == StepKind.STRAINER:
        return [mark for mark in DamageMark if mark in STRAINER_MARKS]
    if step.position is None:
        return []
    # what lies in the strainer has its own step
    return [mark for mark in marks_at([step.position.kind]) if mark not in STRAINER_MARKS]
