"""A person's own pages: what the account holds, units and zone, the key for programs."""

from allauth.account.decorators import reauthentication_required
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods
from rest_framework.authtoken.models import Token

from advisory.common.errors import Refused
from advisory.people.actions import create_token, revoke_token, set_preferences
from advisory.people.actions.accounts import PREFERENCES
from advisory.people.forms import PreferencesForm
from advisory.people.queries import memberships_of
from advisory.people.reader import reader


@login_required
@require_GET
def overview(request: HttpRequest) -> HttpResponse:
    """Show everything that can be set for oneself, and where one belongs."""
    return render(request, "people/account.html", {"memberships": memberships_of(reader(request))})


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def preferences(request: HttpRequest) -> HttpResponse:
    """Choose name, units and zone."""
    by = reader(request)
    form = PreferencesForm(
        request.POST if request.method == "POST" else None,
        by=by,
        initial={name: getattr(by, name) for name in PREFERENCES},
    )
    if form.is_valid():
        try:
            set_preferences(by=by, **form.cleaned_data)
        except Refused as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("From now on everything is shown that way."))
            return redirect("people:account")
    status = 422 if form.errors else 200
    return render(request, "people/preferences.html", {"form": form}, status=status)


@login_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@reauthentication_required(allow_get=True)  # type: ignore[untyped-decorator]
def token(request: HttpRequest) -> HttpResponse:
    """Make or end the key with which programs sign in; it is shown once, when it is made."""
    by = reader(request)
    made = ""
    if request.method == "POST":
        if "revoke" in request.POST:
            revoke_token(by=by)
            messages.success(request, _("The key no longer opens anything."))
            return redirect("people:token")
        made = create_token(by=by)
    standing = Token.objects.filter(user=by).first()
    return render(request, "people/token.html", {"made": made, "standing": standing})
