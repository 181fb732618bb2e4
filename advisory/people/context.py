"""What every template may know of the reader."""

from typing import Any

from django.http import HttpRequest

from advisory.common.quantities import Preferences
from advisory.people.preferences import preferences_of
from advisory.people.queries import at_work


def person_at_work(request: HttpRequest) -> dict[str, Any]:
    """Give templates the reader's units, `prefs`, and the places they work at, `at_work`."""
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return {"prefs": Preferences(), "at_work": None}
    return {"prefs": preferences_of(person), "at_work": at_work(person)}
