"""Cars and their odometers. Distances are in metres, dates local."""

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.people.access import Access
from advisory.people.enums import DistanceUnit
from advisory.people.models import Person
from advisory.register.enums import Roads


class Car(Dated):
    """An owner's car and how it is used."""

    owner = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="cars")
    maker = models.CharField(_("maker"), max_length=80)
    model = models.CharField(_("model"), max_length=80, blank=True)
    year = models.PositiveSmallIntegerField(
        _("year"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1885), MaxValueValidator(2100)],
    )
    roads = models.CharField(
        _("driven on"), max_length=10, choices=Roads.choices, default=Roads.SEALED
    )
    # share of its distance that is driven in runs too short to warm the oil through
    short_run_share = models.FloatField(
        default=0.0, validators=[MinValueValidator(0), MaxValueValidator(1)]
    )
    # metres a year as the owner guesses it; used until readings say better
    expected_annual_distance = models.FloatField(null=True, blank=True)

    access: ClassVar[Access] = Access(
        owner="owner",
        workshop="fittings__unit__workshop",
        workshop_where={"fittings__until_date": None},
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return " ".join(str(part) for part in (self.year, self.maker, self.model) if part)


class Odometer(Dated):
    """One distance instrument in a car; a replaced one keeps its readings."""

    car = models.ForeignKey(Car, on_delete=models.CASCADE, related_name="odometers")
    unit = models.CharField(_("counts"), max_length=8, choices=DistanceUnit.choices)
    digits = models.PositiveSmallIntegerField(
        _("whole digits"), default=5, validators=[MinValueValidator(3), MaxValueValidator(7)]
    )
    # None for the instrument that was there when the car came into the register
    fitted_on = models.DateField(_("fitted on"), null=True, blank=True)
    # what it showed when fitted; None: unknown, so distance over the change is unknown too
    shown_when_fitted = models.PositiveIntegerField(null=True, blank=True)
    # what the instrument before it showed last; None: unknown
    predecessor_showed = models.PositiveIntegerField(null=True, blank=True)

    access: ClassVar[Access] = Access(
        owner="car__owner",
        workshop="car__fittings__unit__workshop",
        workshop_where={"car__fittings__until_date": None},
    )

    class Meta:
        ordering = ["car_id", F("fitted_on").asc(nulls_first=True), "id"]

    def __str__(self) -> str:
        return f"{self.car}: {self.get_unit_display()}, {self.digits} digits"
