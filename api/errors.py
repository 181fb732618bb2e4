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

from advisory.common.calculation import CalculationRefused
from advisory.common.errors import NotAllowed, Question, Refused
from advisory.common.problems import FieldError, Problem, bad_input, problem

CONTENT_TYPE = "application/problem+json"


def problem_response(error: Exception, context: dict[str, Any]) -> Response | None:
    """Answer `error` as a problem object; None for what is a fault of ours."""
    if isinstance(error, NotAllowed | Http404 | PermissionDenied):
        # whoever may not see a row is told what a stranger to it is told: it isn't there
        error = exceptions.NotFound(_("There is nothing here, or it is not yours to see."))
    answer = exception_handler(error, context)
    made = _problem_of(error, answer)
    if made is None:
        return None
    response = Response(made.as_dict(), status=made.status, content_type=CONTENT_TYPE)
    for name, value in answer.headers.items() if answer is not None else ():
        if name.lower() not in {"content-type", "content-length"}:
            response[name] = value
    return response


def problem_page(status: HTTPStatus) -> JsonResponse:
    """Answer what never reached a view, or failed in one, as a problem object."""
    made = problem(
        f"http-{status.value}",
        status.phrase,
        status.description or status.phrase,
        status=status.value,
    )
    return JsonResponse(made.as_dict(), status=made.status, content_type=CONTENT_TYPE)


def _problem_of(error: Exception, answer: Response | None) -> Problem | None:
    if isinstance(error, CalculationRefused):
        return error.problem
    if isinstance(error, Question):
        return _refused(error, _("A question first"), 409)
    if isinstance(error, Refused):
        return _refused(error, _("Not done, and nothing was saved"), 422)
    if answer is None:
        return None
    if isinstance(error, exceptions.ValidationError):
        return bad_input(list(_field_errors(error.detail)))
    slug = str(getattr(error, "default_code", "error")).replace("_", "-")
    title = HTTPStatus(answer.status_code).phrase
    detail = str(getattr(error, "detail", title))
    return problem(slug, title, detail, status=answer.status_code)


def _refused(error: Refused, title: str, status: int) -> Problem:
    slug = "question" if isinstance(error, Question) else "refused"
    if error.code != "invalid":
        slug = error.code.replace("_", "-")
    errors = [FieldError(error.field, error.message)] if error.field else []
    return problem(slug, title, error.message, status=status, errors=errors)


def _field_errors(detail: Any, path: str = "") -> Iterator[FieldError]:
    if isinstance(detail, dict):
        for key, value in detail.items():
            name = "" if key == "non_field_errors" else str(key)
            yield from _field_errors(value, f"{path}.{name}".strip("."))
    elif isinstance(detail, list):
        for index, value in enumerate(detail):
            nested = isinstance(value, dict | list)
            yield from _field_errors(value, f"{path}[{index}]" if nested else path)
    else:
        yield FieldError(path, str(detail))
