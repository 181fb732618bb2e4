"""What owners measured themselves."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from advisory.common.models import Dated
from advisory.findings.enums import Judgement
from advisory.findings.models.findings import Finding
from advisory.people.access import Access
from advisory.people.models import Person
from advisory.register.enums import MeasuredQuantity
from advisory.register.models import Position, Unit


class Measuring(Dated):
    """What an owner measured on a unit on a day; a record of its own kind, and no signed build."""

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="measurings")
    measured_on = models.DateField()
    shown = models.PositiveIntegerField(null=True, blank=True)
    note = models.CharField(max_length=500, blank=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    # made once for each form: the same form sent twice makes one
    client_key = models.CharField(max_length=64, blank=True, editable=False)

    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop")

    class Meta:
        ordering = ["-measured_on", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["unit", "client_key"],
                condition=~Q(client_key=""),
                name="measuring_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.unit}, measured {self.measured_on}"


class MeasuredValue(models.Model):
    """One size of a measuring, in metres; what had to be asked about has its finding beside it."""

    measuring = models.ForeignKey(Measuring, on_delete=models.CASCADE, related_name="values")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="+")
    quantity = models.CharField(max_length=20, choices=MeasuredQuantity.choices)
    value = models.FloatField()
    uncertainty = models.FloatField(null=True, blank=True)
    as_typed = models.CharField(max_length=40, blank=True)
    judgement = models.CharField(
        max_length=10, choices=Judgement.choices, default=Judgement.UNJUDGED
    )
    finding = models.OneToOneField(
        Finding, null=True, blank=True, on_delete=models.SET_NULL, related_name="measured_value"
    )

    access: ClassVar[Access] = Access(
        owner="measuring__unit__owner", workshop="measuring__unit__workshop"
    )

    class Meta:
        ordering = ["measuring_id", "position__order"]
        constraints = [
            models.UniqueConstraint(fields=["measuring", "position"], name="measured_value_once")
        ]

    def __str__(self) -> str:
        return f"{self.position}: {self.as_typed}"
