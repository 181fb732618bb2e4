"""Two reports, or two choices of one, held against each other."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from advisory.reports.differences import held_against, lives_of_both
from advisory.reports.forms import BesideForm
from advisory.reports.shown import Document
from advisory.reports.views.asked import asked_of, club_of, kept_of


@login_required
@never_cache
@require_GET
def differs(request: HttpRequest, pk: int, report: int, earlier: int) -> HttpResponse:
    """Show two reports side by side: the figures that differ."""
    _by, club = club_of(request, pk)
    newer, older = kept_of(club, report), kept_of(club, earlier)
    asked, before = asked_of(request, newer), asked_of(request, older)
    told = bool(asked.document.sections and before.document.sections)
    context = {
        "club": club,
        "newer": newer,
        "older": older,
        "document": asked.document,
        "is_told": told,
        "tables": held_against(before.document, asked.document, same_too=False),
        "query": asked.form.as_query,
    }
    return render(request, "reports/differs.html", context)


@login_required
@never_cache
@require_GET
def beside(request: HttpRequest, pk: int, report: int) -> HttpResponse:
    """Show two choices of one report side by side; nothing is told that each doesn't tell alone."""
    _by, club = club_of(request, pk)
    kept = kept_of(club, report)
    form = BesideForm.of(request.GET, kept.about)
    one, other = (asked_of(request, kept, asked) for asked in form.both)
    tables = held_against(one.document, other.document)
    context = {
        "club": club,
        "report": kept,
        "form": form,
        "one": one.document,
        "other": other.document,
        "one_title": one.document.designs,
        # of one design, its years are what tells them apart
        "one_name": _name(one.document, other.document),
        "other_name": _name(other.document, one.document),
        "is_same": one.form.code == other.form.code,
        "tables": [each for each in tables if each.figures],
        "apart": [each.title for each in tables if not each.figures],
        "chart": lives_of_both(one.document, other.document),
        "query": one.form.as_query,
    }
    return render(request, "reports/beside.html", context)


def _name(document: Document, other: Document) -> str:
    if document.designs != other.designs:
        return document.designs
    return document.years
