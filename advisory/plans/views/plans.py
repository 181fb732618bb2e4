"""Pages of the plans app: what a unit needs next, and when."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from advisory.common.cautions import AFTER_WORK, CAUTIONS
from advisory.common.errors import Refused
from advisory.findings.queries import (
    found_on,
    last_measured,
    newest,
    waiting_for_owner,
    with_writing,
)
from advisory.lubrication.advice import latest_advice
from advisory.lubrication.explain import Explained, explain
from advisory.lubrication.oil_way import oil_way
from advisory.lubrication.queries import oil_of
from advisory.lubrication.words import oil_figures
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.queries import at_work
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.plans.actions import take_back
from advisory.plans.booklet import booklet_of
from advisory.plans.forms.plans import DoneForm, WhatIfForm
from advisory.plans.history import history_of, sources_for
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.queries import done_lately, halts_among, halts_of, last_done, own_units
from advisory.plans.shown import instrument_shown, limit_figures, show_item
from advisory.plans.unit_shown import UnitShown, show_units
from advisory.plans.wear import wear_of_unit
from advisory.plans.what_if import show_otherwise
from advisory.plans.work import WORKS
from advisory.register.drawn import draw
from advisory.register.enums import PositionKind, WorkKind
from advisory.register.models import Unit
from advisory.register.queries import as_built
from advisory.usage.logbook_page import recent_readings
from advisory.usage.queries import unit_use

FINDINGS_SHOWN = 5
DONE_SHOWN = 8
READINGS_SHOWN = 3
A_PAGE = 40
ASKED_OF_A_UNIT = (
    Permission.VIEW_USE,
    Permission.KEEP_USE,
    Permission.CHANGE_UNIT,
    Permission.BUILD_UNIT,
)


@login_required
@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """Answer what one's units need next, and when; who owns none is sent to their work."""
    by = reader(request)
    units = list(own_units(by))
    if not units:
        return _home_without_units(request, by)
    shown = sorted(show_units(units, by, keeps=True), key=lambda one: one.pressing_first)
    cars = list({one.car.pk: one.car for one in shown if one.car is not None}.values())
    context = {"shown": shown, "cars": cars, "asked": waiting_for_owner(units)}
    return render(request, "plans/home.html", context)


def _home_without_units(request: HttpRequest, by: Person) -> HttpResponse:
    work = at_work(by)
    if work.workshops:
        return redirect("findings:inbox")
    if work.clubs_as_officer:
        return redirect("reports:fleet", work.clubs_as_officer[0].pk)
    return render(request, "plans/start.html")


@login_required
@require_GET
def unit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a unit: its plan first, then what is known of it, as far as the reader may see."""
    by = reader(request)
    units = Unit.objects.select_related("design__workshop", "workshop", "owner")
    units = with_writing(rules.with_leave(by, units, *ASKED_OF_A_UNIT))
    row = get_object_or_404(rules.scope(by, Permission.VIEW_UNIT, units), pk=pk)
    leave = rules.leave_on(row, *ASKED_OF_A_UNIT)
    keeps = Permission.KEEP_USE in leave
    record, found, prefs = as_built(row), found_on([row], by), preferences_of(by)
    built_on = None if record.build is None else record.build.built_on
    context: dict[str, Any] = {
        "unit": row,
        "drawing": draw(record, last_measured(found, built_on), prefs),
        "keeps": keeps,
        "changes": Permission.CHANGE_UNIT in leave,
        "builds": Permission.BUILD_UNIT in leave,
        "record": record,
        "findings": newest(found.findings)[:FINDINGS_SHOWN],
    }
    if Permission.VIEW_USE in leave:
        halts = halts_among(found, {row.pk: built_on} if built_on else {})
        shown = show_units([row], by, keeps=keeps, halts=halts)[0]
        context["shown"] = shown
        context["wear"] = wear_of_unit(row, shown.use, by, record, found, shown)
        context["oil_figures"] = oil_figures(shown.oil, prefs)
        kinds = frozenset(PositionKind(line.position.kind) for line in record.rows)
        context["way"] = oil_way(shown.oil, kinds, prefs)
        context["recent"] = (
            recent_readings(shown.use.current, READINGS_SHOWN) if shown.use.current else []
        )
        context["done"] = done_lately(row, DONE_SHOWN)
    context["plate"] = _plate(row, context.get("shown"))
    return render(request, "plans/unit.html", context)


def _plate(unit: Unit, shown: UnitShown | None) -> list[dict[str, str | None]]:
    """Return what is stamped on a unit; car and owner only for those who may see its use."""
    cells: list[tuple[str, object]] = [
        (_("Kind"), unit.design.get_kind_display()),
        (_("Design"), unit.design),
        (_("Serial number"), unit.serial),
        (_("Workshop"), unit.workshop),
    ]
    if shown is not None:
        cells += [(_("Owner"), unit.owner), (_("In"), shown.car)]
    return [{"label": label, "value": str(value) if value else None} for label, value in cells]


@login_required
@require_GET
def item(request: HttpRequest, pk: int, work: str) -> HttpResponse:
    """Show one kind of work on a unit: why, when, what with, how, and the cautions."""
    by = reader(request)
    row, plan_item = _unit_and_item(by, Permission.VIEW_USE, pk, work)
    use, oil = unit_use(row), oil_of(row)
    shown = show_item(plan_item, use=use, oil=oil, today=today_of(by), prefs=preferences_of(by))
    context = {
        "unit": row,
        "item": plan_item,
        "shown": shown,
        "figures": limit_figures(plan_item, use=use, today=today_of(by), prefs=preferences_of(by)),
        "explained": _explained(row, work, by),
        "work": shown.work,
        "cautions": [CAUTIONS[key] for key in shown.work.cautions],
        "halts": halts_of([row], by).get(row.pk, []),
        "last": last_done(row, work),
        "keeps": rules.may(by, Permission.KEEP_USE, row),
    }
    return render(request, "plans/item.html", context)


def _explained(unit: Unit, work: str, by: Person) -> Explained | None:
    """Return the advice behind an oil change, with the other filters beside it."""
    kept = latest_advice(unit) if work == WorkKind.OIL_CHANGE else None
    return None if kept is None else explain(kept, preferences_of(by))


@login_required
@require_GET
def history(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what happened to a unit, newest first, all of it or one side."""
    by = reader(request)
    units = Unit.objects.select_related("design__workshop", "workshop", "owner")
    row = get_object_or_404(rules.scope(by, Permission.VIEW_UNIT, units), pk=pk)
    allowed = sources_for(row, by)
    sources = {source.key: source for source in allowed}
    only = request.GET.get("only", "")
    only = only if only in sources else ""
    page = Paginator(history_of(row, by, only=only, sources=allowed), A_PAGE).get_page(
        request.GET.get("page")
    )
    context = {
        "unit": row,
        "sources": list(sources.values()),
        "only": only,
        "side": sources[only].name if only else _("Everything"),
        "page": page,
    }
    return render(request, "plans/history.html", context)


@login_required
@require_GET
@never_cache
def booklet(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a unit's booklet as a PDF."""
    by = reader(request)
    units = Unit.objects.select_related("design__workshop", "workshop", "owner")
    row = get_object_or_404(rules.scope(by, Permission.VIEW_UNIT, units), pk=pk)
    response = HttpResponse(booklet_of(row, by), content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="unit-{row.pk}.pdf"'
    return response


@login_required
@require_GET
def what_if(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how the plan would move with another filter, sump, oil or use; nothing is kept."""
    by = reader(request)
    units = Unit.objects.select_related("design__workshop", "workshop", "owner")
    row = get_object_or_404(rules.scope(by, Permission.VIEW_USE, units), pk=pk)
    form = WhatIfForm(request.GET.dict(), unit=row, oil=oil_of(row), use=unit_use(row), by=by)
    failed = form.is_bound and not form.is_valid()
    shown = None if failed or not form.is_bound else show_otherwise(row, form.otherwise, by)
    context = {"unit": row, "form": form, "shown": shown}
    return render(request, "plans/what_if.html", context, status=422 if failed else 200)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def done(request: HttpRequest, pk: int, work: str) -> HttpResponse:
    """Write down that work was done: one tap, what is known is filled in."""
    by = reader(request)
    row, plan_item = _unit_and_item(by, Permission.KEEP_USE, pk, work)
    oil = oil_of(row)
    kind = WORKS[WorkKind(work)]
    form = DoneForm(
        request.POST if request.method == "POST" else None,
        unit=row,
        item=plan_item,
        work=kind,
        oil=oil,
        by=by,
    )
    if request.method == "POST" and form.is_valid() and form.save():
        messages.success(request, _("%(work)s: written down.") % {"work": kind.kind.label})
        return redirect("plans:unit", row.pk)
    context = {
        "unit": row,
        "item": plan_item,
        "work": kind,
        "form": form,
        "cautions": [CAUTIONS[key] for key in kind.cautions if key in AFTER_WORK],
        "instrument": instrument_shown(unit_use(row)),
    }
    failed = form.is_bound and bool(form.errors)
    return render(request, "plans/done.html", context, status=422 if failed else 200)


@login_required
@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back what was written down by mistake."""
    by = reader(request)
    rows = WorkDone.objects.select_related("unit", "service")
    row = get_object_or_404(rules.scope(by, Permission.KEEP_USE, rows), pk=pk)
    unit_id, name = row.unit_id, row.get_work_display()
    try:
        take_back(done=row, by=by)
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, _("%(work)s: taken back.") % {"work": name})
    return redirect("plans:unit", unit_id)


def _unit_and_item(by: Person, permission: Permission, pk: int, work: str) -> tuple[Unit, PlanItem]:
    if work not in WorkKind.values:
        raise Http404
    units = Unit.objects.select_related("design__workshop", "workshop", "owner")
    row = get_object_or_404(rules.scope(by, permission, units), pk=pk)
    return row, get_object_or_404(PlanItem.objects.filter(unit=row), work=work)
