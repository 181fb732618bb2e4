"""Pages that belong to no app."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

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
