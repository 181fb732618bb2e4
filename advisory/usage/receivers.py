"""What the register tells: a number read in passing becomes a reading."""

from datetime import date
from typing import Any

from django.dispatch import receiver

from advisory.people.models import Person
from advisory.register.models import Car, Fitting
from advisory.register.signals import odometer_read
from advisory.usage.actions.readings import keep_reading
from advisory.usage.enums import ReadingSource


@receiver(odometer_read)
def keep_what_was_told(
    sender: type, *, car: Car, date: date, shown: int, by: Person, confirm: bool, **_: Any
) -> None:
    """Keep a number told with a fitting or a new car; refuse or ask as for any other reading."""
    source = ReadingSource.FITTING if sender is Fitting else ReadingSource.TYPED
    keep_reading(car=car, date=date, shown=shown, by=by, source=source, confirm=confirm)
