"""A guided inspection and its steps."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from advisory.common.models import Dated
from advisory.findings.enums import Judgement, StepKind, StepOutcome
from advisory.findings.marks import DamageMark
from advisory.people.access import Access
from advisory.people.models import Person
from advisory.register.models import Position, Unit


class Inspection(Dated):
    """A round over a unit, step by step; its owner's alone, what it finds goes its own ways."""

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="inspections")
    started_on = models.DateField()
    # an `InspectionScope`, or the one kind of work that it is made for
    scope = models.CharField(max_length=20)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    shown = models.PositiveIntegerField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    # the sizes that it kept
    measuring = models.OneToOneField(
        "findings.Measuring",
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="inspection",
    )
    # made once for each form: the same form sent twice begins one
    client_key = models.CharField(max_length=64, blank=True, editable=False)

    access: ClassVar[Access] = Access(owner="unit__owner")

    class Meta:
        ordering = ["-started_on", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["unit", "client_key"], condition=~Q(client_key=""), name="inspection_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.unit}, inspected {self.started_on}"


class InspectionStep(models.Model):
    """One step of an inspection, and what came of it; sizes in metres, temperatures in kelvin."""

    inspection = models.ForeignKey(Inspection, on_delete=models.CASCADE, related_name="steps")
    order = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=12, choices=StepKind.choices)
    position = models.ForeignKey(
        Position, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    # of the workshop's order of dismantling, as it stood when the inspection began
    text = models.CharField(max_length=400, blank=True)
    otherwise = models.CharField(max_length=400, blank=True)
    caution = models.CharField(max_length=400, blank=True)
    due = models.BooleanField(default=False)

    outcome = models.CharField(max_length=10, choices=StepOutcome.choices, default=StepOutcome.OPEN)
    mark = models.CharField(max_length=20, choices=DamageMark.choices, blank=True)
    value = models.FloatField(null=True, blank=True)
    uncertainty = models.FloatField(null=True, blank=True)
    as_typed = models.CharField(max_length=40, blank=True)
    freezes_at = models.FloatField(null=True, blank=True)
    coldest = models.FloatField(null=True, blank=True)
    words = models.CharField(max_length=500, blank=True)
    judgement = models.CharField(
        max_length=10, choices=Judgement.choices, default=Judgement.UNJUDGED
    )
    answered_at = models.DateTimeField(null=True, blank=True)
    # of the answer: one that is sent twice counts once
    client_key = models.CharField(max_length=64, blank=True, editable=False)
    finding = models.OneToOneField(
        "findings.Finding",
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="inspection_step",
    )

    access: ClassVar[Access] = Access(owner="inspection__unit__owner")

    class Meta:
        ordering = ["inspection_id", "order"]
        constraints = [
            models.UniqueConstraint(
                fields=["inspection", "order"], name="inspection_step_order_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.inspection_id}, step {self.order}"
