"""A person's units, as the quantities module wants them, and the date where they are."""

import zoneinfo
from datetime import date

from django.utils import timezone

from advisory.common.quantities import Preferences
from advisory.people.models import Person


def preferences_of(person: Person) -> Preferences:
    """Return the units this person reads and writes in."""
    return Preferences(
        small_length=person.small_length_unit,
        distance=person.distance_unit,
        volume=person.volume_unit,
        temperature=person.temperature_unit,
    )


def today_of(person: Person | None) -> date:
    """Return today's date where this person is; in UTC where there is no person."""
    zone = zoneinfo.ZoneInfo(person.zone) if person is not None else None
    return timezone.localdate(timezone=zone or zoneinfo.ZoneInfo("UTC"))
