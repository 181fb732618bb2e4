"""Pages of a unit's oil: how it is oiled, why this interval, what was done, which oils."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from advisory.common.errors import Refused
from advisory.lubrication.actions import strike_oil_service
from advisory.lubrication.adapters import grades_of, method_tables
from advisory.lubrication.advice import advise_and_keep
from advisory.lubrication.explain import explain
from advisory.lubrication.forms import ArrangementForm, LubricantForm, ServiceForm
from advisory.lubrication.models import OilArrangement, OilService
from advisory.lubrication.queries import advice_history, lubricants_for, oil_of
from advisory.lubrication.story import story_of
from advisory.lubrication.words import arrangement_figures, oil_figures, show_oil
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Unit

ROWS_A_PAGE = 20


def _unit(by: Person, permission: Permission, pk: int) -> Unit:
    units = Unit.objects.select_related("design__workshop", "workshop", "owner")
    return get_object_or_404(rules.scope(by, permission, units), pk=pk)


@login_required
@require_GET
def arrangement(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how a unit is oiled now, and how it was before."""
    by = reader(request)
    unit = _unit(by, Permission.VIEW_USE, pk)
    prefs = preferences_of(by)
    rows = list(
        OilArrangement.objects.filter(unit=unit).select_related("lubricant").order_by("-from_date")
    )
    context = {
        "unit": unit,
        "figures": oil_figures(oil_of(unit), prefs),
        "history": [(row, arrangement_figures(row, prefs)) for row in rows],
        "changes": rules.may(by, Permission.CHANGE_UNIT, unit),
    }
    return render(request, "lubrication/arrangement.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def arrangement_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Say how a unit is oiled from a day on; what was so before stays as history."""
    by = reader(request)
    unit = _unit(by, Permission.CHANGE_UNIT, pk)
    current = oil_of(unit).arrangement
    data = request.POST if request.method == "POST" else None
    form = ArrangementForm(data, unit=unit, by=by, current=current)
    if data is not None and form.is_valid() and form.save():
        messages.success(request, _("Written down; the plan follows."))
        return redirect("lubrication:arrangement", unit.pk)
    return _form(request, "lubrication/arrangement_new.html", form, {"unit": unit})


@login_required
@require_GET
def advice(request: HttpRequest, pk: int) -> HttpResponse:
    """Explain the oil-change interval of a unit, and keep what was shown."""
    by = reader(request)
    unit = _unit(by, Permission.VIEW_USE, pk)
    kept = advise_and_keep(unit)
    prefs = preferences_of(by)
    context = {
        "unit": unit,
        "advice": kept,
        "explained": explain(kept, prefs),
        "story": story_of(advice_history(unit, by, kept.method), prefs, geared=False),
        "changes": rules.may(by, Permission.CHANGE_UNIT, unit),
    }
    return render(request, "lubrication/advice.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def services(request: HttpRequest, pk: int) -> HttpResponse:
    """List what was done with the oil, and take what was done now."""
    by = reader(request)
    unit = _unit(by, Permission.VIEW_USE, pk)
    keeps = rules.may(by, Permission.KEEP_USE, unit)
    data = request.POST if request.method == "POST" else None
    if data is not None and not keeps:
        unit = _unit(by, Permission.KEEP_USE, pk)
    form = ServiceForm(data, unit=unit, by=by) if keeps else None
    if form is not None and data is not None and form.is_valid() and form.save():
        messages.success(request, _("Written down; the plan follows."))
        return redirect("lubrication:services", unit.pk)
    rows = OilService.objects.filter(unit=unit).select_related("lubricant", "entered_by")
    page = Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {"unit": unit, "page": page, "keeps": keeps}
    return _form(request, "lubrication/services.html", form, context)


@login_required
@require_POST
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Take out a service that was written down by mistake."""
    by = reader(request)
    rows = OilService.objects.select_related("unit")
    row = get_object_or_404(rules.scope(by, Permission.KEEP_USE, rows), pk=pk)
    unit_id = row.unit_id
    try:
        strike_oil_service(service=row, by=by)
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, _("Taken out; the plan follows. Its odometer reading stays."))
    return redirect("lubrication:services", unit_id)


@login_required
@require_GET
def lubricants(request: HttpRequest) -> HttpResponse:
    """List the oils that the reader may choose from, with the grades that they make."""
    by = reader(request)
    rows = lubricants_for(by).select_related("workshop")
    page = Paginator(rows, 2 * ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "oils": [show_oil(row) for row in page]}
    return render(request, "lubrication/lubricants.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def lubricant_new(request: HttpRequest) -> HttpResponse:
    """Take an oil from its data sheet, and say which grades it makes."""
    by = reader(request)
    data = request.POST if request.method == "POST" else None
    form = LubricantForm(data, by=by)
    if data is not None and form.is_valid() and (added := form.save()):
        made = ", ".join(grades_of(added)) or _("no grade of today")
        messages.success(
            request,
            _("%(name)s is in your list. Its figures make: %(grades)s. Is that what is on the can?")
            % {"name": added.name, "grades": made},
        )
        return redirect("lubrication:lubricants")
    return _form(request, "lubrication/lubricant_new.html", form, {})


@login_required
@require_GET
def assumptions(request: HttpRequest) -> HttpResponse:
    """Print every figure of the interval that was set rather than derived, with its source."""
    return render(request, "lubrication/assumptions.html", {"tables": method_tables()})


def _form(request: HttpRequest, template: str, form: Any, context: dict[str, Any]) -> HttpResponse:
    """Show a page with a form; a refused one says so to programs, too."""
    failed = form is not None and form.is_bound and bool(form.errors)
    return render(request, template, context | {"form": form}, status=422 if failed else 200)
