"""Times are shown in the reader's own zone."""

import zoneinfo
from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase
from django.utils import timezone


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
