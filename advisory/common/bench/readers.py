"""Whose units a page is read in. The app that knows people says how they are found."""

from collections.abc import Callable

from django.http import HttpRequest

from advisory.common.quantities import Preferences

Finding = Callable[[HttpRequest], Preferences]


def _everybody(_request: HttpRequest) -> Preferences:
    return Preferences()


_find: Finding = _everybody


def found_by(find: Finding) -> None:
    """Take over how a reader's units are found."""
    global _find
    _find = find


def units_of(request: HttpRequest) -> Preferences:
    """Return the units that the reader of a page chose."""
    return _find(request)
