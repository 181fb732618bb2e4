"""Pages of the findings app."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from advisory.common.errors import Refused
from advisory.common.photo_answer import photo_answer
from advisory.findings.actions import send_finding
from advisory.findings.enums import FindingState
from advisory.findings.forms.reporting import ReportForm, StateForm
from advisory.findings.models import Finding, FindingPhoto, WaitingPhoto
from advisory.findings.queries import (
    LATE,
    TURN,
    asked_of,
    inbox,
    late_days,
    own_findings,
    reaches_workshop,
)
from advisory.findings.urgency import urgency_of
from advisory.findings.words import small
from advisory.people import rules
from advisory.people.preferences import preferences_of
from advisory.people.queries import at_work
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Unit

ROWS_A_PAGE = 20
# Where the inbox can be narrowed to: what was never sent is not in it.
IN_THE_INBOX = [state for state in FindingState if state != FindingState.KEPT]


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down what was seen on a unit, and send it."""
    by = reader(request)
    units = Unit.objects.select_related("design", "workshop")
    unit = get_object_or_404(rules.scope(by, Permission.REPORT_FINDING, units), pk=pk)
    if request.method == "POST":
        form = ReportForm(request.POST, request.FILES, unit=unit, by=by)
        if form.is_valid() and (finding := form.save()):
            if finding.state == FindingState.KEPT:
                messages.warning(request, _("Written down. It went to nobody, see below."))
            else:
                messages.success(request, _("Sent to %(workshop)s.") % {"workshop": unit.workshop})
            return redirect("findings:finding", finding.pk)
        form.keep_photos()
    else:
        form = ReportForm(unit=unit, by=by, initial={"position": request.GET.get("position")})
    context = {"form": form, "unit": unit, "reaches": reaches_workshop(unit)}
    return render(request, "findings/new.html", context, status=422 if form.errors else 200)


@login_required
@require_POST
def send(request: HttpRequest, pk: int) -> HttpResponse:
    """Send what was only written down so far."""
    by = reader(request)
    findings = Finding.objects.select_related("unit__workshop")
    row = get_object_or_404(rules.scope(by, Permission.REPORT_FINDING, findings), pk=pk)
    try:
        send_finding(finding=row, by=by)
    except Refused as error:
        messages.error(request, error.message)
    else:
        messages.success(request, _("Sent to %(workshop)s.") % {"workshop": row.unit.workshop})
    return redirect("findings:finding", row.pk)


@login_required
@require_GET
def inbox_page(request: HttpRequest) -> HttpResponse:
    """List what owners sent to the reader's workshops; an owner is led to their own."""
    by = reader(request)
    if not at_work(by).workshops:
        return redirect("findings:own")
    choices = [
        (TURN, _("Our turn")),
        (LATE, _("Late by our aim")),
        *((state.value, state.label) for state in IN_THE_INBOX),
    ]
    narrow = StateForm(request.GET.get("state"), choices=choices)
    return _listed(
        request,
        inbox(by, show=narrow.chosen, now=timezone.now()),
        "findings/inbox.html",
        narrow=narrow,
    )


@login_required
@require_GET
def own(request: HttpRequest) -> HttpResponse:
    """List what was written down on the reader's own units."""
    return _listed(request, own_findings(reader(request)), "findings/own.html")


def _listed(
    request: HttpRequest, findings: "QuerySet[Finding]", template: str, **context: Any
) -> HttpResponse:
    page = Paginator(findings, ROWS_A_PAGE).get_page(request.GET.get("page"))
    prefs = preferences_of(reader(request))
    late = late_days(page.object_list, timezone.now())
    rows = [
        {
            "finding": row,
            "figure": small(row.value, prefs),
            "urgent": urgency_of(
                row, asked=asked_of(row), again=bool(getattr(row, "again", False))
            ),
            "late": late.get(row.pk),
        }
        for row in page
    ]
    return render(request, template, {"page": page, "rows": rows, **context})


@login_required
@require_GET
def photo(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Give a photo to whoever may see its finding; asked each time, also of a kept copy."""
    photos = FindingPhoto.objects.all()
    row = get_object_or_404(rules.scope(reader(request), Permission.VIEW_FINDING, photos), pk=pk)
    return photo_answer(request, row.file, f"finding-{row.finding_id}-photo-{row.pk}.jpg")


@login_required
@require_GET
def waiting_photo(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Give a photo that waits for its form to whoever is writing it."""
    photos = WaitingPhoto.objects.all()
    row = get_object_or_404(rules.scope(reader(request), Permission.REPORT_FINDING, photos), pk=pk)
    return photo_answer(request, row.file, f"photo-{row.pk}.jpg")
