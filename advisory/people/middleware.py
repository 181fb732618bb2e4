"""What every page has of its reader: their zone, and nothing of what is not theirs."""

import zoneinfo
from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponseBase
from django.utils import timezone

from advisory.common.errors import NotAllowed


class PersonZoneMiddleware:
    """Activate the zone of whoever is signed in, for the length of the request."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Serve the request in its reader's zone."""
        if not request.user.is_authenticated:
            return self.get_response(request)
        with timezone.override(zoneinfo.ZoneInfo(request.user.zone)):
            return self.get_response(request)


class NotAllowedMiddleware:
    """What a person may not do is, to them, not there."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Serve the request."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> None:
        """Answer a refusal of the access rules as 'not found'."""
        if isinstance(exception, NotAllowed):
            raise Http404 from exception
