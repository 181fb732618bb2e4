"""What every page has of its reader: their zone, and nothing of what is not theirs."""

import zoneinfo
from collections.abc import Callable
from contextlib import suppress
from http import HTTPStatus

from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.urls import Resolver404, resolve
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


class BackFromFormsMiddleware:
    """Lead whoever opens an address that only takes forms to the page above it.

    A browser opens it by itself: after signing in anew, or at a reload of what it answered.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Serve the request."""
        response = self.get_response(request)
        opened = request.method in {"GET", "HEAD"} and request.user.is_authenticated
        if response.status_code != HTTPStatus.METHOD_NOT_ALLOWED or not opened:
            return response
        if request.path.startswith("/api/"):
            return response
        return redirect(page_above(request.path))


def page_above(path: str) -> str:
    """Return the nearest address above a path that there is."""
    parts = path.strip("/").split("/")[:-1]
    while parts:
        above = "/" + "/".join(parts) + "/"
        with suppress(Resolver404):
            resolve(above)
            return above
        parts.pop()
    return "/"


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
