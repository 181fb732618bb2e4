"""What every template may know of what the reader owns."""

from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from advisory.people.models import Person
from advisory.register.models import Car, Unit


def what_is_owned(request: HttpRequest) -> dict[str, Any]:
    """Give templates `owns`: whether the reader has a unit or a car; looked up when asked."""
    person = getattr(request, "user", None)
    if not isinstance(person, Person):
        return {}
    return {
        "owns": SimpleLazyObject(
            lambda: (
                Unit.objects.filter(owner=person).exists()
                or Car.objects.filter(owner=person).exists()
            )
        )
    }
