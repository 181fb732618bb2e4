"""Entering what the odometer shows, and putting a mistyped number right."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.shown import in_figures
from advisory.usage.actions import correct_reading, delete_reading, record_reading
from advisory.usage.forms import ReadingForm
from advisory.usage.models import Reading
from advisory.usage.queries import car_use
from advisory.usage.views.cars import car_or_404, where_next
from advisory.usage.views.logbook import last_shown


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def reading_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter a reading."""
    by = reader(request)
    car = car_or_404(request, Permission.KEEP_USE, pk)
    form = ReadingForm(request.POST if request.method == "POST" else None, by=by)
    back = where_next(request, reverse("usage:logbook", args=[car.pk]))
    if form.is_valid():
        data = form.cleaned_data
        try:
            record_reading(
                car=car,
                date=data["date"],
                shown=data["shown"],
                note=data["note"],
                by=by,
                confirm=form.confirms,
                went_round=form.went_round,
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(
                request, _("Kept: the odometer showed %s.") % in_figures(data["shown"])
            )
            return redirect(back)
    use = car_use(car)
    context = {"car": car, "form": form, "use": use, "odometer": use.odometer, "back": back}
    context |= last_shown(use)
    status = 422 if form.errors else 200
    return render(request, "usage/reading_new.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def reading_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a reading right, say that it is right, or take it out."""
    by = reader(request)
    readings = Reading.objects.select_related("odometer__car")
    reading = get_object_or_404(rules.scope(by, Permission.KEEP_USE, readings), pk=pk)
    car = reading.odometer.car
    back = redirect("usage:logbook", car.pk)
    if request.method == "POST" and "take-out" in request.POST:
        delete_reading(reading=reading, by=by)
        messages.success(request, _("Taken out: the reading of %s.") % in_figures(reading.shown))
        return back
    initial = {"date": reading.date, "shown": reading.shown, "note": reading.note}
    form = ReadingForm(request.POST if request.method == "POST" else None, by=by, initial=initial)
    if form.is_valid():
        data = form.cleaned_data
        try:
            correct_reading(
                reading=reading,
                date=data["date"],
                shown=data["shown"],
                note=data["note"],
                by=by,
                confirm=form.confirms,
                went_round=form.went_round,
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Put right: %s.") % in_figures(data["shown"]))
            return back
    context = {"car": car, "form": form, "reading": reading, "odometer": reading.odometer}
    status = 422 if form.errors else 200
    return render(request, "usage/reading_edit.html", context, status=status)
