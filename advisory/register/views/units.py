"""An owner's units: the first evening, the name, the car."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.actions import (
    change_unit,
    fit_unit,
    move_unit,
    remove_unit_from_car,
    start_alone,
)
from advisory.register.forms import FitForm, RemoveForm, StartForm, UnitForm
from advisory.register.models import Car, Unit
from advisory.register.queries import current_fitting


def unit_or_404(request: HttpRequest, permission: Permission, pk: int) -> Unit:
    """Return a unit on which the reader holds a permission."""
    units = Unit.objects.select_related("design", "workshop", "owner")
    return get_object_or_404(rules.scope(request.user, permission, units), pk=pk)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def unit_new(request: HttpRequest) -> HttpResponse:
    """Add one's own unit from a starter design, with its car and odometer, in one go."""
    by = reader(request)
    form = StartForm(request.POST if request.method == "POST" else None, by=by)
    if form.is_valid():
        data = form.cleaned_data
        try:
            unit = start_alone(
                by=by,
                design=data["design"],
                car=form.chosen_car,
                name=data["name"],
                serial=data["serial"],
                fitted_on=data["fitted_on"],
                shown=data["shown"],
                confirm=form.confirms,
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Kept: %s.") % unit)
            if data["oil"] == "known":
                return redirect("lubrication:arrangement_new", unit.pk)
            return redirect("plans:unit", unit.pk)
    status = 422 if form.errors else 200
    return render(request, "register/unit_new.html", {"form": form}, status=status)


def _move(unit: Unit, form: RemoveForm | FitForm, by: Person) -> Car | None:
    """Do what a form says of a unit's car; return the car that it is in then."""
    told: dict[str, Any] = form.cleaned_data
    said = {"unit": unit, "date": told["date"], "shown": told["shown"], "by": by}
    said["confirm"] = form.confirms
    if isinstance(form, FitForm):
        fit_unit(car=told["car"], **said)
        return told["car"]  # type: ignore[no-any-return]
    if form.into is not None:
        move_unit(car=form.into, shown_there=told["shown_there"], **said)
        return form.into
    remove_unit_from_car(left_for=told["goes"], **said)
    return None


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def unit_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a unit's name and serial number."""
    by = reader(request)
    unit = unit_or_404(request, Permission.CHANGE_UNIT, pk)
    form = UnitForm(
        request.POST if request.method == "POST" else None,
        initial={"name": unit.name, "serial": unit.serial},
    )
    if form.is_valid():
        try:
            change_unit(unit=unit, by=by, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Kept: %s.") % unit)
            return redirect("plans:unit", unit.pk)
        unit.refresh_from_db()
    context = {"unit": unit, "form": form}
    status = 422 if form.errors else 200
    return render(request, "register/unit_edit.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def fit(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a unit into a car, or take it out of the one that it is in."""
    unit = unit_or_404(request, Permission.CHANGE_UNIT, pk)
    fitting = current_fitting(unit)
    by, data = reader(request), request.POST if request.method == "POST" else None
    form: RemoveForm | FitForm
    form = RemoveForm(data, by=by, fitting=fitting) if fitting else FitForm(data, by=by)
    if form.is_valid():
        try:
            into = _move(unit, form, by)
        except Refused as refused:
            form.refuse(refused)
        else:
            if into is not None:
                messages.success(request, _("Kept: it is in %s.") % into)
            else:
                messages.success(request, _("Kept: it is out of %s.") % (fitting and fitting.car))
            return redirect("plans:unit", unit.pk)
    context = {
        "unit": unit,
        "fitting": fitting,
        "form": form,
        "past": unit.fittings.exclude(until_date=None).select_related("car").order_by("-from_date"),
    }
    status = 422 if form.errors else 200
    return render(request, "register/fit.html", context, status=status)
