"""The fleet report's page."""

from dataclasses import dataclass

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from advisory.common.drawing import Compared, Comparison
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.reports.queries import FleetReport, Share, fleet_report
from advisory.reports.suppression import LEAST_OWNERS


@login_required
@never_cache
@require_GET
def fleet(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the technical officer how the club's units are looked after."""
    by = reader(request)
    clubs = rules.organisations_where(by, Permission.VIEW_FLEET_REPORT)
    report = fleet_report(get_object_or_404(clubs, pk=pk), today_of(by))
    context = {
        "report": report,
        "least": LEAST_OWNERS,
        "in_time": _side_by_side(report),
        "left_out": ", ".join(row.label for row in report.rows_left_out),
    }
    return render(request, "reports/fleet.html", context)


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


@dataclass(frozen=True)
class SideBySide:
    """The shares done in time of the kinds that may be shown, and what they say in a sentence."""

    drawn: Comparison
    sentence: str


def _side_by_side(report: FleetReport) -> SideBySide | None:
    """Draw the shares done in time side by side, where there are two to be compared."""
    rows = [(row.label, row.in_time) for row in report.rows if row.in_time]
    if len(rows) < 2:  # one alone stands in the table
        return None
    drawn = [Compared(label, share.percent, _words(share)) for label, share in rows]
    least = min(rows, key=lambda row: row[1].percent)
    most = max(rows, key=lambda row: row[1].percent)
    if least[1].percent == most[1].percent:
        sentence = _("Of each kind with owners enough, %(percent)s %% of the work was in time.") % {
            "percent": least[1].percent
        }
    else:
        sentence = _(
            "Work was done in time least often with “%(least)s” (%(least_percent)s %%), most often"
            " with “%(most)s” (%(most_percent)s %%), of the kinds with owners enough."
        ) % {
            "least": least[0],
            "least_percent": least[1].percent,
            "most": most[0],
            "most_percent": most[1].percent,
        }
    return SideBySide(Comparison(drawn), sentence)


def _words(share: Share) -> str:
    return _("%(percent)s %% (%(part)s of %(of)s)") % {
        "percent": share.percent,
        "part": share.part,
        "of": share.of,
    }
