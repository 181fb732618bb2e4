"""Pages of the table of causes: the whole of it, and a workshop's own lines."""

from collections import defaultdict
from collections.abc import Iterable
from itertools import groupby
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from advisory.findings.actions.cause_lines import remove_cause_line
from advisory.findings.causes import CAUSES, pointed_at, record_of
from advisory.findings.causes.evidence import EVIDENCE
from advisory.findings.forms.causes import CauseLineForm
from advisory.findings.marks import DamageMark
from advisory.findings.models import CauseLine, Finding
from advisory.findings.queries import own_cause_lines, workshops_cause_lines
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.queries import at_work
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Design


def pointed_context(finding: Finding, by: Person) -> dict[str, Any]:
    """Return what a finding's page shows of what its mark points to."""
    if not finding.mark:
        return {}
    lines = own_cause_lines(finding.unit.design)
    record = record_of(finding, by)
    return {"pointed": pointed_at(finding.mark, record, preferences_of(by), lines)}


@login_required
@require_GET
def table(request: HttpRequest) -> HttpResponse:
    """Show the whole table, mark by mark; a workshop's people see its own lines beside."""
    by = reader(request)
    own: dict[str, list[CauseLine]] = defaultdict(list)
    for line in workshops_cause_lines(by):
        own[line.mark].append(line)
    marks = [
        {"mark": DamageMark(mark), "rules": list(rows), "own": [_shown(line) for line in own[mark]]}
        for mark, rows in groupby(CAUSES, key=lambda rule: rule.mark)
    ]
    designs = rules.scope(by, Permission.WRITE_DESIGN, Design.objects.all())
    shops = at_work(by).workshops
    context = {
        "marks": marks,
        "at_work": bool(shops),
        "own_count": sum(len(lines) for lines in own.values()),
        "designs": _latest_of(designs) if shops else [],
    }
    return render(request, "findings/causes_table.html", context)


def _shown(line: CauseLine) -> dict[str, Any]:
    return {
        "line": line,
        "evidence": [str(EVIDENCE[key].name) for key in line.evidence if key in EVIDENCE],
    }


def _latest_of(designs: Iterable[Design]) -> list[Design]:
    """Return the newest version of each design: a line holds for all of them."""
    newest: dict[tuple[int | None, str], Design] = {}
    for design in sorted(designs, key=lambda one: (one.name, one.version)):
        newest[design.workshop_id, design.name] = design
    return list(newest.values())


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def own_lines(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a workshop's own lines for a design, and take another."""
    by = reader(request)
    rows = Design.objects.select_related("workshop")
    design = get_object_or_404(rules.scope(by, Permission.WRITE_DESIGN, rows), pk=pk)
    form = CauseLineForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid() and form.save(design=design, by=by):
        messages.success(request, _("Kept. It holds at once, for every version of this design."))
        return redirect("findings:own_causes", design.pk)
    shown = [_shown(line) for line in own_cause_lines(design)]
    context = {"design": design, "form": form, "lines": shown}
    return render(request, "findings/own_causes.html", context, status=422 if form.errors else 200)


@login_required
@require_POST
def remove_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Take one of a workshop's own lines out."""
    by = reader(request)
    lines = CauseLine.objects.select_related("design")
    line = get_object_or_404(rules.scope(by, Permission.WRITE_DESIGN, lines), pk=pk)
    design = line.design_id
    remove_cause_line(line=line, by=by)
    messages.success(request, _("Taken out."))
    return redirect("findings:own_causes", design)
