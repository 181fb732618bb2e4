"""Every sending to a person: what it was, why, when, and what became of it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Prefetch, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.notices.account import own_reminders, own_requests
from advisory.notices.enums import CHOOSES_ITS_HOURS, OPENS_A_DOOR, MailKind, MailState
from advisory.notices.models import Mail
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission

WHY = {
    MailKind.REMINDER: gettext_lazy("Something on your plan came nearer."),
    MailKind.READING: gettext_lazy("Only a reading could tell how near something was."),
    MailKind.FINDING: gettext_lazy("An owner found something on a unit that your workshop built."),
    MailKind.ANSWER: gettext_lazy("A workshop answered what you found."),
    MailKind.WORD: gettext_lazy("Something is overdue, and its owner wants the workshop to know."),
    MailKind.REPORT: gettext_lazy("You hold an office in the club that it is about."),
    MailKind.ACCOUNT: gettext_lazy("Somebody who gave your address asked to get in."),
    MailKind.INVITATION: gettext_lazy("Somebody invited you."),
    MailKind.OFFER: gettext_lazy("A unit was offered to you."),
    MailKind.REPLY: gettext_lazy("An owner wrote back to your workshop's answer."),
    MailKind.LATE: gettext_lazy("An owner still waits for your workshop's first answer."),
    MailKind.BULLETIN: gettext_lazy("A workshop or club wrote of units like yours."),
    MailKind.WEEKLY: gettext_lazy("You asked to hear once a week what waits."),
    MailKind.FOLLOW_UP: gettext_lazy("Your workshop wanted you to know of something."),
}


@dataclass(frozen=True)
class Sending:
    """One mail in words; `at` is when it went, or when it may go."""

    key: int
    what: str
    why: str
    about: tuple[str, ...]
    written_at: datetime
    at: datetime | None
    result: str
    state: str
    to: str


def own_mails(person: Person) -> "QuerySet[Mail]":
    """Return the mails to a person, sent or not, newest first."""
    return rules.scope(person, Permission.KEEP_ACCOUNT, Mail.objects.all()).order_by("-pk")


def with_what_they_tell(mails: "QuerySet[Mail]", person: Person) -> "QuerySet[Mail]":
    """Fetch along what mails tell of, as far as it is still their reader's to know."""
    reminders = own_reminders(person).select_related("item__unit__design").order_by("pk")
    requests = own_requests(person).select_related("car").order_by("pk")
    return mails.prefetch_related(
        Prefetch("reminders", queryset=reminders),
        Prefetch("reading_requests", queryset=requests),
    )


def sendings_of(mails: Iterable[Mail]) -> list[Sending]:
    """Put mails in words."""
    return [_sending(mail) for mail in mails]


def _sending(mail: Mail) -> Sending:
    kind = MailKind(mail.kind)
    waits = mail.state == MailState.WAITING
    return Sending(
        key=mail.pk,
        what=mail.subject or str(kind.label),
        why=str(WHY.get(kind, kind.label)),
        about=tuple(_about(mail)),
        written_at=mail.created_at,
        at=mail.sent_at or (mail.next_try_at if waits else None),
        result=_result(mail),
        state=mail.state,
        to=mail.to,
    )


def _about(mail: Any) -> Iterable[str]:
    # of each item the last stage that it had come to, which is what the letter tells
    told = {row.item_id: row for row in mail.reminders.all() if row.item_id not in mail.left_out}
    for row in told.values():
        yield _("%(work)s, %(stage)s: %(unit)s") % {
            "work": row.item.get_work_display(),
            "stage": row.get_stage_display().lower(),
            "unit": row.item.unit,
        }
    for asked in mail.reading_requests.all():
        yield str(asked.car)


def _result(mail: Mail) -> str:
    if mail.state == MailState.SENT:
        return _("Sent to %(address)s") % {"address": mail.to}
    if mail.state == MailState.HELD:
        return _("Not sent, for it no longer held: %(reason)s") % {"reason": mail.last_error}
    if mail.state == MailState.GIVEN_UP:
        return _("Could not be sent to %(address)s. The mail server said: %(error)s") % {
            "address": mail.to,
            "error": mail.last_error,
        }
    if mail.last_error:
        return _("Tried %(tries)d times, and tried again. The mail server said: %(error)s") % {
            "tries": mail.attempts,
            "error": mail.last_error,
        }
    if mail.any_hour or mail.kind in OPENS_A_DOOR:
        return _("Goes at the next moment")
    if mail.kind in CHOOSES_ITS_HOURS:
        return _("Waits for your hours")
    return _("Waits for the day: no mail goes at night")
