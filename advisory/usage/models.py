"""Odometer readings, lay-ups, and logbooks on their way in."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.people.access import Access
from advisory.people.models import Person
from advisory.register.models import Car, Odometer, Unit
from advisory.usage.enums import ReadingSource


class Reading(Dated):
    """The number that an odometer showed on a day, exactly as it was shown.

    Distance is never stored: it follows from the readings, the digits and the replacements, so a
    reading put in late changes it for all.
    """

    odometer = models.ForeignKey(Odometer, on_delete=models.CASCADE, related_name="readings")
    date = models.DateField()
    shown = models.PositiveIntegerField()
    source = models.CharField(
        max_length=10, choices=ReadingSource.choices, default=ReadingSource.TYPED
    )
    # the person said yes when asked whether a jump is right
    confirmed = models.BooleanField(default=False)
    # the person said that the instrument has gone past its last number since the reading before
    went_round = models.BooleanField(default=False)
    note = models.CharField(_("note"), max_length=300, blank=True)
    entered_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")

    access: ClassVar[Access] = Access(
        owner="odometer__car__owner",
        workshop="odometer__car__fittings__unit__workshop",
        workshop_where={"odometer__car__fittings__until_date": None},
    )

    class Meta:
        ordering = ["odometer_id", "date", "id"]
        constraints = [
            models.UniqueConstraint(fields=["odometer", "date", "shown"], name="reading_once")
        ]

    def __str__(self) -> str:
        return f"{self.date}: {self.shown}"


class HourReading(Dated):
    """The number that a unit's hour counter showed on a day, in seconds of running.

    Running time is never stored: like distance, it follows from all that was shown.
    """

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="hour_readings")
    date = models.DateField()
    shown = models.FloatField(help_text="s")
    # the first number of another counter
    anew = models.BooleanField(default=False)
    entered_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")

    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop")

    class Meta:
        ordering = ["unit_id", "date", "shown"]
        constraints = [
            models.UniqueConstraint(fields=["unit", "date", "shown"], name="hour_reading_once")
        ]

    def __str__(self) -> str:
        return f"{self.date}: {self.shown / 3600.0:g} h"


class LayUp(Dated):
    """A spell in which a car is put away; open while it lasts."""

    car = models.ForeignKey(Car, on_delete=models.CASCADE, related_name="lay_ups")
    from_date = models.DateField()
    until_date = models.DateField(null=True, blank=True)

    access: ClassVar[Access] = Access(
        owner="car__owner",
        workshop="car__fittings__unit__workshop",
        workshop_where={"car__fittings__until_date": None},
    )

    class Meta:
        ordering = ["car_id", "from_date"]
        constraints = [
            models.UniqueConstraint(
                fields=["car"], condition=Q(until_date=None), name="lay_up_open_once"
            ),
            models.CheckConstraint(
                condition=Q(until_date=None) | Q(until_date__gte=F("from_date")),
                name="lay_up_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.car}, laid up {self.from_date} to {self.until_date or '...'}"


class LearntFleet(models.Model):
    """What was last learnt over all cars together: season, yearly distance, spread; one row.

    It tells of no car, and nobody is shown it as a row.
    """

    figures = models.JSONField()
    learnt_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"learnt {self.learnt_at:%Y-%m-%d}"


class LogbookUpload(Dated):
    """A logbook file between the two steps of its import; deleted once it is in, or after a day."""

    car = models.ForeignKey(Car, on_delete=models.CASCADE, related_name="logbook_uploads")
    uploaded_by = models.ForeignKey(
        Person, on_delete=models.CASCADE, related_name="logbook_uploads"
    )
    name = models.CharField(max_length=200)
    content = models.BinaryField()

    # whoever may keep the car's use may finish the import
    access: ClassVar[Access] = Access(owner="car__owner")

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.name} for {self.car}"
