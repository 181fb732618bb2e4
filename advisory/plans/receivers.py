"""What changes below, and the plans that follow from it.

The signals come when the change is committed, and the plans are reckoned at once. What is lost
when the process dies in between, the night makes up for.
"""

from collections.abc import Sequence
from contextlib import suppress
from datetime import date
from typing import Any

from django.dispatch import receiver

from advisory.common.errors import Refused
from advisory.findings.models import Finding, Inspection, Measuring
from advisory.findings.signals import (
    coolant_checks_asked,
    finding_kept,
    finding_moved,
    finding_reported,
    inspection_finished,
    round_on_plan_asked,
    unit_measured,
    work_due_asked,
)
from advisory.lubrication.signals import oil_changed
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.people.signals import preferences_changed
from advisory.plans.actions import mark_done, refresh_soon
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.models.bulletins import BulletinUnit
from advisory.register.enums import WorkKind
from advisory.register.models import Build, Car, Design, Fitting, Unit
from advisory.register.signals import (
    build_signed,
    car_changed,
    instructions_changed,
    unit_changed,
    unit_passed_on,
)
from advisory.usage.signals import hours_changed, usage_changed


def _refresh_car(car: Car) -> None:
    refresh_soon(Fitting.objects.filter(car=car).values_list("unit_id", flat=True))


@receiver(usage_changed)
def after_usage(car: Car, **kwargs: Any) -> None:
    """Move with a reading, an instrument or a lay-up every unit that is, or was, in the car."""
    _refresh_car(car)


@receiver(car_changed)
def after_car(car: Car, **kwargs: Any) -> None:
    """Follow roads, short runs and the expected distance, which move the oil's interval."""
    _refresh_car(car)


@receiver(unit_changed)
def after_unit(unit: Unit, **kwargs: Any) -> None:
    """Follow a new owner, another car."""
    refresh_soon([unit.pk])


@receiver(build_signed)
def after_build(build: Build, **kwargs: Any) -> None:
    """Begin anew after a rebuild."""
    refresh_soon([build.unit_id])


@receiver(finding_reported)
@receiver(finding_kept)
@receiver(finding_moved)
def after_finding(finding: Finding, **kwargs: Any) -> None:
    """Follow what was measured or told: it may bring work forward, and closing takes that back."""
    refresh_soon([finding.unit_id])


@receiver(unit_measured)
def after_measuring(measuring: Measuring, **kwargs: Any) -> None:
    """Follow what an owner measured."""
    refresh_soon([measuring.unit_id])


@receiver(hours_changed)
def after_hours(unit: Unit, **kwargs: Any) -> None:
    """Follow the hour counter."""
    refresh_soon([unit.pk])


@receiver(instructions_changed)
def after_instructions(design: Design, **kwargs: Any) -> None:
    """Follow what the workshop says: it holds at once for every unit of the design."""
    refresh_soon(Unit.objects.filter(design=design).values_list("pk", flat=True))


@receiver(oil_changed)
def after_oil(unit: Unit, **kwargs: Any) -> None:
    """Follow another filter, another oil, an oil service."""
    refresh_soon([unit.pk])


@receiver(preferences_changed)
def after_preferences(person: Person, **kwargs: Any) -> None:
    """Follow the owner to another zone: which day it is there, and when winter comes."""
    refresh_soon(Unit.objects.filter(owner=person).values_list("pk", flat=True))


@receiver(coolant_checks_asked)
def coolant_checked(unit: Unit, before: date, **kwargs: Any) -> date | None:
    """Tell when the coolant's strength was looked at last before a day."""
    rows = WorkDone.objects.filter(unit=unit, work=WorkKind.COOLANT_STRENGTH, date__lte=before)
    return rows.order_by("-date").values_list("date", flat=True).first()


@receiver(work_due_asked)
def work_due(unit: Unit, by: Person, **kwargs: Any) -> list[WorkKind]:
    """Tell what is due on a unit, as far as a person sees it."""
    items = rules.scope(by, Permission.VIEW_USE, PlanItem.objects.filter(unit=unit))
    pressing = items.filter(state__in=[DueState.DUE, DueState.LATE])
    return [WorkKind(work) for work in pressing.values_list("work", flat=True)]


@receiver(inspection_finished)
def after_round(
    inspection: Inspection, works: Sequence[WorkKind], by: Person, **kwargs: Any
) -> None:
    """Write down as done what a round looked at whole, unless that was written down since.

    Its odometer was asked about already. What the plan doesn't ask for, it lets be.
    """
    done = _done_since(inspection)
    for work in works:
        if work not in done:
            with suppress(Refused):
                mark_done(
                    unit=inspection.unit, work=work, date=inspection.started_on, by=by,
                    shown=inspection.shown, confirm=True,
                )  # fmt: skip


@receiver(round_on_plan_asked)
def round_on_plan(inspection: Inspection, by: Person, **kwargs: Any) -> dict[WorkKind, date | None]:
    """Tell how work stands since a round: the day it was done on, None where it is open."""
    items = rules.scope(by, Permission.VIEW_USE, PlanItem.objects.filter(unit=inspection.unit))
    stands = {WorkKind(work): None for work in items.values_list("work", flat=True)}
    return stands | _done_since(inspection)


def _done_since(inspection: Inspection) -> dict[WorkKind, date]:
    rows = WorkDone.objects.filter(unit=inspection.unit, date__gte=inspection.started_on)
    return {WorkKind(work): day for work, day in rows.order_by("-date").values_list("work", "date")}


@receiver(unit_passed_on)
def forget_the_former_owner(unit: Unit, **kwargs: Any) -> None:
    """Let work done stay, and take out who did it and what was noted beside it.

    What bulletins say of the unit stays with it: the next owner has not read it yet.
    """
    WorkDone.objects.filter(unit=unit).update(note="", by=None)
    BulletinUnit.objects.filter(unit=unit).update(read_at=None)
