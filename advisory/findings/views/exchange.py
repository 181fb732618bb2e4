"""The page of a finding, and what either side does on it."""

from typing import Any
from urllib.parse import quote

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from advisory.common.errors import Refused
from advisory.findings.actions import mark_seen, pick_way
from advisory.findings.enums import FindingState
from advisory.findings.finding_page import finding_shown
from advisory.findings.forms.exchange import (
    AimForm,
    AnswerForm,
    BringForm,
    CloseForm,
    WriteBackForm,
)
from advisory.findings.models import AnsweringAim, AskedMeasurement, Finding, Way
from advisory.findings.queries import closed_by_owner, late_days, reaches_workshop
from advisory.findings.views.causes import pointed_context
from advisory.findings.words import as_plain_text
from advisory.people import rules
from advisory.people.enums import OrganisationKind
from advisory.people.models import Person
from advisory.people.reader import reader
from advisory.people.rules import Permission

FINDINGS = Finding.objects.select_related(
    "unit__design", "unit__owner", "unit__workshop", "position", "agreed", "closed_by"
)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def finding(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a finding to both sides, and take the workshop's answer."""
    by = reader(request)
    row = _find(by, Permission.VIEW_FINDING, pk)
    if request.method == "POST":
        rules_row = _find(by, Permission.ANSWER_FINDING, pk)
        form = AnswerForm(request.POST, request.FILES, finding=rules_row, by=by)
        if form.is_valid() and form.save():
            messages.success(request, _("Answered; the owner is told."))
            return redirect("findings:finding", row.pk)
        form.keep_photos()
        return _page(request, row, by, form=form)
    if request.method == "GET" and rules.may(by, Permission.ANSWER_FINDING, row):
        mark_seen(finding=row, by=by)
    return _page(request, row, by)


@login_required
@require_POST
def write(request: HttpRequest, pk: int) -> HttpResponse:
    """Take what the owner writes back."""
    by = reader(request)
    row = _find(by, Permission.REPORT_FINDING, pk)
    form = WriteBackForm(request.POST, request.FILES, finding=row, by=by)
    if form.is_valid() and form.save():
        _say_sent(request, row)
        return redirect("findings:finding", row.pk)
    form.keep_photos()
    return _page(request, row, by, back=form)


@login_required
@require_POST
def bring(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the value that the workshop asked for."""
    by = reader(request)
    rows = AskedMeasurement.objects.select_related("answer__finding__unit", "position")
    asked = get_object_or_404(rules.scope(by, Permission.REPORT_FINDING, rows), pk=pk)
    row = _find(by, Permission.REPORT_FINDING, asked.answer.finding_id)
    form = BringForm(request.POST, asked=asked, by=by, prefix=f"asked-{asked.pk}")
    if form.is_valid() and form.save():
        _say_sent(request, row)
        return redirect("findings:finding", row.pk)
    return _page(request, row, by, bring={asked.pk: form})


@login_required
@require_POST
def pick(request: HttpRequest, pk: int) -> HttpResponse:
    """Agree to a way to put it right."""
    by = reader(request)
    ways = Way.objects.select_related("finding__unit__workshop")
    way = get_object_or_404(rules.scope(by, Permission.REPORT_FINDING, ways), pk=pk)
    try:
        pick_way(way=way, by=by)
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        words = _("Agreed. %(workshop)s is told, and says when to bring it.")
        messages.success(request, words % {"workshop": way.finding.unit.workshop})
    return redirect("findings:finding", way.finding_id)


@login_required
@require_POST
def close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close a finding with its cause."""
    by = reader(request)
    row = _find(by, Permission.VIEW_FINDING, pk)
    if not _may_close(row, by):
        raise Http404
    form = CloseForm(request.POST)
    if form.is_valid() and form.save(finding=row, by=by):
        messages.success(request, _("Closed. The plan goes on without it."))
        return redirect("findings:finding", row.pk)
    return _page(request, row, by, closing=form)


@login_required
@require_GET
def printed(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a finding as it is printed, or sent by one's own mail, for whoever looks after it."""
    by = reader(request)
    row = _find(by, Permission.VIEW_FINDING, pk)
    shown = finding_shown(row, by)
    subject, text = as_plain_text(row, shown["verdict"], shown["figures"])
    context = shown | {
        "finding": row,
        "mail_url": f"mailto:?subject={quote(subject)}&body={quote(text)}",
        "owning": rules.may(by, Permission.REPORT_FINDING, row),
    }
    return render(request, "findings/print.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def aim(request: HttpRequest, pk: int) -> HttpResponse:
    """Say within how many days the workshop means to answer first; its manager decides."""
    by = reader(request)
    workshops = rules.organisations_where(by, Permission.VIEW_ORGANISATION)
    workshop = get_object_or_404(workshops.filter(kind=OrganisationKind.WORKSHOP), pk=pk)
    leads = rules.may(by, Permission.MANAGE_ORGANISATION, workshop)
    there = AnsweringAim.objects.filter(workshop=workshop).first()
    bound = request.POST if request.method == "POST" else None
    form = AimForm(bound, initial={"days": None if there is None else there.days})
    if bound is not None:
        if not leads:
            raise Http404
        if form.is_valid() and form.save(workshop=workshop, by=by):
            messages.success(request, _("Kept: your aim for a first answer."))
            return redirect("people:organisation", workshop.pk)
    context = {"workshop": workshop, "form": form, "leads": leads, "aim": there}
    status = 422 if form.errors else 200
    return render(request, "findings/aim.html", context, status=status)


def _find(by: Person, permission: Permission, pk: int) -> Finding:
    return get_object_or_404(rules.scope(by, permission, FINDINGS.all()), pk=pk)


def _may_close(row: Finding, by: Person) -> bool:
    return rules.may(by, Permission.ANSWER_FINDING, row) or closed_by_owner(row, by)


def _say_sent(request: HttpRequest, row: Finding) -> None:
    if row.state != FindingState.KEPT and reaches_workshop(row.unit):
        words = _("Sent to %(workshop)s.") % {"workshop": row.unit.workshop}
        messages.success(request, words)
    else:
        messages.warning(request, _("Written down. It goes to nobody for now."))


def _page(
    request: HttpRequest,
    row: Finding,
    by: Person,
    *,
    form: AnswerForm | None = None,
    back: WriteBackForm | None = None,
    bring: dict[int, BringForm] | None = None,
    closing: CloseForm | None = None,
) -> HttpResponse:
    """Render the page with its forms; one that was refused in place of its fresh one."""
    failed = any((form, back, bring, closing))
    answering = rules.may(by, Permission.ANSWER_FINDING, row)
    owning = rules.may(by, Permission.REPORT_FINDING, row)
    shown = finding_shown(row, by)
    context: dict[str, Any] = shown | pointed_context(row, by)
    context |= {
        "finding": row,
        "answering": answering,
        "owning": owning,
        "late": late_days([row], timezone.now()).get(row.pk) if answering else None,
    }
    if answering and row.is_open:
        context["form"] = form or AnswerForm(finding=row, by=by)
    if row.is_open and _may_close(row, by):
        context["closing"] = closing or CloseForm()
    if owning:
        context["reaches"] = reaches_workshop(row.unit)
        context["back"] = back or WriteBackForm(finding=row, by=by)
        if row.is_open:
            context["steps"] = _steps(shown, row, by, bring or {})
    return render(request, "findings/finding.html", context, status=422 if failed else 200)


def _steps(
    shown: dict[str, Any], row: Finding, by: Person, bound: dict[int, BringForm]
) -> list[dict[str, Any]]:
    """Return each measurement that waits, with its form."""
    rows = AskedMeasurement.objects.filter(answer__finding=row, brought_by=None)
    waiting = {asked.pk: asked for asked in rows.select_related("answer__finding__unit")}
    return [
        {
            "asked": one,
            "form": bound.get(one.pk)
            or BringForm(asked=waiting[one.pk], by=by, prefix=f"asked-{one.pk}"),
        }
        for one in shown["open_asked"]
        if one.pk in waiting
    ]
