"""Cars, designs, units, builds. All sizes are in metres, distances in metres, dates local."""

from typing import Any, ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.people.access import Access, Subject
from advisory.people.enums import DistanceUnit
from advisory.people.models import Organisation, Person
from advisory.register.enums import (
    BearingMaterial,
    BuildState,
    MeasuredQuantity,
    PositionKind,
    Roads,
    UnitKind,
    WorkKind,
)


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
    """One distance instrument in a car, from the day it was fitted; a replaced one keeps its readings."""

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


class Design(Dated):
    """A kind of unit, described once; without a workshop it is a starter that anybody may use."""

    workshop = models.ForeignKey(
        Organisation, null=True, blank=True, on_delete=models.PROTECT, related_name="designs"
    )
    kind = models.CharField(_("kind"), max_length=16, choices=UnitKind.choices)
    name = models.CharField(_("name"), max_length=120)
    version = models.PositiveSmallIntegerField(default=1)
    description = models.TextField(_("description"), blank=True)
    # what it turns per turn of the engine, and the engine's usual speed in rev/s
    speed_ratio = models.FloatField(default=1.0, validators=[MinValueValidator(0)])
    engine_speed = models.FloatField(null=True, blank=True)
    sump_volume = models.FloatField(null=True, blank=True, help_text="m3, as designed")
    lubricant_code = models.CharField(max_length=40, blank=True, help_text="prescribed oil")

    access: ClassVar[Access] = Access(
        subject=Subject.DESIGN,
        owner="units__owner",
        organisation="workshop",
        shared_where={"workshop": None},
    )

    class Meta:
        ordering = ["kind", "name", "version"]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "name", "version"],
                name="design_version_once",
                nulls_distinct=False,
            )
        ]

    def __str__(self) -> str:
        return self.name


class Position(models.Model):
    """One place of a design where something runs, seals, feeds or holds; sizes in metres."""

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="positions")
    order = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=16, choices=PositionKind.choices)
    name = models.CharField(max_length=80)
    diameter = models.FloatField(null=True, blank=True)
    length = models.FloatField(null=True, blank=True)
    material = models.CharField(max_length=20, choices=BearingMaterial.choices, blank=True)
    surface_roughness = models.FloatField(null=True, blank=True, help_text="combined rms, m")
    load = models.FloatField(null=True, blank=True, help_text="N")
    # of the quantity that QUANTITY_OF names for this kind: as built from-to, and where it must stop
    as_built_least = models.FloatField(null=True, blank=True)
    as_built_most = models.FloatField(null=True, blank=True)
    look_into_above = models.FloatField(null=True, blank=True)
    wear_limit = models.FloatField(null=True, blank=True)

    access: ClassVar[Access] = Access(
        subject=Subject.DESIGN,
        owner="design__units__owner",
        organisation="design__workshop",
        shared_where={"design__workshop": None},
    )

    class Meta:
        ordering = ["design_id", "order"]
        constraints = [
            models.UniqueConstraint(fields=["design", "order"], name="position_order_once")
        ]

    def __str__(self) -> str:
        return self.name


class MaintenanceInstruction(models.Model):
    """What the workshop says of one kind of work on a design; it stands above the computation."""

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="instructions")
    work = models.CharField(max_length=20, choices=WorkKind.choices)
    distance = models.FloatField(null=True, blank=True, help_text="m")
    months = models.PositiveSmallIntegerField(null=True, blank=True)
    text = models.CharField(max_length=300, blank=True)

    access: ClassVar[Access] = Position.access

    class Meta:
        ordering = ["design_id", "work"]
        constraints = [models.UniqueConstraint(fields=["design", "work"], name="instruction_once")]

    def __str__(self) -> str:
        return f"{self.design}: {self.get_work_display()}"


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


class Build(Dated):
    """One rebuild of one unit, as it left the bench; once signed it is never changed."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="builds")
    workshop = models.ForeignKey(Organisation, on_delete=models.PROTECT, related_name="builds")
    built_on = models.DateField()
    revision = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(max_length=8, choices=BuildState.choices, default=BuildState.DRAFT)
    new_white_metal = models.BooleanField(default=True)
    notes = models.TextField(blank=True)
    signed_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    signed_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop", as_built=True)

    class Meta:
        ordering = ["unit_id", "-built_on", "-revision"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state=BuildState.DRAFT)
                | Q(signed_by__isnull=False, signed_at__isnull=False),
                name="build_signed_by_somebody",
            )
        ]

    def __str__(self) -> str:
        return f"{self.unit}, {self.built_on}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write a sheet that is still being written; refuse one that stands signed."""
        if self.pk and Build.objects.filter(pk=self.pk, state=BuildState.SIGNED).exists():
            raise TypeError("A signed build is never changed; write a new revision.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Delete a sheet that is still being written; refuse one that stands signed."""
        if self.pk and Build.objects.filter(pk=self.pk, state=BuildState.SIGNED).exists():
            raise TypeError("A signed build is never deleted.")
        return super().delete(*args, **kwargs)


class BuildMeasurement(models.Model):
    """One figure of a build: in metres, and as it was typed."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="measurements")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="+")
    quantity = models.CharField(max_length=20, choices=MeasuredQuantity.choices)
    value = models.FloatField(help_text="m")
    uncertainty = models.FloatField(null=True, blank=True, help_text="m, one standard deviation")
    as_typed = models.CharField(max_length=40)
    instrument = models.CharField(max_length=80, blank=True)

    access: ClassVar[Access] = Access(
        owner="build__unit__owner", workshop="build__unit__workshop", as_built=True
    )

    class Meta:
        ordering = ["build_id", "position__order", "quantity"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "position", "quantity"], name="measurement_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.position}: {self.as_typed}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write a figure of a sheet that is still being written."""
        if Build.objects.filter(pk=self.build_id, state=BuildState.SIGNED).exists():
            raise TypeError("A signed build is never changed; write a new revision.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Delete a figure of a sheet that is still being written."""
        if Build.objects.filter(pk=self.build_id, state=BuildState.SIGNED).exists():
            raise TypeError("A signed build is never changed; write a new revision.")
        return super().delete(*args, **kwargs)
