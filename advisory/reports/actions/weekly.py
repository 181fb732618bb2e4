"""Putting the week's letters into the outbox: one a person and week, whoever runs it, twice too."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from advisory.notices.actions.outbox import mail_for, send_soon
from advisory.notices.enums import MailKind
from advisory.notices.models import Mail, NoticePreference
from advisory.people.enums import Role
from advisory.reports.weekly import week_of

AT_WORK = (Role.MANAGER, Role.FITTER, Role.TECHNICAL_OFFICER)
AT_ONCE = 500


def write_weekly_letters(*, now: datetime | None = None) -> int:
    """Write the letter of this week to everybody who wants one and has none; return how many.

    The week is that of the person's own zone; its letter waits for the hours and days that the
    person chose. One who chooses it in the middle of a week hears of that week.
    """
    now = now or timezone.now()
    wanting = NoticePreference.objects.filter(
        weekly_by_mail=True,
        person__is_active=True,
        person__memberships__role__in=AT_WORK,
    )
    written, after = 0, 0
    while rows := list(
        wanting.filter(person_id__gt=after)
        .select_related("person")
        .order_by("person_id")
        .distinct()[:AT_ONCE]
    ):
        after = rows[-1].person_id
        mails = []
        for row in rows:
            opening = row.window.opening(now, row.person.zone)
            mail = mail_for(row.person, MailKind.WEEKLY, now, opening)
            mail.key = f"{MailKind.WEEKLY}:{week_of(now, row.person)}:{row.person_id}"
            mails.append(mail)
        with transaction.atomic():
            new = {mail.key for mail in mails} - set(
                Mail.objects.filter(key__in=[mail.key for mail in mails]).values_list(
                    "key", flat=True
                )
            )
            # another run may write the same at the same moment: its key stands once
            Mail.objects.bulk_create(
                (mail for mail in mails if mail.key in new), ignore_conflicts=True
            )
            if new:
                send_soon()
        written += len(new)
    return written
