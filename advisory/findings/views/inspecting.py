"""Pages of a guided inspection: begun, gone through step by step, and finished."""

from pathlib import Path

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.contrib.staticfiles import finders
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from advisory.common.errors import Refused
from advisory.findings.actions.inspecting import drop_inspection
from advisory.findings.enums import Judgement, StepOutcome
from advisory.findings.forms.inspecting import FinishForm, StartForm, StepForm
from advisory.findings.inspecting.covered import on_plan
from advisory.findings.inspecting.gathering import shown_step, shown_steps
from advisory.findings.inspecting.planning import work_due
from advisory.findings.inspecting.shown import StepShown
from advisory.findings.models import Inspection
from advisory.findings.queries import reaches_workshop
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Unit

# What the page's script sends with an answer, and what it finds on the piece that comes back.
ASKED_BY_SCRIPT = "X-Inspection"


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def start(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose how far a round goes, and begin it."""
    by = reader(request)
    units = Unit.objects.select_related("design", "workshop")
    unit = get_object_or_404(rules.scope(by, Permission.REPORT_FINDING, units), pk=pk)
    form = StartForm(
        request.POST if request.method == "POST" else None,
        unit=unit, by=by, due=work_due(unit, by), asked=request.GET.get("work", ""),
    )  # fmt: skip
    if request.method == "POST" and form.is_valid() and (made := form.save()):
        return redirect("findings:inspection", made.pk)
    rounds = rules.scope(by, Permission.REPORT_FINDING, Inspection.objects.filter(unit=unit))
    context = {
        "unit": unit,
        "form": form,
        "open": rounds.filter(finished_at=None).first(),
        "finished": rounds.exclude(finished_at=None)[:5],
    }
    status = 422 if form.errors else 200
    return render(request, "findings/inspection_start.html", context, status=status)


def _inspection_or_404(by: Person, pk: int) -> Inspection:
    rows = Inspection.objects.select_related("unit__design", "unit__workshop", "unit__owner")
    return get_object_or_404(rules.scope(by, Permission.REPORT_FINDING, rows), pk=pk)


@login_required
@require_GET
def keeper(request: HttpRequest) -> FileResponse:
    """Give the script by which a round opens without a connection.

    It reaches only what lies beneath its own address, so it comes from here.
    """
    found = finders.find("findings/keeper.js")
    assert isinstance(found, str)
    return FileResponse(Path(found).open("rb"), content_type="text/javascript; charset=utf-8")


@login_required
@require_GET
def inspection(request: HttpRequest, pk: int) -> HttpResponse:
    """Show all steps of a round, of which one stands on the screen at a time."""
    by = reader(request)
    row = _inspection_or_404(by, pk)
    if row.finished_at is not None:
        return redirect("findings:inspection_summary", row.pk)
    return _steps_page(request, row, by)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def step(request: HttpRequest, pk: int, order: int) -> HttpResponse:
    """Take what came of a step; a script gets the step alone, anybody else the page."""
    by = reader(request)
    row = _inspection_or_404(by, pk)
    found = get_object_or_404(row.steps.select_related("position"), order=order)
    if request.method != "POST":
        return redirect(_place(row, order))
    form = StepForm(request.POST, step=found, by=by)
    kept = form.save() if form.is_valid() else None
    if kept is not None:
        found, form = kept, StepForm(step=kept, by=by)
    if request.headers.get(ASKED_BY_SCRIPT):
        context = _context_of(row, shown_step(row, found, by), form, row.steps.count())
        status = 200 if kept is not None else 422
        answer = render(request, "findings/_inspection_step.html", context, status=status)
        answer[ASKED_BY_SCRIPT] = "step"
        return answer
    if kept is None:
        return _steps_page(request, row, by, failed=form)
    if kept.judgement in {Judgement.WATCH, Judgement.ASK, Judgement.STOP}:
        return redirect(_place(row, order))
    after = row.steps.filter(order__gt=order).values_list("order", flat=True).first()
    if after is None:
        return redirect("findings:inspection_summary", row.pk)
    return redirect(_place(row, after))


def _place(row: Inspection, order: int) -> str:
    return f"{reverse('findings:inspection', args=[row.pk])}#step-{order}"


def _context_of(row: Inspection, shown: StepShown, form: StepForm, count: int) -> dict[str, object]:
    return {"inspection": row, "shown": shown, "form": form, "count": count}


def _steps_page(
    request: HttpRequest, row: Inspection, by: Person, failed: StepForm | None = None
) -> HttpResponse:
    steps = shown_steps(row, by)
    forms = [
        failed if failed and failed.step.pk == one.step.pk else StepForm(step=one.step, by=by)
        for one in steps
    ]
    context = {
        "inspection": row,
        "unit": row.unit,
        "reader": by,
        "count": len(steps),
        "steps": list(zip(steps, forms, strict=True)),
    }
    status = 422 if failed else 200
    return render(request, "findings/inspection.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def summary(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what came of a round, and finish it."""
    by = reader(request)
    row = _inspection_or_404(by, pk)
    form = None
    if row.finished_at is None:
        given = request.POST if request.method == "POST" else None
        form = FinishForm(given, inspection=row, by=by)
        if request.method == "POST" and form.is_valid() and form.save():
            messages.success(request, _("Finished. What you measured and saw is kept."))
            return redirect("findings:inspection_summary", row.pk)
    elif request.method == "POST":
        return redirect("findings:inspection_summary", row.pk)
    steps = shown_steps(row, by)
    context = {
        "inspection": row,
        "unit": row.unit,
        "form": form,
        "steps": steps,
        "stops": [one for one in steps if one.step.judgement == Judgement.STOP],
        "left": [one for one in steps if one.step.outcome == StepOutcome.OPEN],
        "on_plan": on_plan(row, [one.step for one in steps], by),
        "reaches": reaches_workshop(row.unit),
    }
    status = 422 if form is not None and form.errors else 200
    return render(request, "findings/inspection_summary.html", context, status=status)


@login_required
@require_POST
def drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw a round away that was not finished."""
    by = reader(request)
    row = _inspection_or_404(by, pk)
    try:
        drop_inspection(inspection=row, by=by)
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("findings:inspection_summary", row.pk)
    messages.success(request, _("Thrown away."))
    return redirect("plans:unit", row.unit_id)
