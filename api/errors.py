"""Every error of the API is a problem object (RFC 9457)."""

from collections.abc import Iterator
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, JsonResponse
from django.utils.translation import gettext as _
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.views import exception_handler

from advisory.common.errors import NotAllowed, Question, Refused

CONTENT_TYPE = "application/problem+json"


def problem_response(error: Exception, context: dict[str, Any]) -> Response | None:
    """Answer `error` as a problem object; None for what is a fault of ours."""
    if isinstance(error, NotAllowed | Http404 | PermissionDenied):
        error = exceptions.NotFound(_("There is nothing here, or it is not yours to see."))
    if isinstance(error, Question):
        return _problem(409, error.code, error.message, [_entry(error.field, error.message)])
    if isinstance(error, Refused):
        return _problem(422, error.code, error.message, [_entry(error.field, error.message)])
    response = exception_handler(error, context)
    if response is None:
        return None
    if isinstance(error, exceptions.ValidationError):
        entries = list(_entries(error.detail))
        detail = _("Nothing was saved. Mend the fields named in errors.")
        made = _problem(400, "invalid", detail, entries)
    else:
        code = getattr(error, "default_code", "error")
        made = _problem(response.status_code, code, str(getattr(error, "detail", error)), [])
    for name, value in response.headers.items():
        if name.lower() not in {"content-type", "content-length"}:
            made[name] = value
    return made


def problem_page(request: Any, exception: Exception | None = None, *, status: int) -> JsonResponse:
    """Answer outside of a view (no such route, a fault of ours) as a problem object."""
    body = _body(status, "error", str(HTTPStatus(status).description), [])
    return JsonResponse(body, status=status, content_type=CONTENT_TYPE)


def _body(status: int, code: str, detail: str, errors: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
        "code": code,
        "errors": errors,
    }


def _problem(status: int, code: str, detail: str, errors: list[dict[str, Any]]) -> Response:
    return Response(_body(status, code, detail, errors), status=status, content_type=CONTENT_TYPE)


def _entry(field: str | None, message: str) -> dict[str, Any]:
    return {"field": field or "", "message": message, "limit": None}


def _entries(detail: Any, path: str = "") -> Iterator[dict[str, Any]]:
    if isinstance(detail, dict):
        for key, value in detail.items():
            name = "" if key == "non_field_errors" else str(key)
            yield from _entries(value, f"{path}.{name}".strip("."))
    elif isinstance(detail, list):
        for index, value in enumerate(detail):
            nested = isinstance(value, dict | list)
            yield from _entries(value, f"{path}.{index}".strip(".") if nested else path)
    else:
        yield _entry(path, str(detail))
