"""Which work of the plan a round has looked at whole, and which places of it were left out."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from advisory.findings.enums import StepKind, StepOutcome
from advisory.findings.inspecting.places import LOOKED_AT
from advisory.findings.inspecting.planning import work_due
from advisory.findings.models import Inspection, InspectionStep
from advisory.findings.signals import round_on_plan_asked
from advisory.people.models import Person
from advisory.register.enums import PositionKind, WorkKind

# A look into the tray is not the whole of these: oil is changed, and a service is kept of it.
MORE_THAN_LOOKING = frozenset({WorkKind.OIL_CHANGE, WorkKind.FILTER_CHANGE, WorkKind.LAY_UP_OIL})
_K = PositionKind
# Where a work is not done without a figure, unless damage was seen there.
WITH_A_FIGURE: Mapping[WorkKind, frozenset[PositionKind]] = {
    WorkKind.END_FLOAT: frozenset({_K.THRUST_WASHER}),
    WorkKind.CLEARANCES: frozenset({_K.JOURNAL_BEARING}),
    WorkKind.COOLANT_STRENGTH: frozenset({_K.WATER_JACKET}),
    # it stands for the end float as well
    WorkKind.FIRST_LOOK: frozenset({_K.THRUST_WASHER}),
}
SEEN = frozenset({StepOutcome.GOOD, StepOutcome.MEASURED, StepOutcome.MARK})
WITH_FIGURE = frozenset({StepOutcome.MEASURED, StepOutcome.MARK})


@dataclass(frozen=True)
class Covered:
    """One kind of work in a round, and the steps for it that were left out."""

    work: WorkKind
    left: tuple[InspectionStep, ...]

    @property
    def whole(self) -> bool:
        """Whether all of it was looked at."""
        return not self.left


@dataclass(frozen=True)
class OnPlan:
    """How work stands on the plan after a round: the day it was done on, None where it is open."""

    work: WorkKind
    done_on: date | None
    left: tuple[InspectionStep, ...] = ()

    @property
    def label(self) -> str:
        """Its name."""
        return str(self.work.label)


def covered_by(
    row: Inspection, steps: Sequence[InspectionStep], due: Collection[WorkKind]
) -> list[Covered]:
    """Return the work that a round goes over: what it was made for, and what is due.

    Other work whose places it passes as well is not asked about before its day.
    """
    kinds: set[PositionKind | None] = {
        PositionKind(place.kind) for place in row.unit.design.positions.all()
    }
    at = [(_kind_of(step), step) for step in steps if _looks(step)]
    gone_to = {kind for kind, _step in at}
    found = []
    for work, places in LOOKED_AT.items():
        if work in MORE_THAN_LOOKING or (work != row.scope and work not in due):
            continue
        wanted = places & (kinds | {None})
        if wanted and wanted <= gone_to:
            left = tuple(step for kind, step in at if kind in wanted and not _seen(work, step))
            found.append(Covered(work, left))
    return found


def on_plan(row: Inspection, steps: Sequence[InspectionStep], by: Person) -> list[OnPlan]:
    """Return how the work that a round goes over stands on its unit's plan."""
    due = work_due(row.unit, by)
    told: list[tuple[Any, Any]] = round_on_plan_asked.send(sender=Inspection, inspection=row, by=by)
    days: dict[WorkKind, date | None] = {}
    for _receiver, answer in told:
        days |= answer
    # once it is written down it is no longer due
    done = {work for work, day in days.items() if day is not None}
    return [
        OnPlan(one.work, days[one.work], one.left)
        for one in covered_by(row, steps, {*due, *done})
        if one.work in days
    ]


def whole_works(row: Inspection, steps: Iterable[InspectionStep], by: Person) -> list[WorkKind]:
    """Return the work that a round has done, as it is finished."""
    found = covered_by(row, list(steps), work_due(row.unit, by))
    return [one.work for one in found if one.whole]


def _looks(step: InspectionStep) -> bool:
    return step.kind in {StepKind.PLACE, StepKind.STRAINER}


def _kind_of(step: InspectionStep) -> PositionKind | None:
    return PositionKind(step.position.kind) if step.position is not None else None


def _seen(work: WorkKind, step: InspectionStep) -> bool:
    figure = _kind_of(step) in WITH_A_FIGURE.get(work, ())
    return step.outcome in (WITH_FIGURE if figure else SEEN)
