"""Making reports and keeping them as they were given."""

from collections.abc import Iterable
from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from advisory.common import audit
from advisory.common.jobs import start_soon
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.enums import ConsentScope, OrganisationKind
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.reports.actions.preparing import (
    UNITS_A_PAGE_WAITS_FOR,
    prepared_for,
    standing_reports,
    units_counted,
)
from advisory.reports.content import content_of, taken_over
from advisory.reports.mailing import write_mails
from advisory.reports.models import FleetReport, FleetReportPart
from advisory.reports.reckoning import METHOD_VERSION

FINISH = "advisory.reports.tasks.finish_reports"


def make_report(*, club: Organisation, by: Person) -> FleetReport:
    """Make the report of today, once; a large one that is not prepared is left to a job."""
    rules.require(by, Permission.VIEW_FLEET_REPORT, club)
    with transaction.atomic():
        report, new = FleetReport.objects.get_or_create(
            organisation=club, on=today_of(by), defaults={"made_by": by}
        )
        if new:
            audit.record("make_fleet_report", report, by=by)
    if report.finished_at is None:
        if units_counted(club) <= UNITS_A_PAGE_WAITS_FOR or prepared_for(report) is not None:
            return finish_report(report=report)
        start_soon(FINISH)
    return report


def finish_report(*, report: FleetReport) -> FleetReport:
    """Reckon all parts of a report and keep them, all at once or not at all.

    Where it was prepared, or where nothing has changed since the last, they are taken over. It may
    be killed at any point, or run twice at once: the parts are written once.
    """
    club = report.organisation
    rows = FleetReport.objects.filter(pk=report.pk, finished_at=None)
    prepared = prepared_for(report)
    if prepared is not None:
        stood_at = prepared.made_at
        content = taken_over(prepared)
    else:
        stood_at = None
        standing = list(standing_reports(club).exclude(pk=report.pk))

        def progress(done: int, wanted: int) -> None:
            if wanted > 1:
                rows.update(parts_done=done, parts_wanted=wanted)

        last = standing[0] if standing else None
        content = content_of(club, report.on, standing, last, progress)
    number = len(content.parts)
    with transaction.atomic():
        # the second of two at once finds it finished
        finished = rows.update(
            finished_at=timezone.now(),
            parts_done=number,
            parts_wanted=number,
            method_version=METHOD_VERSION,
            about=content.about,
            digest=content.digest,
            behind=content.behind,
            rests_on=content.rests_on,
            figures_on=content.figures_on,
            stood_at=stood_at,
        )
        if finished:
            FleetReportPart.objects.bulk_create(
                FleetReportPart(report=report, choice=code, tables=tables)
                for code, tables in content.parts
            )
            audit.record("finish_fleet_report", report, by=None, parts=number)
    report.refresh_from_db()
    if report.half_year:
        write_mails(report)
    return report


def half_year_of(day: date) -> str:
    """Return the half of the year that a day lies in."""
    return f"{day.year}-{1 if day.month <= 6 else 2}"


def make_half_yearly(*, clubs: Iterable[Organisation] | None = None) -> int:
    """Make each club's report of this half of the year, where it has none yet; return how many."""
    today = today_of(None)
    half = half_year_of(today)
    wanted = Organisation.objects.filter(kind=OrganisationKind.CLUB) if clubs is None else clubs
    made = 0
    for club in wanted:
        if FleetReport.objects.filter(organisation=club, half_year=half).exists():
            continue
        if not rules.consenting(club, ConsentScope.UNNAMED, ConsentScope.NAMED).exists():
            continue
        with transaction.atomic():
            report, _new = FleetReport.objects.get_or_create(organisation=club, on=today)
            taken = FleetReport.objects.filter(pk=report.pk, half_year="").update(half_year=half)
            if taken:
                audit.record("make_half_yearly_report", report, by=None, half_year=half)
        made += taken
    return made


def finish_waiting() -> int:
    """Finish the reports that wait, and write the mails that are missing; return how many."""
    waiting = FleetReport.objects.filter(finished_at=None).select_related("organisation")
    done = 0
    for report in waiting.order_by("pk"):
        finish_report(report=report)
        done += 1
    for report in FleetReport.objects.exclude(half_year="").filter(
        finished_at__gte=timezone.now() - timedelta(days=30)
    ):
        write_mails(report)
    return done
