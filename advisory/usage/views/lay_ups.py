"""Putting a car away, and taking it out again."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.usage.actions import cancel_lay_up, lay_up_car, return_car_to_use
from advisory.usage.forms import LayUpForm, ReturnForm
from advisory.usage.models import LayUp
from advisory.usage.queries import car_use
from advisory.usage.views.cars import car_or_404


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def lay_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Put the car away."""
    by = reader(request)
    car = car_or_404(request, Permission.KEEP_USE, pk)
    form = LayUpForm(request.POST if request.method == "POST" else None, by=by)
    if form.is_valid():
        data = form.cleaned_data
        try:
            lay_up_car(
                car=car,
                date=data["date"],
                until=data["until"],
                shown=data["shown"],
                by=by,
                confirm=form.confirms,
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            if data["date"] > today_of(by):
                messages.success(request, _("Kept: the lay-up is announced."))
            else:
                messages.success(request, _("Kept: the car is laid up."))
            return redirect("usage:logbook", car.pk)
    context = {"car": car, "form": form, "odometer": car_use(car).odometer}
    status = 422 if form.errors else 200
    return render(request, "usage/lay_up.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def return_to_use(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the car out of its lay-up."""
    by = reader(request)
    car = car_or_404(request, Permission.KEEP_USE, pk)
    form = ReturnForm(request.POST if request.method == "POST" else None, by=by)
    if form.is_valid():
        data = form.cleaned_data
        try:
            return_car_to_use(
                car=car, date=data["date"], shown=data["shown"], by=by, confirm=form.confirms
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Kept: the car is in use again."))
            return redirect("usage:logbook", car.pk)
    context = {"car": car, "form": form, "odometer": car_use(car).odometer}
    status = 422 if form.errors else 200
    return render(request, "usage/return.html", context, status=status)


@login_required
@require_POST
def cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Take out a lay-up that never was."""
    by = reader(request)
    spells = rules.scope(by, Permission.KEEP_USE, LayUp.objects.select_related("car"))
    spell = get_object_or_404(spells, pk=pk)
    cancel_lay_up(lay_up=spell, by=by)
    messages.success(request, _("Taken out: that lay-up."))
    return redirect("usage:logbook", spell.car_id)
