"""The half-yearly report by mail: to each technical officer of the club, once."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.notices.actions.outbox import mail_for, send_soon
from advisory.notices.enums import MailKind
from advisory.notices.letters import Letter, Withheld
from advisory.notices.letters.letter import link, rendered
from advisory.notices.models import Mail
from advisory.people import rules
from advisory.people.enums import Role
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.reports.models import FleetReport


def write_mails(report: FleetReport) -> int:
    """Put a mail to each officer into the outbox, unless it was put there before."""
    officers = Person.objects.filter(
        is_active=True,
        memberships__organisation=report.organisation,
        memberships__role=Role.TECHNICAL_OFFICER,
    )
    written = 0
    with transaction.atomic():
        for officer in officers:
            mail = mail_for(officer, MailKind.REPORT, timezone.now())
            fields = {
                name: getattr(mail, name)
                for name in ("kind", "person", "to", "message_id", "next_try_at")
            }
            _mail, new = Mail.objects.get_or_create(
                key=f"{MailKind.REPORT}:{report.pk}:{officer.pk}", defaults=fields
            )
            written += new
        if written:
            send_soon()
    return written


def report_letter(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return the letter, if its reader may still read the report."""
    _kind, report_pk, _person = mail.key.split(":")
    reports = FleetReport.objects.filter(pk=report_pk, finished_at__isnull=False)
    report = (
        rules.scope(mail.person, Permission.VIEW_FLEET_REPORT, reports)
        .select_related("organisation")
        .first()
    )
    if report is None or mail.person is None:
        return Withheld("The person may no longer read this report.")
    part = report.parts.filter(choice="all.all").first()
    context = {
        "report": report,
        "url": link("reports:fleet", report.organisation_id) + f"?report={report.pk}",
        "pdf_url": link("reports:pdf", report.organisation_id, report.pk),
        "total": _total(part.tables if part else {}),
        "base_url": settings.BASE_URL,
    }
    subject = _("Fleet report of %(club)s, %(day)s") % {
        "club": report.organisation,
        "day": date_format(report.on, "j F Y"),
    }
    return rendered(mail.person.email, "fleet_report", subject, context, {})


def _total(tables: Mapping[str, Any]) -> dict[str, Any]:
    """Return the first row of the fleet and of what was done in time."""
    fleet: Mapping[str, Any] = next(iter(tables.get("fleet", [])), {})
    in_time: Mapping[str, Any] = next(iter(tables.get("in_time", [])), {})
    share = in_time.get("in_time") or {}
    return {
        "units": fleet.get("units"),
        "owners": fleet.get("owners"),
        "percent": round(100 * share["value"]) if share.get("value") is not None else None,
    }
