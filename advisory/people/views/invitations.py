"""Inviting somebody, and what the holder of the letter meets."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.actions import accept_invitation, invite_member, withdraw_invitation
from advisory.people.adapters import COME_BACK_TO
from advisory.people.enums import Role
from advisory.people.forms import InvitationForm
from advisory.people.models import Invitation, Person
from advisory.people.queries import invitation_by, owns_address
from advisory.people.reader import reader
from advisory.people.rules import Permission


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def invite(request: HttpRequest, pk: int) -> HttpResponse:
    """Send somebody a letter that lets them in."""
    by = reader(request)
    led = rules.organisations_where(by, Permission.MANAGE_ORGANISATION)
    organisation = get_object_or_404(led, pk=pk)
    form = InvitationForm(
        request.POST if request.method == "POST" else None, organisation=organisation
    )
    if form.is_valid():
        data = form.cleaned_data
        try:
            made, _token = invite_member(
                organisation=organisation, email=data["email"], role=Role(data["role"]), by=by
            )
        except Refused as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("A letter goes to %(email)s.") % {"email": made.email})
            return redirect("people:organisation", organisation.pk)
    context = {"form": form, "organisation": organisation}
    return render(request, "people/invite.html", context, status=422 if form.errors else 200)


@login_required
@require_POST
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a letter back."""
    by = reader(request)
    led = rules.scope(by, Permission.MANAGE_ORGANISATION, Invitation.objects.all())
    row = get_object_or_404(led.select_related("organisation"), pk=pk)
    try:
        withdraw_invitation(invitation=row, by=by)
    except Refused as refusal:
        messages.error(request, refusal.message)
    else:
        words = _("The letter to %(email)s no longer opens anything.")
        messages.success(request, words % {"email": row.email})
    return redirect("people:organisation", row.organisation_id)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def invitation(request: HttpRequest, token: str) -> HttpResponse:
    """Meet the holder of a letter: let them in, or say what to do first.

    Public, because the letter's secret is what opens it, and its holder may have no account yet.
    """
    row = invitation_by(token)
    if row is None:
        raise Http404
    refusal = None
    if request.user.is_authenticated:
        request.session.pop(COME_BACK_TO, None)
    elif row.waits:  # who signs in or up from here comes back here
        request.session[COME_BACK_TO] = reverse("people:invitation", args=[token])
    if request.method == "POST" and request.user.is_authenticated:
        try:
            membership = accept_invitation(token=token, by=reader(request))
        except Refused as refused:
            refusal = refused
        else:
            words = _("You are in: %(role)s of %(organisation)s.")
            messages.success(
                request,
                words
                % {
                    "role": membership.get_role_display(),
                    "organisation": membership.organisation,
                },
            )
            return redirect("people:organisation", membership.organisation_id)
    context = {
        "invitation": row,
        "token": token,
        "refusal": refusal,
        "is_theirs": isinstance(request.user, Person) and owns_address(request.user, row.email),
    }
    gone = 200 if row.waits else 410
    status = 422 if refusal else gone
    return render(request, "people/invitation.html", context, status=status)
