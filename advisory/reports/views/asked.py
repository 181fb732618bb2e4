"""What the fleet report's pages share: which club, which report, which choice of it is read."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.preferences import preferences_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.reports.disclosure import LEAST_OWNERS
from advisory.reports.forms import ChoiceForm
from advisory.reports.models import FleetReport
from advisory.reports.queries import kept_reports, part_of
from advisory.reports.reckoning import Tables
from advisory.reports.shown import Document, document_of
from advisory.reports.shown.words import choice_words, stands_words


@dataclass(frozen=True)
class Asked:
    """A choice that was asked for, and what is read of it."""

    form: ChoiceForm
    document: Document


def club_of(request: HttpRequest, pk: int) -> tuple[Person, Organisation]:
    """Return the reader, and the club whose report they may read."""
    by = reader(request)
    clubs = rules.organisations_where(by, Permission.VIEW_FLEET_REPORT)
    return by, get_object_or_404(clubs, pk=pk)


def kept_of(club: Organisation, key: str | int) -> FleetReport:
    """Return a report that is kept."""
    if not str(key).isdecimal():
        raise Http404
    return get_object_or_404(kept_reports(club), pk=key)


def read(
    request: HttpRequest,
    organisation: Organisation,
    on: date,
    about: Mapping[str, Any],
    tables_of: Callable[[str], Tables | None],
    least: int,
    *,
    asked: Mapping[str, Any] | None = None,
    notes: Sequence[str] = (),
) -> Asked:
    """Read a choice, that of the address if no other is given; empty where nothing is told."""
    form = ChoiceForm.of(request.GET if asked is None else asked, about)
    document = document_of(
        organisation,
        on,
        form.period,
        choice_words(form.choice),
        tables_of(form.code) or {},
        about,
        preferences_of(reader(request)),
        least=least,
        notes=notes,
    )
    return Asked(form, document)


def asked_of(
    request: HttpRequest, report: FleetReport, asked: Mapping[str, Any] | None = None
) -> Asked:
    """Read a choice of a kept report."""
    return read(
        request,
        report.organisation,
        report.of_day,
        report.about,
        lambda code: part_of(report, code),
        LEAST_OWNERS,
        asked=asked,
        notes=stands_words(report),
    )


def as_file(content: bytes, kind: str, name: str) -> HttpResponse:
    """Give something to be kept."""
    answer = HttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
