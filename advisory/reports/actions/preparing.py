"""Reckoning large clubs' reports in the night, so that a page has them at once when one is wanted.

A report that was given costs: what is told later must not give anybody away beside it. So none is
given each night; it lies ready, unseen, and becomes a report once somebody asks for it.
"""

from django.db.models import QuerySet
from django.utils import timezone

from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.enums import ConsentScope, OrganisationKind
from advisory.people.models import Organisation
from advisory.register.models import Unit
from advisory.reports.content import all_still_consent, content_of
from advisory.reports.models import FleetReport, PreparedReport
from advisory.reports.reckoning import METHOD_VERSION

# Up to here a page waits for it; beyond, it is prepared in the night, or a job makes it and the
# page tells how far it has come.
UNITS_A_PAGE_WAITS_FOR = 5_000


def units_counted(club: Organisation) -> int:
    """Count the units of the owners who let themselves be counted."""
    owners = rules.consenting(club, ConsentScope.UNNAMED, ConsentScope.NAMED)
    return Unit.objects.filter(owner__in=owners).count()


def standing_reports(club: Organisation) -> QuerySet[FleetReport]:
    """Return the reports that were given, with all that they hold, the newest first."""
    return FleetReport.objects.filter(organisation=club, finished_at__isnull=False)


def _after(club: Organisation) -> list[int]:
    return sorted(standing_reports(club).values_list("pk", flat=True))


def prepared_for(report: FleetReport) -> PreparedReport | None:
    """Return what the night prepared for a report, if it may be given.

    Not where somebody who is counted in it has withdrawn consent since, and not where another
    report was given in between, against which it was not weighed.
    """
    club = report.organisation
    prepared = PreparedReport.objects.filter(
        organisation=club, on=report.on, method_version=METHOD_VERSION
    ).first()
    if prepared is None or prepared.after != _after(club):
        return None
    return prepared if all_still_consent(club, bytes(prepared.behind)) else None


def prepare_reports() -> int:
    """Prepare today's report of each large club that has none yet; return how many."""
    today = today_of(None)
    clubs = Organisation.objects.filter(kind=OrganisationKind.CLUB).exclude(
        fleet_reports__on=today
    )  # fmt: skip
    prepared = []
    for club in clubs.order_by("pk"):
        if units_counted(club) > UNITS_A_PAGE_WAITS_FOR:
            prepare_report(club=club)
            prepared.append(club.pk)
    # what nobody asked for by the next night is nobody's
    PreparedReport.objects.exclude(organisation__in=prepared).delete()
    return len(prepared)


def prepare_report(*, club: Organisation) -> PreparedReport:
    """Reckon the report of today and lay it ready.

    It may be killed at any point, or run twice at once: the last stands, and each is whole.
    """
    today, now = today_of(None), timezone.now()
    standing = list(standing_reports(club))
    after = sorted(report.pk for report in standing)
    last: FleetReport | PreparedReport | None = standing[0] if standing else None
    ready = PreparedReport.objects.filter(organisation=club).first()
    if ready is not None and ready.after == after:
        last = ready
    content = content_of(club, today, standing, last)
    prepared, _new = PreparedReport.objects.update_or_create(
        organisation=club,
        defaults={
            "on": today,
            "figures_on": content.figures_on,
            "made_at": now,
            "method_version": METHOD_VERSION,
            "rests_on": content.rests_on,
            "after": after,
            "about": content.about,
            "behind": content.behind,
            "parts": content.parts,
        },
    )
    return prepared
