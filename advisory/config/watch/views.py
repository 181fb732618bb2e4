"""Pages for whoever watches the service: plain, and fail closed.

Whether it lives and whether it is ready is told to everybody, in one word. What is wrong is told to
staff, to whoever brings the token, and where that is chosen to who asks from this machine itself.
"""

from ipaddress import ip_address

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils.crypto import constant_time_compare
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from advisory.config.watch import figures, health
from advisory.people.models import Person

OK, AWAY = 200, 503


@never_cache
@require_safe
def live(request: HttpRequest) -> HttpResponse:
    """Say that this process answers; nothing else is asked."""
    return HttpResponse("ok\n", content_type="text/plain; charset=utf-8")


@never_cache
@require_safe
def ready(request: HttpRequest) -> HttpResponse:
    """Say whether this process can do its work, and to who may know it what is wrong."""
    states = health.state_of_parts()
    well = all(state == "ok" for state in states.values())
    status = OK if well else AWAY
    if may_look(request, database=states["database"] == "ok"):
        return JsonResponse({"ready": well, "parts": states}, status=status)
    word = "ready\n" if well else "not ready\n"
    return HttpResponse(word, status=status, content_type="text/plain; charset=utf-8")


@never_cache
@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """Give the figures to who may have them; to anybody else there is no such page."""
    if not may_look(request, database=True):
        raise Http404
    return HttpResponse(figures.written(), content_type=figures.CONTENT_TYPE)


def may_look(request: HttpRequest, *, database: bool) -> bool:
    """Whether who asks may know more: by token, by asking from here, or as staff."""
    return _brings_token(request) or _asks_from_here(request) or (database and _is_staff(request))


def _brings_token(request: HttpRequest) -> bool:
    scheme, _space, token = request.headers.get("Authorization", "").partition(" ")
    wanted = settings.METRICS_TOKEN
    return bool(
        wanted and scheme.lower() == "bearer" and constant_time_compare(token.strip(), wanted)
    )


def _asks_from_here(request: HttpRequest) -> bool:
    """Whether the request came from this machine, and through no proxy on it."""
    if not settings.METRICS_LOOPBACK or settings.BEHIND_PROXY:
        return False
    if "X-Forwarded-For" in request.headers or "Forwarded" in request.headers:
        return False
    try:
        return ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False


def _is_staff(request: HttpRequest) -> bool:
    person = request.user
    return isinstance(person, Person) and person.is_active and person.is_staff
