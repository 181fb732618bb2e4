"""What every template may know of the reader."""

from typing import Any

from django.http import HttpRequest

from advisory.common.quantities import Preferences
from advisory.people.preferences import preferences_of


def units_of_reader(request: HttpRequest) -> dict[str, Any]:
    """Give templates the reader's units, `prefs`."""
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return {"prefs": Preferences()}
    return {"prefs": preferences_of(person)}
