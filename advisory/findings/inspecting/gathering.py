"""The steps of an inspection with what they are held against; few queries for all of them."""

from collections.abc import Sequence

from advisory.findings.inspecting.shown import StepShown
from advisory.findings.judgement import HeldAgainst
from advisory.findings.models import Inspection, InspectionStep
from advisory.findings.queries import found_on, held_against, last_measured, quantity_at
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.register.queries import as_built


def shown_steps(inspection: Inspection, by: Person) -> list[StepShown]:
    """Return all steps of a round as a reader sees them."""
    return _shown(inspection, list(inspection.steps.select_related("position")), by)


def shown_step(inspection: Inspection, step: InspectionStep, by: Person) -> StepShown:
    """Return one step."""
    return _shown(inspection, [step], by)[0]


def _shown(inspection: Inspection, steps: Sequence[InspectionStep], by: Person) -> list[StepShown]:
    unit, prefs = inspection.unit, preferences_of(by)
    record = as_built(unit)
    built_on = record.build.built_on if record.build else None
    last = last_measured(found_on([unit], by), built_on)
    shown = []
    for step in steps:
        against, before = HeldAgainst(), None
        if step.position is not None and (quantity := quantity_at(step.position)):
            against = held_against(unit, step.position, quantity)
            before = last.get(step.position_id or 0)
        shown.append(StepShown(step, against, before, prefs))
    return shown
