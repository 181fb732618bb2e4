"""What a unit needs next: one row for each kind of work, and what was done."""

from datetime import timedelta
from typing import Any, ClassVar

from django.db import models
from django.utils import timezone

from advisory.common.models import Dated
from advisory.lubrication.models import OilService
from advisory.people.access import Access
from advisory.people.models import Person
from advisory.plans.enums import CountedFrom, DueBy, DueState
from advisory.register.enums import WorkKind
from advisory.register.models import Position, Unit


class ItemsInForce(models.Manager["PlanItem"]):
    """The items that a unit needs as it stands today."""

    def get_queryset(self) -> "models.QuerySet[PlanItem]":
        """Leave out what no longer applies (a filter change after the filter was taken off)."""
        return super().get_queryset().filter(in_force=True)


class PlanItem(models.Model):
    """One kind of work on one unit: when it was last done, when it is due, and why.

    Distances are the unit's own, in metres since it came into the register; `due_hours` are the
    running hours from the anchor to the due distance, estimated at the unit's usual mean speed.
    An item that no longer applies stays as a row, so that its cycle and what was said of it are not
    forgotten should it apply again; `objects` leaves it out, `everything` doesn't.
    """

    # found by the constraint's index, of which it is the first column
    unit = models.ForeignKey(
        Unit, on_delete=models.CASCADE, related_name="plan_items", db_index=False
    )
    work = models.CharField(max_length=20, choices=WorkKind.choices)
    # counted up each time the work is done: reminders belong to one cycle
    cycle = models.PositiveIntegerField(default=1)
    in_force = models.BooleanField(default=True)
    counted_from = models.CharField(
        max_length=8, choices=CountedFrom.choices, default=CountedFrom.START
    )
    anchor_date = models.DateField()
    anchor_distance = models.FloatField(null=True, blank=True)
    due_distance = models.FloatField(null=True, blank=True)
    due_hours = models.FloatField(null=True, blank=True)
    due_date = models.DateField(null=True, blank=True)
    # the day on which the first of the limits is expected to be met
    forecast_date = models.DateField(null=True, blank=True)
    # the days before which, and after which, that is hardly so: chances of 10 and 90 %
    forecast_first = models.DateField(null=True, blank=True)
    forecast_last = models.DateField(null=True, blank=True)
    # the forecast is too wide to plan by, and a reading is worth more than a reminder
    asks_for_reading = models.BooleanField(default=False)
    limited_by = models.CharField(max_length=20, choices=DueBy.choices, blank=True)
    state = models.CharField(max_length=8, choices=DueState.choices, default=DueState.AHEAD)
    # structured, rendered in the reader's units: [{"code": ..., values in SI}]
    reasons: Any = models.JSONField(default=list)
    # the day on which it reads differently though nothing was written down: a lead begins, say
    changes_on = models.DateField(null=True, blank=True)
    updated_at = models.DateTimeField(default=timezone.now)

    objects: ClassVar[ItemsInForce] = ItemsInForce()
    everything: ClassVar[models.Manager["PlanItem"]] = models.Manager()

    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop")

    class Meta:
        ordering = ["unit_id", "forecast_date", "id"]
        constraints = [models.UniqueConstraint(fields=["unit", "work"], name="plan_item_once")]
        indexes = [
            models.Index(fields=["state", "forecast_date"]),
            models.Index(fields=["changes_on"]),
        ]

    def __str__(self) -> str:
        return f"{self.unit}: {self.get_work_display()}"


class WearMark(models.Model):
    """How far a unit may run until a place of it is measured again, by how it has worn so far.

    Distances are the unit's own, in metres. It is reckoned when something is measured, and only
    read when a plan is reckoned.
    """

    # found by the constraint's index, of which it is the first column
    unit = models.ForeignKey(
        Unit, on_delete=models.CASCADE, related_name="wear_marks", db_index=False
    )
    position = models.ForeignKey(Position, on_delete=models.CASCADE, related_name="+")
    # where it was measured last, and where it is to be measured next
    measured_at = models.FloatField()
    look_at = models.FloatField()
    # what was measured contradicts itself: it is to be measured again, also by who just has
    contradicts = models.BooleanField(default=False)

    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop")

    class Meta:
        ordering = ["unit_id", "look_at", "id"]
        constraints = [models.UniqueConstraint(fields=["unit", "position"], name="wear_mark_once")]

    def __str__(self) -> str:
        return f"{self.unit}: {self.position}"


# For how long a slip of the finger can be taken back.
TAKEN_BACK_WITHIN = timedelta(hours=24)


class WorkDone(Dated):
    """A plan item's work, done once; oil work has its oil service beside it."""

    # found by the constraint's index, of which it is the first column
    unit = models.ForeignKey(
        Unit, on_delete=models.CASCADE, related_name="work_done", db_index=False
    )
    work = models.CharField(max_length=20, choices=WorkKind.choices)
    cycle = models.PositiveIntegerField()
    date = models.DateField()
    shown = models.PositiveIntegerField(null=True, blank=True)
    # the unit's own distance then, and what the plan had said (for looking after 'in time')
    distance = models.FloatField(null=True, blank=True)
    was_due_on = models.DateField(null=True, blank=True)
    was_due_distance = models.FloatField(null=True, blank=True)
    in_time = models.BooleanField(null=True)
    note = models.CharField(max_length=500, blank=True)
    # what was done with the oil at the same time; oil before a lay-up is an oil change as well
    service = models.ForeignKey(
        OilService, null=True, blank=True, on_delete=models.CASCADE, related_name="work_done"
    )
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")

    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop")

    class Meta:
        ordering = ["-date", "-id"]
        verbose_name_plural = "work done"
        constraints = [
            models.UniqueConstraint(fields=["unit", "work", "cycle"], name="work_done_once_a_cycle")
        ]

    def __str__(self) -> str:
        return f"{self.unit}: {self.get_work_display()}, {self.date}"

    @property
    def can_be_taken_back(self) -> bool:
        """Whether it is fresh enough to be a slip of the finger."""
        return timezone.now() - self.created_at <= TAKEN_BACK_WITHIN
