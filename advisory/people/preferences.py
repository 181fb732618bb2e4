"""A person's units, as the quantities module wants them."""

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
