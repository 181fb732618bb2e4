"""The fleet report's pages: a club's, kept as it was given; a workshop's, of the moment."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.models import Organisation, Person
from advisory.people.preferences import preferences_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.reports.actions import make_report
from advisory.reports.csv_tables import zipped
from advisory.reports.differences import differences_between
from advisory.reports.disclosure import LEAST_OWNERS
from advisory.reports.forms import ChoiceForm
from advisory.reports.models import FleetReport
from advisory.reports.pdf import pdf_of
from advisory.reports.queries import (
    kept_reports,
    named_owners,
    overdue_of_workshop,
    part_of,
    workshop_part,
    workshops_of,
)
from advisory.reports.shown import Document, document_of
from advisory.reports.shown.words import choice_words

# Half of what a person would take to reload by hand.
SECONDS_TO_LOOK_AGAIN = 2


@dataclass(frozen=True)
class Asked:
    """A choice that was asked for, and what is read of it."""

    form: ChoiceForm
    document: Document
    code: str


def _club(request: HttpRequest, pk: int) -> tuple[Person, Organisation]:
    by = reader(request)
    clubs = rules.organisations_where(by, Permission.VIEW_FLEET_REPORT)
    return by, get_object_or_404(clubs, pk=pk)


def _kept(club: Organisation, key: str | int | None) -> FleetReport | None:
    """Return the report that is asked for, or the last; None where there is none yet."""
    reports = kept_reports(club)
    if key is None:
        return reports.first()
    if not str(key).isdecimal():
        raise Http404
    return get_object_or_404(reports, pk=key)


def _read(
    request: HttpRequest,
    organisation: Organisation,
    on: Any,
    about: Mapping[str, Any],
    tables_of: Any,
    least: int,
) -> Asked | None:
    form = ChoiceForm.of(request.GET, about)
    tables = tables_of(form.code)
    if tables is None:
        return None
    document = document_of(
        organisation,
        on,
        form.period,
        choice_words(form.choice),
        tables,
        about,
        preferences_of(reader(request)),
        least=least,
    )
    return Asked(form, document, form.code)


def _asked_of(request: HttpRequest, report: FleetReport) -> Asked | None:
    return _read(
        request,
        report.organisation,
        report.on,
        report.about,
        lambda code: part_of(report, code),
        LEAST_OWNERS,
    )


@login_required
@never_cache
@require_GET
def fleet(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the technical officer how the club's units are looked after."""
    by, club = _club(request, pk)
    report = _kept(club, request.GET.get("report"))
    if report is None:
        # the first is made as soon as somebody wants to read it
        report = make_report(club=club, by=by)
    newest = FleetReport.objects.filter(organisation=club).first()
    waiting = newest if newest is not None and newest.finished_at is None else None
    if report.finished_at is None:
        context = {"club": club, "report": report, "again": SECONDS_TO_LOOK_AGAIN}
        return render(request, "reports/waiting.html", context)
    asked = _asked_of(request, report)
    earlier = list(kept_reports(club)[:20])
    context = {
        "club": club,
        "report": report,
        "asked": asked,
        "document": asked.document if asked else None,
        "form": asked.form if asked else None,
        "named": named_owners(report, today_of(by)),
        "reports": earlier,
        "waiting": waiting,
        "is_todays": report.on == today_of(by),
        "before": next((each for each in earlier if each.on < report.on), None),
        "least": LEAST_OWNERS,
        "query": request.GET.urlencode(),
    }
    return render(request, "reports/fleet.html", context)


@login_required
@require_POST
def new(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the report of today."""
    by, club = _club(request, pk)
    make_report(club=club, by=by)
    return redirect("reports:fleet", club.pk)


@login_required
@never_cache
@require_GET
def progress(request: HttpRequest, pk: int) -> HttpResponse:
    """Tell how far the report that is being made has come."""
    _by, club = _club(request, pk)
    report = FleetReport.objects.filter(organisation=club).first()
    if report is None:
        raise Http404
    if report.finished_at is not None:
        answer = HttpResponse()
        answer["HX-Redirect"] = request.build_absolute_uri("../")
        return answer
    return render(request, "reports/progress.html", {"report": report})


@login_required
@never_cache
@require_GET
def pdf(request: HttpRequest, pk: int, report: int) -> HttpResponse:
    """Give the report as a PDF."""
    by, club = _club(request, pk)
    kept = _kept(club, report)
    asked = _asked_of(request, kept) if kept else None
    if kept is None or asked is None:
        raise Http404
    return _file(
        pdf_of(asked.document, club, kept.on, preferences_of(by)),
        "application/pdf",
        f"fleet-{kept.on:%Y-%m-%d}.pdf",
    )


@login_required
@never_cache
@require_GET
def tables(request: HttpRequest, pk: int, report: int) -> HttpResponse:
    """Give the report's tables as CSV files, in one archive."""
    _by, club = _club(request, pk)
    kept = _kept(club, report)
    asked = _asked_of(request, kept) if kept else None
    if kept is None or asked is None:
        raise Http404
    return _file(zipped(asked.document), "application/zip", f"fleet-{kept.on:%Y-%m-%d}.zip")


def _file(content: bytes, kind: str, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@login_required
@never_cache
@require_GET
def differs(request: HttpRequest, pk: int, report: int, earlier: int) -> HttpResponse:
    """Show two reports side by side: the figures that differ."""
    by, club = _club(request, pk)
    newer, older = _kept(club, report), _kept(club, earlier)
    if newer is None or older is None:
        raise Http404
    asked, before = _asked_of(request, newer), _asked_of(request, older)
    context = {
        "club": club,
        "newer": newer,
        "older": older,
        "same": newer.digest == older.digest,
        "tables": differences_between(before.document, asked.document)
        if asked and before
        else None,
        "prefs": preferences_of(by),
    }
    return render(request, "reports/differs.html", context)


@login_required
@never_cache
@require_GET
def workshop(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a workshop how the units on its books do, with their owners' names."""
    by, shop, asked = _workshop(request, pk)
    context = {
        "workshop": shop,
        "asked": asked,
        "document": asked.document if asked else None,
        "form": asked.form if asked else None,
        "overdue": overdue_of_workshop(shop, by),
        "query": request.GET.urlencode(),
    }
    return render(request, "reports/workshop.html", context)


def _workshop(request: HttpRequest, pk: int) -> tuple[Person, Organisation, Asked | None]:
    by = reader(request)
    shop = get_object_or_404(workshops_of(by), pk=pk)
    reckoned = workshop_part(shop, by, today_of(by))
    asked = _read(request, shop, today_of(by), reckoned.about, reckoned.tables_by_code, 1)
    return by, shop, asked


@login_required
@never_cache
@require_GET
def workshop_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a workshop's report as a PDF."""
    by, shop, asked = _workshop(request, pk)
    if asked is None:
        raise Http404
    today = today_of(by)
    return _file(
        pdf_of(asked.document, shop, today, preferences_of(by)),
        "application/pdf",
        f"fleet-{today:%Y-%m-%d}.pdf",
    )


@login_required
@never_cache
@require_GET
def workshop_tables(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a workshop's tables as CSV files, in one archive."""
    by, _shop, asked = _workshop(request, pk)
    if asked is None:
        raise Http404
    return _file(zipped(asked.document), "application/zip", f"fleet-{today_of(by):%Y-%m-%d}.zip")


@login_required
@require_GET
def own_fleet(request: HttpRequest) -> HttpResponse:
    """Go to the report of one's club; with several, choose."""
    by = reader(request)
    clubs = list(rules.organisations_where(by, Permission.VIEW_FLEET_REPORT).order_by("name"))
    if not clubs:
        raise Http404
    if len(clubs) == 1:
        return redirect("reports:fleet", clubs[0].pk)
    return render(request, "reports/choose_club.html", {"clubs": clubs})
