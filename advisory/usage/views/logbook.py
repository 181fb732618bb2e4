"""A car's logbook: readings with distance, lay-ups, instruments."""

from datetime import date
from typing import Any

from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Car, Unit
from advisory.register.shown import in_figures
from advisory.usage.logbook_page import logbook_rows
from advisory.usage.queries import car_use, car_uses_of
from advisory.usage.use import CarUse
from advisory.usage.views.cars import car_or_404

A_PAGE = 20


def last_shown(use: CarUse) -> dict[str, Any]:
    """Return the last number that is believed and its day, in words for a page."""
    if use.latest is None:
        return {}
    return {
        "latest_shown": in_figures(use.latest.reading.shown),
        "latest_day": date.fromordinal(use.latest.reading.day),
    }


@login_required
@require_safe
def own_logbook(request: HttpRequest) -> HttpResponse:
    """Lead to the reader's one car, or list them with what each odometer showed last."""
    by = reader(request)
    cars = list(Car.objects.filter(owner=by).select_related("owner"))
    if len(cars) == 1:
        return redirect("usage:logbook", cars[0].pk)
    uses = car_uses_of(cars)
    today = today_of(by)
    shown = [
        {
            "car": car,
            "last": [row for row in logbook_rows(uses[car.pk]) if not row.doubtful][:1],
            "laid_up": uses[car.pk].laid_up(today),
        }
        for car in cars
    ]
    return render(request, "usage/own_logbook.html", {"cars": shown})


@login_required
@require_safe
def logbook(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how far a car has come, all its readings, its lay-ups and instruments."""
    by = reader(request)
    car = car_or_404(request, Permission.VIEW_USE, pk)
    use, today = car_use(car), today_of(by)
    page = Paginator(logbook_rows(use), A_PAGE).get_page(request.GET.get("page"))
    units = rules.scope(by, Permission.VIEW_USE, Unit.objects.select_related("design"))
    context = {
        "car": car,
        "use": use,
        "page": page,
        "rows": page.object_list,
        "laid_up": use.laid_up(today),
        "annual_distance": use.annual_distance(today) if len(use.trace.believed) > 1 else None,
        **last_shown(use),
        "lay_ups": use.lay_ups[::-1],
        "today": today,
        "units": units.filter(fittings__car=car, fittings__until_date=None).distinct(),
        "keeps": rules.may(by, Permission.KEEP_USE, car),
        "changes": rules.may(by, Permission.CHANGE_UNIT, car),
    }
    return render(request, "usage/logbook.html", context)
