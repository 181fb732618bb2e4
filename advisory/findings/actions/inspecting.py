"""A guided inspection: begun, answered step by step, and finished into measuring and findings."""

import math
from datetime import date

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.findings.actions.measuring import Size, record_measuring
from advisory.findings.actions.reporting import report_finding
from advisory.findings.believed import ask_if_not_believed
from advisory.findings.enums import StepKind, StepOutcome
from advisory.findings.inspecting.covered import whole_works
from advisory.findings.inspecting.planning import SCOPES, marks_for, planned_steps, work_due
from advisory.findings.inspecting.shown import judged
from advisory.findings.marks import DamageMark
from advisory.findings.models import Inspection, InspectionStep, MeasuredValue, Measuring
from advisory.findings.queries import held_against, quantity_at
from advisory.findings.signals import inspection_finished
from advisory.lubrication.actions import record_unit_reading
from advisory.people import rules
from advisory.people.clock import require_past_day, today_of
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.enums import PositionKind
from advisory.register.models import Unit

LONGEST_WORDS = 500
# between the coldest place on earth and boiling [K]
TEMPERATURES = (183.0, 373.15)


def start_inspection(
    *,
    unit: Unit,
    by: Person,
    scope: str,
    started_on: date | None = None,
    client_key: str = "",
) -> Inspection:
    """Begin a round over a unit; the same form sent twice begins one.

    `scope` is an `InspectionScope`, or the `WorkKind` that it is made for.

    Raises
    ------
    Refused
        Where there is nothing to look at, or for a day ahead.
    """
    rules.require(by, Permission.REPORT_FINDING, unit)
    if scope not in SCOPES:
        raise Refused(_("Choose what you want to look at."), field="scope")
    started_on = started_on or today_of(by)
    require_past_day(started_on, by=by, field="started_on")
    if client_key and (there := unit.inspections.filter(client_key=client_key).first()):
        return there
    steps = planned_steps(unit.design, scope, work_due(unit, by))
    if not steps:
        raise Refused(
            _("There is nothing to look at in this round. Choose another one."), field="scope"
        )
    try:
        with transaction.atomic():
            inspection = Inspection.objects.create(
                unit=unit, started_on=started_on, scope=scope, by=by, client_key=client_key
            )
            for step in steps:
                step.inspection = inspection
            InspectionStep.objects.bulk_create(steps)
            audit.record("start_inspection", inspection, by=by, scope=scope, steps=len(steps))
    except IntegrityError:
        first = unit.inspections.filter(client_key=client_key).exclude(client_key="").first()
        if first is None:
            raise
        return first
    return inspection


@transaction.atomic
def answer_step(
    *,
    step: InspectionStep,
    by: Person,
    outcome: str = "",
    mark: str = "",
    value: float | None = None,
    as_typed: str = "",
    uncertainty: float | None = None,
    freezes_at: float | None = None,
    coldest: float | None = None,
    words: str = "",
    confirm: bool = False,
    client_key: str = "",
) -> InspectionStep:
    """Write down what came of a step; it may be changed until the round is finished.

    A mark or a size counts whatever `outcome` says; without one it is good, skipped or done.
    `value` and `uncertainty` are in metres, `freezes_at` and `coldest` (of coolant) in kelvin.
    `client_key` is made once for each answer: sent again it changes nothing. `confirm` answers a
    question about the figure.

    Raises
    ------
    Refused, Question
        Nothing was saved; the message says what to do.
    """
    inspection = Inspection.objects.select_for_update().get(pk=step.inspection_id)
    rules.require(by, Permission.REPORT_FINDING, inspection)
    step.refresh_from_db()
    if client_key and step.client_key == client_key:
        return step
    if inspection.finished_at is not None:
        raise Refused(_("This round is finished. Begin another one for what you saw since."))
    _check_mark(step, mark)
    _check_coolant(step, freezes_at, coldest)
    _check_value(inspection.unit, step, value, as_typed, confirm=confirm)
    if len(words) > LONGEST_WORDS:
        raise Refused(_("Use at most 500 letters."), field="words")
    step.outcome = _outcome(step, outcome, mark, value, freezes_at)
    step.mark, step.value, step.words = mark, value, words.strip()
    step.as_typed = as_typed if value is not None else ""
    step.uncertainty = uncertainty if value is not None else None
    step.freezes_at, step.coldest = freezes_at, coldest
    step.answered_at, step.client_key = timezone.now(), client_key
    step.judgement = judged(inspection.unit, step).judgement
    step.save()
    audit.record("answer_step", inspection, by=by, step=step.order, outcome=step.outcome,
                 judgement=step.judgement)  # fmt: skip
    return step


@transaction.atomic
def finish_inspection(
    *,
    inspection: Inspection,
    by: Person,
    shown: int | None = None,
    confirm_shown: bool = False,
    went_round: bool = False,
) -> Inspection:
    """Finish a round: sizes are kept as a measuring, marks become findings, each of them once.

    Work of the plan of which it left nothing out is done by it, on its day and odometer.

    Raises
    ------
    Refused, Question
        Nothing was saved; the message says what to do.
    """
    row = Inspection.objects.select_for_update().get(pk=inspection.pk)
    rules.require(by, Permission.REPORT_FINDING, row)
    if row.finished_at is not None:
        return row
    steps = list(row.steps.select_related("position"))
    answered = [step for step in steps if step.outcome != StepOutcome.OPEN]
    if not any(step.kind != StepKind.PREPARE for step in answered):
        raise Refused(_("Nothing was looked at yet. Answer one step at least."))
    unit, day = row.unit, row.started_on
    if shown is not None:
        record_unit_reading(unit=unit, date=day, shown=shown, by=by, confirm=confirm_shown,
                            went_round=went_round)  # fmt: skip
    for step in answered:
        if step.mark:
            step.finding = report_finding(
                unit=unit, by=by, text=step.words or str(DamageMark(step.mark).label), seen_on=day,
                position=step.position, mark=step.mark, value=step.value, as_typed=step.as_typed,
                off=step.uncertainty,
                client_key=f"inspection-{row.pk}-{step.order}", confirm=True,
            )  # fmt: skip
    row.measuring = _measuring_of(row, answered, by)
    if row.measuring is not None:
        told = dict(
            MeasuredValue.objects.filter(measuring=row.measuring, finding__isnull=False)
            .values_list("position_id", "finding_id")
        )  # fmt: skip
        for step in answered:
            if not step.mark and step.position_id in told:
                step.finding_id = told[step.position_id]
    InspectionStep.objects.bulk_update(answered, ["finding"])
    row.finished_at, row.shown = timezone.now(), shown
    row.save()
    audit.record("finish_inspection", row, by=by, steps=len(answered),
                 findings=sum(step.finding_id is not None for step in answered))  # fmt: skip
    works = whole_works(row, steps, by)
    inspection_finished.send(sender=Inspection, inspection=row, works=works, by=by)
    return row


@transaction.atomic
def drop_inspection(*, inspection: Inspection, by: Person) -> None:
    """Throw away a round that was begun and not finished."""
    row = Inspection.objects.select_for_update().get(pk=inspection.pk)
    rules.require(by, Permission.REPORT_FINDING, row)
    if row.finished_at is not None:
        raise Refused(_("It is finished, and what it found is kept."))
    audit.record("drop_inspection", row, by=by, unit=row.unit_id)
    row.delete()


def _measuring_of(row: Inspection, steps: list[InspectionStep], by: Person) -> Measuring | None:
    """Keep the sizes; where a mark was seen as well, its finding holds the size."""
    sizes = [
        Size(position=step.position, value=step.value, as_typed=step.as_typed,
             uncertainty=step.uncertainty)
        for step in steps
        if step.position is not None and step.value is not None and not step.mark
    ]  # fmt: skip
    if not sizes:
        return None
    return record_measuring(
        unit=row.unit, by=by, measured_on=row.started_on, sizes=sizes,
        client_key=f"inspection-{row.pk}", confirm=True,
    )  # fmt: skip


def _check_mark(step: InspectionStep, mark: str) -> None:
    if mark and mark not in marks_for(step):
        raise Refused(_("Choose a mark from this step's list, or none."), field="mark")


def _check_value(
    unit: Unit, step: InspectionStep, value: float | None, as_typed: str, *, confirm: bool
) -> None:
    if value is None:
        return
    quantity = quantity_at(step.position) if step.position else ""
    if step.position is None or not quantity:
        raise Refused(_("Nothing is measured in this step."), field="value")
    if not (math.isfinite(value) and value >= 0):
        raise Refused(_("Write the figure as a number, zero or more."), field="value")
    if not confirm:
        against = held_against(unit, step.position, quantity)
        ask_if_not_believed(value, against, as_typed, field="value")


def _check_coolant(step: InspectionStep, freezes_at: float | None, coldest: float | None) -> None:
    jacket = step.position is not None and step.position.kind == PositionKind.WATER_JACKET
    low, high = TEMPERATURES
    for field, kelvin in (("freezes_at", freezes_at), ("coldest", coldest)):
        if kelvin is None:
            continue
        if not jacket:
            raise Refused(_("No temperature is read in this step."), field=field)
        if not low <= kelvin <= high:
            raise Refused(_("Look at the temperature again, and at its unit."), field=field)
    if coldest is not None and freezes_at is None:
        raise Refused(_("Write down at what temperature the coolant freezes."), field="freezes_at")


def _outcome(
    step: InspectionStep, said: str, mark: str, value: float | None, freezes_at: float | None
) -> str:
    if mark:
        return StepOutcome.MARK
    if value is not None or freezes_at is not None:
        return StepOutcome.MEASURED
    if said == StepOutcome.SKIPPED:
        return StepOutcome.SKIPPED
    looks = step.kind in {StepKind.PLACE, StepKind.STRAINER}
    if said == (StepOutcome.GOOD if looks else StepOutcome.DONE):
        return said
    raise Refused(
        _("Write down a size, pick a mark, or say that it is good as seen.")
        if looks
        else _("Say that it is done, or skip it."),
        field="outcome",
    )
