"""A number for each request, and a line of the log when it is answered."""

import logging
import time
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase

from advisory.common import trace

logger = logging.getLogger("advisory.requests")
HEADER = "X-Request-ID"


class RequestLog:
    """Numbers requests; the log names the route, never the address, which may open something."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Serve the request under its number; only a proxy of ours may have given it one."""
        given = request.headers.get(HEADER, "") if settings.BEHIND_PROXY else ""
        token = trace.request_id.set(trace.believed(given))
        began = time.perf_counter()
        try:
            response = self.get_response(request)
            match = request.resolver_match
            route = f"/{match.route}" if match is not None else "(none)"
            response[HEADER] = trace.request_id.get()
            logger.info(
                "%s %s: %d",
                request.method,
                route,
                response.status_code,
                extra={
                    "method": request.method,
                    "route": route,
                    "status": response.status_code,
                    "milliseconds": round(1000 * (time.perf_counter() - began), 1),
                },
            )
            return response
        finally:
            trace.request_id.reset(token)
