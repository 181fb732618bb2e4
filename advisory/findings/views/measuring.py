"""Pages of an owner's own measuring."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from advisory.findings.enums import Judgement
from advisory.findings.forms.measuring import MeasureForm
from advisory.findings.judgement import judge
from advisory.findings.models import MeasuredValue, Measuring
from advisory.findings.queries import held_against
from advisory.findings.words import small, verdict_in_words
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Unit


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def measure(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down what was measured on a unit, place by place."""
    by = reader(request)
    units = Unit.objects.select_related("design", "workshop")
    unit = get_object_or_404(rules.scope(by, Permission.REPORT_FINDING, units), pk=pk)
    form = MeasureForm(request.POST if request.method == "POST" else None, unit=unit, by=by)
    if request.method == "POST" and form.is_valid() and (kept := form.save()):
        messages.success(request, _("Kept: what you measured."))
        return redirect("findings:measured", kept.pk)
    context = {"form": form, "unit": unit}
    return render(request, "findings/measure.html", context, status=422 if form.errors else 200)


@login_required
@require_GET
def measured(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what was measured, each size with what it says."""
    by = reader(request)
    rows = Measuring.objects.select_related("unit__design")
    row = get_object_or_404(rules.scope(by, Permission.VIEW_USE, rows), pk=pk)
    values = list(row.values.select_related("position"))
    context = {
        "measuring": row,
        "unit": row.unit,
        "rows": [_said(row.unit, value, by) for value in values],
        "stops": any(value.judgement == Judgement.STOP for value in values),
    }
    return render(request, "findings/measured.html", context)


def _said(unit: Unit, row: MeasuredValue, by: Person) -> dict[str, Any]:
    prefs = preferences_of(by)
    against = held_against(unit, row.position, row.quantity)
    verdict = judge(row.value, row.quantity, against, off=row.uncertainty)
    return {
        "name": row.position.name,
        "size": small(row.value, prefs),
        "said": verdict_in_words(verdict, row.value, against, prefs),
        "stop": verdict.judgement == Judgement.STOP,
        "finding": row.finding_id,
    }
