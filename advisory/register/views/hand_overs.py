"""Offering a unit to its owner to be, the tag that goes with it, and claiming it."""

from typing import Any

from allauth.account.adapter import get_adapter
from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.adapters import COME_BACK_TO
from advisory.people.enums import ConsentScope, OrganisationKind
from advisory.people.models import Person
from advisory.people.often import tries_too_often
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.people.words import WHAT_IT_SHOWS, WHAT_STAYS_WITHOUT
from advisory.register.actions import (
    NewOwner,
    claim_unit,
    offer_unit,
    take_back_offer,
    take_on_unit,
)
from advisory.register.claim_code import NO_SUCH_CODE, claim_url, code_from, qr_svg, tidy
from advisory.register.forms import ClaimForm, CodeForm, OfferForm, TakeOnForm
from advisory.register.models import Unit
from advisory.register.queries import current_fitting, offer_by_code, open_offer

# set for this service: more than somebody mistypes, less than a guess needs
MOST_TRIES, WITHIN = 20, 3600


def _giver_or_404(request: HttpRequest, pk: int) -> Unit:
    """Return a unit that is the reader's to give: an owner's own, or a workshop's without one."""
    units = Unit.objects.select_related("design", "workshop", "owner")
    own = rules.scope(request.user, Permission.PASS_ON, units)
    on_the_books = rules.scope(request.user, Permission.BUILD_UNIT, units.filter(owner=None))
    return get_object_or_404(own | on_the_books, pk=pk)


@login_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def hand_over(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer a unit by letter or by tag, and show the offer that waits."""
    by = reader(request)
    unit = _giver_or_404(request, pk)
    stay = current_fitting(unit) if unit.owner_id is not None else None
    form = OfferForm(request.POST if request.method == "POST" else None, unit=unit, stay=stay)
    if form.is_valid():
        try:
            offer = offer_unit(unit=unit, by=by, **form.offered)
        except Refused as refused:
            form.refuse(refused)
        else:
            if offer.email:
                words = _("A letter goes to %(email)s.") % {"email": offer.email}
                messages.success(request, words)
                return redirect("register:hand_over", unit.pk)
            return redirect("register:tag", unit.pk)
    context: dict[str, Any] = {
        "unit": unit,
        "form": form,
        "stay": stay,
        "offer": open_offer(unit),
        "sold": unit.owner_id is not None,
    }
    return render(request, "register/hand_over.html", context, status=422 if form.errors else 200)


@login_required
@never_cache
@require_safe
def tag(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the tag of the offer that waits, to be printed and tied to the unit."""
    unit = _giver_or_404(request, pk)
    offer = open_offer(unit)
    if offer is None or offer.email:
        return redirect("register:hand_over", unit.pk)
    code = code_from(offer.nonce)
    context = {
        "unit": unit,
        "offer": offer,
        "code": code,
        "address": claim_url(code),
        "short": f"{settings.BASE_URL.rstrip('/')}{reverse('register:claim_code')}",
        "qr": qr_svg(claim_url(code)),
    }
    return render(request, "register/tag.html", context)


@login_required
@require_POST
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an offer back."""
    by = reader(request)
    unit = _giver_or_404(request, pk)
    offer = open_offer(unit)
    if offer is not None:
        try:
            take_back_offer(offer=offer, by=by)
        except Refused as refused:
            messages.error(request, refused.message)
        else:
            messages.success(request, _("Taken back: its code opens nothing any more."))
    return redirect("register:hand_over", unit.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def claim_code(request: HttpRequest) -> HttpResponse:
    """Take the code as it is typed off a tag."""
    form = CodeForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        if _too_often(request):
            return render(request, "429.html", status=429)
        if offer_by_code(form.cleaned_data["code"]) is not None:
            return redirect("register:claim", tidy(form.cleaned_data["code"]))
        form.add_error("code", str(NO_SUCH_CODE))
    status = 422 if form.errors else 200
    return render(request, "register/claim_code.html", {"form": form}, status=status)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def claim(request: HttpRequest, code: str) -> HttpResponse:
    """Meet the holder of a code: let them take the unit over, or say what to do first.

    Public, because the code is what opens it, and its holder may have no account yet.
    """
    offer = offer_by_code(code)
    if offer is None:
        if _too_often(request):
            return render(request, "429.html", status=429)
        context = {"form": CodeForm({"code": code}), "unknown": True}
        return render(request, "register/claim_code.html", context, status=404)
    here = reverse("register:claim", args=[tidy(code)])
    context = {"offer": offer, "unit": offer.unit, "here": here}
    if not offer.waits:
        return render(request, "register/claim.html", context, status=410)
    if not isinstance(request.user, Person) or not request.user.is_authenticated:
        request.session[COME_BACK_TO] = here
        return render(request, "register/claim.html", context)
    request.session.pop(COME_BACK_TO, None)
    if offer.for_workshop:
        return render(request, "register/claim.html", context)
    by = reader(request)
    form = ClaimForm(request.POST if request.method == "POST" else None, by=by, offer=offer)
    if form.is_valid():
        try:
            unit = claim_unit(code=code, by=by, new=NewOwner(**form.told))
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("It is yours now: %s.") % unit)
            return redirect("plans:unit", unit.pk)
    workshop = offer.unit.workshop
    context |= {
        "form": form,
        "stay": current_fitting(offer.unit) if offer.with_car else None,
        "shows": WHAT_IT_SHOWS[ConsentScope.RECORDS] if workshop else "",
        "stays": WHAT_STAYS_WITHOUT[OrganisationKind.WORKSHOP] if workshop else "",
    }
    return render(request, "register/claim.html", context, status=422 if form.errors else 200)


@login_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def take_on(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a unit that an owner brings onto a workshop's books, with its code."""
    by = reader(request)
    shops = rules.organisations_where(by, Permission.REGISTER_UNIT)
    workshop = get_object_or_404(shops, pk=pk)
    form = TakeOnForm(request.POST if request.method == "POST" else None, workshop=workshop)
    if form.is_valid():
        if _too_often(request):
            return render(request, "429.html", status=429)
        data = form.cleaned_data
        try:
            unit = take_on_unit(code=data["code"], workshop=workshop, by=by, design=data["design"])
        except Refused as refused:
            form.add_error(refused.field if refused.field in form.fields else None, refused.message)
        else:
            messages.success(request, _("On the books: %s.") % unit)
            return redirect("plans:unit", unit.pk)
    context = {"workshop": workshop, "form": form}
    return render(request, "register/take_on.html", context, status=422 if form.errors else 200)


def _too_often(request: HttpRequest) -> bool:
    """Say whether somebody tries one code after the other."""
    who = str(get_adapter(request).get_client_ip(request))
    return tries_too_often("claim", who, most=MOST_TRIES, within=WITHIN)
