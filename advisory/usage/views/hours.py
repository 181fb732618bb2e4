"""What a unit's hour counter shows."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from advisory.common.errors import Refused
from advisory.common.quantities import in_words
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Unit
from advisory.usage.actions import record_hours, strike_hours
from advisory.usage.actions.hours import in_hours
from advisory.usage.forms import HoursForm
from advisory.usage.models import HourReading
from advisory.usage.queries import unit_use

ROWS_SHOWN = 100


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def hours(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what the counter showed, and take the next number."""
    by = reader(request)
    posted = request.method == "POST"
    wanted = Permission.KEEP_USE if posted else Permission.VIEW_USE
    unit = get_object_or_404(rules.scope(by, wanted, Unit.objects.select_related("owner")), pk=pk)
    form = HoursForm(request.POST if posted else None, by=by)
    if form.is_valid():
        data = form.cleaned_data
        try:
            record_hours(
                unit=unit,
                date=data["date"],
                running_time=data["hours"],
                anew=data["anew"],
                confirm=form.confirms,
                by=by,
            )
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Kept: the counter showed %s hours.") % form["hours"].data)
            return redirect("usage:hours", unit.pk)
    context: dict[str, Any] = {
        "unit": unit,
        "form": form,
        "speed": _speed_words(unit, by),
        "rows": [
            _RowShown(row) for row in unit.hour_readings.order_by("-date", "-shown")[:ROWS_SHOWN]
        ],
        "keeps": rules.may(by, Permission.KEEP_USE, unit),
    }
    return render(request, "usage/hours.html", context, status=422 if form.errors else 200)


@dataclass(frozen=True)
class _RowShown:
    """One number that the counter showed, in words."""

    row: HourReading

    @property
    def pk(self) -> int:
        return self.row.pk

    @property
    def date(self) -> date:
        return self.row.date

    @property
    def words(self) -> str:
        return _("%(hours)s hours") % {"hours": in_hours(self.row.shown)}

    @property
    def kind_words(self) -> str:
        return _("Another counter") if self.row.anew else ""


def _speed_words(unit: Unit, by: Person) -> str:
    """Return the mean speed that the counter tells; "" where it tells none."""
    speed = unit_use(unit).mean_speed
    return "" if speed is None else in_words(speed, "speed", preferences_of(by))


@login_required
@require_POST
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Take out a number that was a slip."""
    by = reader(request)
    rows = HourReading.objects.select_related("unit")
    row = get_object_or_404(rules.scope(by, Permission.KEEP_USE, rows), pk=pk)
    strike_hours(reading=row, by=by)
    messages.success(request, _("Taken out."))
    return redirect("usage:hours", row.unit_id)
