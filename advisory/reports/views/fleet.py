"""The fleet report's pages: a club's, kept as it was given; a workshop's, of the moment."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.models import Organisation, Person
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.reports.actions import make_report
from advisory.reports.csv_tables import zipped
from advisory.reports.disclosure import LEAST_OWNERS
from advisory.reports.pdf import pdf_of
from advisory.reports.queries import (
    kept_reports,
    named_owners,
    newest_report,
    overdue_of_workshop,
    workshop_part,
    workshops_of,
)
from advisory.reports.shown import empty_words
from advisory.reports.views.asked import Asked, as_file, asked_of, club_of, kept_of, read

# Half of what a person would take to reload by hand.
SECONDS_TO_LOOK_AGAIN = 2


@login_required
@never_cache
@require_GET
def fleet(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the technical officer how the club's units are looked after."""
    by, club = club_of(request, pk)
    key = request.GET.get("report")
    # the first is made as soon as somebody wants to read it
    report = kept_of(club, key) if key is not None else kept_reports(club).first()
    report = report or make_report(club=club, by=by)
    newest = newest_report(club)
    waiting = newest if newest is not None and newest.finished_at is None else None
    if report.finished_at is None:
        context = {"club": club, "report": report, "again": SECONDS_TO_LOOK_AGAIN}
        return render(request, "reports/waiting.html", context)
    asked = asked_of(request, report)
    earlier = list(kept_reports(club)[:20])
    context = {
        "club": club,
        "report": report,
        "document": asked.document,
        "form": asked.form,
        "named": named_owners(report, today_of(by)),
        "reports": earlier,
        "in_the_making": waiting,
        "is_todays": report.on == today_of(by),
        "before": next((each for each in earlier if each.on < report.on), None),
        "least": LEAST_OWNERS,
        "query": asked.form.as_query,
        "empty_words": empty_words(LEAST_OWNERS),
    }
    return render(request, "reports/fleet.html", context)


@login_required
@require_POST
def new(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the report of today."""
    by, club = club_of(request, pk)
    make_report(club=club, by=by)
    return redirect("reports:fleet", club.pk)


@login_required
@never_cache
@require_GET
def progress(request: HttpRequest, pk: int) -> HttpResponse:
    """Tell how far the report that is being made has come."""
    _by, club = club_of(request, pk)
    report = newest_report(club)
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
    _by, club = club_of(request, pk)
    kept = kept_of(club, report)
    content = pdf_of(asked_of(request, kept).document, club, kept.on)
    return as_file(content, "application/pdf", f"fleet-{kept.on:%Y-%m-%d}.pdf")


@login_required
@never_cache
@require_GET
def tables(request: HttpRequest, pk: int, report: int) -> HttpResponse:
    """Give the report's tables as CSV files, in one archive."""
    _by, club = club_of(request, pk)
    kept = kept_of(club, report)
    content = zipped(asked_of(request, kept).document, kept.on)
    return as_file(content, "application/zip", f"fleet-{kept.on:%Y-%m-%d}.zip")


@login_required
@never_cache
@require_GET
def workshop(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a workshop how the units on its books do, with their owners' names."""
    by, shop, asked = _workshop(request, pk)
    context = {
        "workshop": shop,
        "document": asked.document,
        "form": asked.form,
        "overdue": overdue_of_workshop(shop, by),
        "query": asked.form.as_query,
        "empty_words": empty_words(1),
    }
    return render(request, "reports/workshop.html", context)


def _workshop(request: HttpRequest, pk: int) -> tuple[Person, Organisation, Asked]:
    by = reader(request)
    shop = get_object_or_404(workshops_of(by), pk=pk)
    reckoned = workshop_part(shop, by, today_of(by))
    asked = read(request, shop, today_of(by), reckoned.about, reckoned.tables_by_code, 1)
    return by, shop, asked


@login_required
@never_cache
@require_GET
def workshop_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a workshop's report as a PDF."""
    by, shop, asked = _workshop(request, pk)
    today = today_of(by)
    content = pdf_of(asked.document, shop, today)
    return as_file(content, "application/pdf", f"fleet-{today:%Y-%m-%d}.pdf")


@login_required
@never_cache
@require_GET
def workshop_tables(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a workshop's tables as CSV files, in one archive."""
    by, _shop, asked = _workshop(request, pk)
    today = today_of(by)
    content = zipped(asked.document, today)
    return as_file(content, "application/zip", f"fleet-{today:%Y-%m-%d}.zip")


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
