"""The pages of what comes back again: for a workshop's people, about what they may see."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from advisory.findings.models import Finding
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.models import Organisation, Person
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Unit
from advisory.reports.enums import Cut, Period
from advisory.reports.forms import YearsForm
from advisory.reports.queries import workshops_of
from advisory.reports.recurring import (
    Tables,
    UnitBehind,
    Watched,
    tables_of,
    units_behind,
    watched_by,
)
from advisory.reports.recurring.shown import csv_of, row_shown, table_shown
from advisory.reports.recurring.words import cell_in_words, years_in_words

A_PAGE = 40


def _seen(request: HttpRequest, pk: int) -> tuple[Person, Organisation, YearsForm, Watched]:
    by = reader(request)
    shop = get_object_or_404(workshops_of(by), pk=pk)
    form = YearsForm.of(request.GET)
    return by, shop, form, watched_by(shop, by, today_of(by), form.period)


@login_required
@never_cache
@require_safe
def recurring(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what is found again and again on the workshop's units."""
    _by, shop, form, seen = _seen(request, pk)
    tables: Tables = tables_of(seen)
    context = {
        "workshop": shop,
        "form": form,
        "counted": tables,
        "years": years_in_words(tables.years),
        "standing_out": [row_shown(cut, row) for cut, row in tables.standing_out],
        "tables": [table_shown(table) for table in tables.tables if table.rows],
        "period": form.period.value,
        "whole": Period.ALL.value,
    }
    return render(request, "reports/recurring.html", context)


@login_required
@never_cache
@require_safe
def recurring_csv(request: HttpRequest, pk: int) -> HttpResponse:
    """Give all that was counted as a CSV file."""
    by, _shop, _form, seen = _seen(request, pk)
    answer = HttpResponse(csv_of(tables_of(seen)), content_type="text/csv; charset=utf-8")
    name = f"findings-{today_of(by):%Y-%m-%d}.csv"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@login_required
@never_cache
@require_safe
def recurring_units(request: HttpRequest, pk: int) -> HttpResponse:
    """List the units behind a cell, those with most findings first."""
    by, shop, form, seen = _seen(request, pk)
    cut = cut_or_404(request.GET.get("by", ""))
    behind = units_behind(seen, cut, request.GET.get("cell", ""))
    if behind is None:
        raise Http404
    cell, units = behind
    page = Paginator(units, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "workshop": shop,
        "cut": cut,
        "name": cell_in_words(cut, cell),
        "page": page,
        "rows": rows_behind(by, list(page.object_list)),
        "with_any": sum(1 for each in units if each.findings),
        "period": form.period,
    }
    return render(request, "reports/recurring_units.html", context)


def cut_or_404(asked: str) -> Cut:
    """Return the cut that is asked for by its name."""
    try:
        return Cut(asked)
    except ValueError:
        raise Http404 from None


def rows_behind(by: Person, behind: list[UnitBehind]) -> list[dict[str, Any]]:
    """Fetch units and findings of one page of a list, in two queries."""
    units = rules.scope(
        by, Permission.VIEW_USE, Unit.objects.filter(pk__in=[each.unit for each in behind])
    )
    unit_of = {unit.pk: unit for unit in units.select_related("design", "owner")}
    keys = [key for each in behind for key in each.findings]
    findings = rules.scope(by, Permission.VIEW_FINDING, Finding.objects.filter(pk__in=keys))
    finding_of = {row.pk: row for row in findings.select_related("position")}
    return [
        {
            "unit": unit_of[each.unit],
            "years": years_in_words(each.years),
            "findings": sorted(
                (finding_of[key] for key in each.findings if key in finding_of),
                key=lambda row: row.seen_on,
                reverse=True,
            ),
        }
        for each in behind
        if each.unit in unit_of
    ]
