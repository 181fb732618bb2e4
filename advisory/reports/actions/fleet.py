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
from advisory.register.models import Unit
from advisory.reports.mailing import write_mails
from advisory.reports.models import FleetReport, FleetReportPart
from advisory.reports.reckoning import METHOD_VERSION, digest_of, of_club, told_of

FINISH = "advisory.reports.tasks.finish_reports"
# Up to here a page waits for it; beyond, a job makes it and the page tells how far it has come.
UNITS_A_PAGE_WAITS_FOR = 5_000


def make_report(*, club: Organisation, by: Person) -> FleetReport:
    """Make the report of today, once; a large one is left to a job."""
    rules.require(by, Permission.VIEW_FLEET_REPORT, club)
    with transaction.atomic():
        report, new = FleetReport.objects.get_or_create(
            organisation=club, on=today_of(by), defaults={"made_by": by}
        )
        if new:
            audit.record("make_fleet_report", report, by=by)
    if report.finished_at is None:
        if _units(club) <= UNITS_A_PAGE_WAITS_FOR:
            return finish_report(report=report)
        start_soon(FINISH)
    return report


def _units(club: Organisation) -> int:
    owners = rules.consenting(club, ConsentScope.UNNAMED, ConsentScope.NAMED)
    return Unit.objects.filter(owner__in=owners).count()


def finish_report(*, report: FleetReport) -> FleetReport:
    """Reckon all parts of a report and keep them, all at once or not at all.

    It may be killed at any point, or run twice at once: the parts are written once.
    """
    earlier = [
        (bytes(held), about)
        for held, about in FleetReport.objects.filter(
            organisation=report.organisation, finished_at__isnull=False
        )
        .exclude(pk=report.pk)
        .values_list("behind", "about")
    ]
    reckoned = of_club(report.organisation, report.on, earlier)
    parts = []
    rows = FleetReport.objects.filter(pk=report.pk, finished_at=None)
    wanted = len(reckoned.choices)
    for done, (choice, tables) in enumerate(reckoned.all_tables(), start=1):
        parts.append((choice.code, tables))
        if wanted > 1:
            rows.update(parts_done=done, parts_wanted=wanted)
    about = reckoned.about | {"told_of": told_of(reckoned)}
    with transaction.atomic():
        # the second of two at once finds it finished
        finished = rows.update(
            finished_at=timezone.now(),
            parts_done=wanted,
            parts_wanted=wanted,
            method_version=METHOD_VERSION,
            about=about,
            digest=digest_of(parts),
            behind=reckoned.behind,
        )
        if finished:
            FleetReportPart.objects.bulk_create(
                FleetReportPart(report=report, choice=code, tables=tables) for code, tables in parts
            )
            audit.record("finish_fleet_report", report, by=None, parts=len(parts))
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
