"""Who reads a page."""

from django.http import HttpRequest

from advisory.people.models import Person


def reader(request: HttpRequest) -> Person:
    """Return who is signed in, on a page that asks for it."""
    assert isinstance(request.user, Person)
    return request.user
