"""Pages of the findings app."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from advisory.common.errors import Refused
from advisory.common.photo_answer import photo_answer
from advisory.findings.actions import mark_seen, send_finding
from advisory.findings.cause_views import pointed_context
from advisory.findings.enums import FindingState
from advisory.findings.forms import AnswerForm, ReportForm, StateForm
from advisory.findings.judgement import HeldAgainst, judge
from advisory.findings.models import Finding, FindingPhoto, WaitingPhoto
from advisory.findings.queries import (
    held_against,
    inbox,
    off_of,
    own_findings,
    reaches_workshop,
)
from advisory.findings.words import small, verdict_in_words
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.queries import at_work
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Unit

ROWS_A_PAGE = 20
# Where the inbox can be narrowed to: what was never sent is not in it.
IN_THE_INBOX = (FindingState.SENT, FindingState.SEEN, FindingState.ANSWERED)


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
@require_http_methods(["GET", "HEAD", "POST"])
def finding(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a finding to both sides, and take the workshop's answer."""
    by = reader(request)
    findings = Finding.objects.select_related("unit__design", "unit__owner", "unit__workshop")
    row = get_object_or_404(
        rules.scope(by, Permission.VIEW_FINDING, findings.select_related("position")), pk=pk
    )
    answering = rules.may(by, Permission.ANSWER_FINDING, row)
    form = AnswerForm(request.POST or None) if answering else None
    if request.method == "POST":
        if form is None:
            raise Http404
        if form.is_valid() and form.save(finding=row, by=by):
            messages.success(request, _("Answered; the owner is told."))
            return redirect("findings:finding", row.pk)
    elif answering and request.method == "GET":
        mark_seen(finding=row, by=by)
    context = (
        _told(row, by)
        | pointed_context(row, by)
        | {
            "finding": row,
            "form": form,
            "answering": answering,
            "owning": rules.may(by, Permission.REPORT_FINDING, row),
        }
    )
    if context["owning"] and row.state == FindingState.KEPT:
        context["reaches"] = reaches_workshop(row.unit)
    failed = form is not None and bool(form.errors)
    return render(request, "findings/finding.html", context, status=422 if failed else 200)


def _told(row: Finding, by: Person) -> dict[str, Any]:
    """Return what a finding shows: the judgement in words, figures, photos, answers."""
    prefs = preferences_of(by)
    against = HeldAgainst()
    if row.position is not None and row.quantity:
        against = held_against(row.unit, row.position, row.quantity)
    verdict = judge(row.value, row.quantity, against, row.mark, off_of(row))
    figures = [
        {
            "label": row.get_quantity_display(),
            "value": small(row.value, prefs),
            "source": _("typed as %(typed)s") % {"typed": row.as_typed},
        },
        {
            "label": _("As built"),
            "value": small(against.as_built, prefs),
            "source": _("from the signed build record") if against.as_built is not None else "",
        },
        {"label": _("Look into it above"), "value": small(against.look_into_above, prefs)},
        {"label": _("Limit"), "value": small(against.wear_limit, prefs)},
    ]
    where = row.position or row.unit
    return {
        "verdict": verdict_in_words(verdict, row.value, against, prefs, row.mark),
        "figures": figures if row.value is not None else [],
        "photos": [
            {
                "url": reverse("findings:photo", args=[photo.pk]),
                "alt": _("Photo %(number)d: %(where)s") % {"number": number, "where": where},
            }
            for number, photo in enumerate(row.photos.all(), start=1)
        ],
        "answers": row.answers.select_related("by"),
    }


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
    choices = [(state.value, state.label) for state in IN_THE_INBOX]
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
    rows = [{"finding": row, "figure": small(row.value, prefs)} for row in page]
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
