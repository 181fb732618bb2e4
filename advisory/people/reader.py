"""Who reads a page."""

from django.http import HttpRequest

from advisory.common.quantities import Preferences
from advisory.people.models import Person
from advisory.people.preferences import preferences_of


def reader(request: HttpRequest) -> Person:
    """Return who is signed in, on a page that asks for it."""
    assert isinstance(request.user, Person)
    return request.user


def units_of(request: HttpRequest) -> Preferences:
    """Return the units in which a page is read, also where nobody is signed in."""
    person = request.user
    return preferences_of(person) if isinstance(person, Person) else Preferences()
