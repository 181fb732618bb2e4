"""Pages that belong to no app."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

from advisory.common.stylesheet import style_sheet
from advisory.common.templatetags.components import theme_name

A_YEAR = 60 * 60 * 24 * 365


@require_POST
def choose_theme(request: HttpRequest) -> HttpResponse:
    """Keep the chosen light in a cookie and go back to the page it was chosen on."""
    back = request.POST.get("next", "")
    if not url_has_allowed_host_and_scheme(
        back, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    ):
        back = "/"
    response = redirect(back)
    response.set_cookie(
        "theme",
        theme_name(request.POST.get("theme")),
        max_age=A_YEAR,
        samesite="Lax",
        secure=request.is_secure(),
        httponly=True,
    )
    return response


@require_GET
def stylesheet(request: HttpRequest, digest: str) -> HttpResponse:
    """Give the style sheet of all components, packed where the browser unpacks it."""
    sheet = style_sheet()
    if digest != sheet.digest:  # a page from before the last release
        return HttpResponseRedirect(reverse("stylesheet", args=[sheet.digest]))
    packed = "gzip" in request.headers.get("Accept-Encoding", "")
    response = HttpResponse(sheet.packed if packed else sheet.plain, content_type="text/css")
    if packed:
        response["Content-Encoding"] = "gzip"
    patch_vary_headers(response, ["Accept-Encoding"])
    response["Cache-Control"] = f"public, max-age={A_YEAR}, immutable"
    return response
