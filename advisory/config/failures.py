"""What is answered where no view is, or where one failed: pages to people, problems to programs."""

from http import HTTPStatus

from django.http import HttpRequest, HttpResponseBase
from django.views import defaults

from api.errors import problem_page


def _is_program(request: HttpRequest) -> bool:
    return request.path.startswith("/api/")


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponseBase:
    """Answer what can't be understood."""
    if _is_program(request):
        return problem_page(HTTPStatus.BAD_REQUEST)
    return defaults.bad_request(request, exception)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponseBase:
    """Answer where nothing is."""
    if _is_program(request):
        return problem_page(HTTPStatus.NOT_FOUND)
    return defaults.page_not_found(request, exception)


def server_error(request: HttpRequest) -> HttpResponseBase:
    """Answer a fault of ours, without its details."""
    if _is_program(request):
        return problem_page(HTTPStatus.INTERNAL_SERVER_ERROR)
    return defaults.server_error(request)
