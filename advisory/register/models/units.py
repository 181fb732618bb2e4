"""Units and their stays in cars."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.people.access import Access
from advisory.people.models import Organisation, Person
from advisory.register.enums import LeftFor
from advisory.register.models.cars import Car
from advisory.register.models.designs import Design


class Unit(Dated):
    """One mechanical unit, whoever owns it and whatever car it is in."""

    design = models.ForeignKey(Design, on_delete=models.PROTECT, related_name="units")
    workshop = models.ForeignKey(
        Organisation, null=True, blank=True, on_delete=models.PROTECT, related_name="units"
    )
    owner = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="units"
    )
    serial = models.CharField(_("serial number"), max_length=60, blank=True)
    name = models.CharField(_("name"), max_length=120, blank=True)

    access: ClassVar[Access] = Access(owner="owner", workshop="workshop", as_built=True)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["serial"])]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "serial"],
                condition=~Q(serial="") & Q(workshop__isnull=False),
                name="unit_serial_once_a_workshop",
            )
        ]

    def __str__(self) -> str:
        return self.name or f"{self.design.name} {self.serial}".strip()


class Fitting(Dated):
    """A unit's stay in a car; distance on the unit is what the car covered meanwhile."""

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="fittings")
    car = models.ForeignKey(Car, on_delete=models.PROTECT, related_name="fittings")
    from_date = models.DateField()
    # what the odometer showed; None: read off the car's readings around that day
    from_reading = models.PositiveIntegerField(null=True, blank=True)
    until_date = models.DateField(null=True, blank=True)
    until_reading = models.PositiveIntegerField(null=True, blank=True)
    left_for = models.CharField(max_length=16, choices=LeftFor.choices, blank=True)

    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop")

    class Meta:
        ordering = ["unit_id", "from_date", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["unit"], condition=Q(until_date=None), name="fitting_current_once"
            ),
            models.CheckConstraint(
                condition=Q(until_date=None) | Q(until_date__gte=F("from_date")),
                name="fitting_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit} in {self.car}"
