"""Another odometer in the car, and one that was described wrongly."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from advisory.common.errors import Refused
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.usage.actions import change_odometer, replace_odometer
from advisory.usage.forms import OdometerChangeForm, OdometerForm
from advisory.usage.queries import car_use
from advisory.usage.views.cars import car_or_404


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def odometer_replace(request: HttpRequest, pk: int) -> HttpResponse:
    """Tell of another odometer in the car."""
    by = reader(request)
    car = car_or_404(request, Permission.KEEP_USE, pk)
    odometer = car_use(car).odometer
    form = OdometerForm(
        request.POST if request.method == "POST" else None,
        by=by,
        initial={"unit": odometer.unit, "digits": odometer.digits},
    )
    if form.is_valid():
        data = form.cleaned_data
        try:
            replace_odometer(
                car=car,
                date=data["date"],
                unit=data["unit"],
                digits=data["digits"],
                shown_when_fitted=data["shown_when_fitted"],
                predecessor_showed=data["predecessor_showed"],
                by=by,
                confirm=form.confirms,
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Kept: the car has another odometer."))
            return redirect("usage:logbook", car.pk)
    context = {"car": car, "form": form, "odometer": odometer}
    status = 422 if form.errors else 200
    return render(request, "usage/odometer_replace.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def odometer_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Put right what was said of the odometer that is in the car."""
    by = reader(request)
    car = car_or_404(request, Permission.KEEP_USE, pk)
    odometer = car_use(car).odometer
    form = OdometerChangeForm(
        request.POST if request.method == "POST" else None,
        initial={"unit": odometer.unit, "digits": odometer.digits},
    )
    if form.is_valid():
        try:
            change_odometer(odometer=odometer, by=by, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Put right: what the odometer counts."))
            return redirect("usage:logbook", car.pk)
    context = {"car": car, "form": form}
    status = 422 if form.errors else 200
    return render(request, "usage/odometer_edit.html", context, status=status)
