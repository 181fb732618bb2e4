"""A workshop's books: its units, putting one on, how it signs."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.models import Organisation
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.actions import add_unit, set_practice
from advisory.register.finding_units import LONGEST_SEARCH, MOST_FOUND, units_of_workshop
from advisory.register.forms import PracticeForm, WorkshopUnitForm
from advisory.register.models import WorkshopPractice
from advisory.register.queries import with_builds

A_PAGE = 40


def _workshop_or_404(request: HttpRequest, pk: int) -> Organisation:
    workshops = rules.organisations_where(request.user, Permission.REGISTER_UNIT)
    return get_object_or_404(workshops, pk=pk)


@login_required
@require_safe
def workshop_units(request: HttpRequest, pk: int) -> HttpResponse:
    """List the units on a workshop's books, or find one by what is remembered of it."""
    workshop = _workshop_or_404(request, pk)
    words = request.GET.get("q", "")[:LONGEST_SEARCH].strip()
    units = with_builds(units_of_workshop(reader(request), workshop, words))
    page = Paginator(units, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "workshop": workshop,
        "page": page,
        "units": list(page.object_list),
        "words": words,
        "most": MOST_FOUND if words and page.paginator.count == MOST_FOUND else 0,
    }
    return render(request, "register/workshop_units.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def workshop_unit_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a unit on a workshop's books."""
    by = reader(request)
    workshop = _workshop_or_404(request, pk)
    form = WorkshopUnitForm(
        request.POST if request.method == "POST" else None, by=by, workshop=workshop
    )
    if form.is_valid():
        try:
            unit = add_unit(by=by, workshop=workshop, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("On the books: %s.") % unit)
            return redirect("register:build_new", unit.pk)
    context = {"workshop": workshop, "form": form}
    status = 422 if form.errors else 200
    return render(request, "register/workshop_unit_new.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def practice(request: HttpRequest, pk: int) -> HttpResponse:
    """Say how the workshop signs its sheets; its manager decides, the others read."""
    by = reader(request)
    workshop = _workshop_or_404(request, pk)
    leads = rules.may(by, Permission.MANAGE_ORGANISATION, workshop)
    there = WorkshopPractice.objects.filter(workshop=workshop).first()
    form = PracticeForm(
        request.POST if request.method == "POST" and leads else None,
        initial={"second_look": there is not None and there.second_look},
    )
    if request.method == "POST":
        if not leads:
            raise Http404
        if form.is_valid():
            set_practice(workshop=workshop, by=by, second_look=form.cleaned_data["second_look"])
            messages.success(request, _("Kept: how the workshop signs."))
            return redirect("register:practice", workshop.pk)
    context = {"workshop": workshop, "form": form, "leads": leads, "practice": there}
    return render(request, "register/practice.html", context)
