"""What the register tells: a number read in passing becomes a reading; a unit changes hands."""

from datetime import date
from typing import Any

from django.dispatch import receiver

from advisory.people.models import Person
from advisory.register.models import Car, Fitting, Unit
from advisory.register.signals import odometer_read, unit_passed_on
from advisory.usage.actions.readings import keep_reading
from advisory.usage.enums import ReadingSource
from advisory.usage.models import HourReading, LogbookUpload, Reading


@receiver(odometer_read)
def keep_what_was_told(
    sender: type, *, car: Car, date: date, shown: int, by: Person, confirm: bool, **_: Any
) -> None:
    """Keep a number told with a fitting or a new car; refuse or ask as for any other reading."""
    source = ReadingSource.FITTING if sender is Fitting else ReadingSource.TYPED
    keep_reading(car=car, date=date, shown=shown, by=by, source=source, confirm=confirm)


@receiver(unit_passed_on)
def forget_the_former_owner(
    sender: type, *, unit: Unit, former: Person, with_car: bool, **_: Any
) -> None:
    """Let numbers stay, and take out who wrote them down and what was noted beside them."""
    HourReading.objects.filter(unit=unit, entered_by=former).update(entered_by=None)
    if not with_car:
        return
    cars = unit.fittings.filter(until_date=None).values("car")
    Reading.objects.filter(odometer__car__in=cars).update(note="", entered_by=None)
    LogbookUpload.objects.filter(car__in=cars).delete()
