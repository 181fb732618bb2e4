"""Adding a car, and changing what is said of it."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.actions import add_car, change_car
from advisory.register.forms import CarForm, NewCarForm
from advisory.register.models import Car

SAID = ("maker", "model", "year", "roads", "short_run_share", "expected_annual_distance")
ODOMETER = ("odometer_unit", "odometer_digits", "shown")


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def car_new(request: HttpRequest) -> HttpResponse:
    """Add a car with its odometer."""
    by = reader(request)
    form = NewCarForm(request.POST if request.method == "POST" else None, by=by)
    if form.is_valid():
        data = {name: form.cleaned_data[name] for name in (*SAID, *ODOMETER)}
        try:
            car = add_car(by=by, confirm=form.confirms, **data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Kept: %s.") % car)
            return redirect("usage:logbook", car.pk)
    status = 422 if form.errors else 200
    return render(request, "register/car_new.html", {"form": form}, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def car_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is said of a car."""
    by = reader(request)
    car = get_object_or_404(rules.scope(by, Permission.CHANGE_UNIT, Car.objects.all()), pk=pk)
    form = CarForm(
        request.POST if request.method == "POST" else None,
        by=by,
        initial={name: getattr(car, name) for name in SAID},
    )
    if form.is_valid():
        try:
            change_car(car=car, by=by, **{name: form.cleaned_data[name] for name in SAID})
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Kept: what is said of %s.") % car)
            return redirect("usage:logbook", car.pk)
        car.refresh_from_db()
    context = {"car": car, "form": form}
    status = 422 if form.errors else 200
    return render(request, "register/car_edit.html", context, status=status)
