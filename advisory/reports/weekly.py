"""The week's letter to who works at a workshop or for a club: what waits there, once a week.

Put together at the moment of sending, as far as its reader may see it then; a week with nothing to
say sends none. Of a club's members it tells only what a kept report told.
"""

import zoneinfo
from collections import Counter
from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.findings.enums import FindingState
from advisory.findings.models import Finding
from advisory.findings.queries import LATE, TURN, inbox
from advisory.notices.enums import FollowReason
from advisory.notices.letters import Letter, Withheld
from advisory.notices.letters.letter import WEEK, letter_to, link
from advisory.notices.models import Mail
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.models import Organisation, Person
from advisory.people.queries import at_work
from advisory.people.rules import Permission
from advisory.reports.follow_up.listed import follow_list
from advisory.reports.models import FleetReport

A_WEEK = timedelta(days=7)


def week_of(now: datetime, person: Person) -> str:
    """Return the week it is where a person is, as ISO 8601 writes it: `2024-W21`."""
    local = now.astimezone(zoneinfo.ZoneInfo(person.zone)).date().isocalendar()
    return f"{local.year}-W{local.week:02}"


def weekly_letter(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return the letter, if there is anything to say."""
    person = mail.person
    if person is None:
        return Withheld("The person has left.")
    work = at_work(person)
    places = [
        place
        for place in (
            *(_workshop(each, person, now) for each in work.workshops),
            *(_club(each, person, now) for each in work.clubs_as_officer),
        )
        if place["lines"]
    ]
    if not places:
        return Withheld("Nothing waits.")
    subject = _("This week: %(places)s") % {
        "places": ", ".join(str(place["name"]) for place in places)
    }
    return letter_to(person, WEEK, "weekly", subject, {"places": places})


def _workshop(workshop: Organisation, person: Person, now: datetime) -> dict[str, Any]:
    def waiting(show: str) -> int:
        return inbox(person, show=show, now=now).filter(unit__workshop=workshop).count()

    lines = []
    inbox_url = link("findings:inbox")
    for show, words in (
        (FindingState.SENT.value, _("Findings that nobody has opened: %(n)d")),
        (TURN, _("Findings that wait for your word: %(n)d")),
        (LATE, _("Waiting longer than you mean to let anybody wait: %(n)d")),
    ):
        if number := waiting(show):
            lines.append({"text": words % {"n": number}, "url": f"{inbox_url}?state={show}"})
    needs = follow_list(workshop, person, today_of(person)).now
    if needs:
        reasons = Counter(reason.standing.reason for each in needs for reason in each.reasons)
        told = ", ".join(
            f"{FollowReason(reason).label} ({number})"
            for reason, number in sorted(
                reasons.items(), key=lambda item: list(FollowReason).index(item[0])
            )
        )
        text = _("Units that need a word: %(n)d. %(reasons)s.") % {
            "n": len(needs),
            "reasons": told,
        }
        lines.append({"text": text, "url": link("reports:follow_up", workshop.pk)})
    closed = rules.scope(
        person,
        Permission.ANSWER_FINDING,
        Finding.objects.filter(unit__workshop=workshop, closed_at__gt=now - A_WEEK),
    ).count()
    if lines and closed:
        lines.append({"text": _("Closed in the last seven days: %(n)d") % {"n": closed}, "url": ""})
    return {"name": workshop, "lines": lines}


def _club(club: Organisation, person: Person, now: datetime) -> dict[str, Any]:
    reports = rules.scope(
        person,
        Permission.VIEW_FLEET_REPORT,
        FleetReport.objects.filter(organisation=club, finished_at__isnull=False),
    ).order_by("-on", "-pk")
    lines = []
    newest = reports.first()
    if newest is not None and newest.finished_at is not None and newest.finished_at > now - A_WEEK:
        with timezone.override(zoneinfo.ZoneInfo(person.zone)):
            day = date_format(newest.on, "j F Y")
        lines.append(
            {
                "text": _("There is a new fleet report, of %(day)s.") % {"day": day},
                "url": link("reports:fleet", club.pk) + f"?report={newest.pk}",
            }
        )
    return {"name": club, "lines": lines}
