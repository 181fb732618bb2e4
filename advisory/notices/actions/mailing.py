"""Which mail a notice goes with: one a person, kind and window, and none that is not wanted."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Max
from django.db.models.functions import Coalesce

from advisory.notices.actions.outbox import mail_for
from advisory.notices.enums import CHOOSES_ITS_HOURS, OPENS_A_DOOR, MailKind, MailState
from advisory.notices.models import Mail, NoticePreference
from advisory.notices.quiet_hours import USUAL, Window
from advisory.people.models import Person

# Which choice of a person's says whether they want it by mail.
SWITCH_OF = {
    MailKind.REMINDER: "reminders_by_mail",
    MailKind.READING: "reminders_by_mail",
    MailKind.WORD: "findings_by_mail",
}


@dataclass(frozen=True)
class Raised:
    """What a run did."""

    reminders: int = 0
    mails: int = 0

    def __add__(self, other: "Raised") -> "Raised":
        return Raised(self.reminders + other.reminders, self.mails + other.mails)


def write_with_mail(
    rows: Sequence[Any], people: Iterable[Person], kind: MailKind, now: datetime
) -> Raised:
    """Write notices (rows with a person and a mail) and their mails, in a few queries.

    One that another run wrote meanwhile keeps its own mail: a mail tells exactly what was written
    with it, and none is left that tells nothing.
    """
    if not rows:
        return Raised()
    model = type(rows[0])
    told = {row.person_id for row in rows}
    reachable = reachable_by_mail([person for person in people if person.pk in told], kind)
    mails = mails_that_wait(list(reachable), kind)
    last = _told_last([person for person in reachable if person.pk not in mails], kind)
    written = Mail.objects.bulk_create(
        mail_for(person, kind, now, window.opening_after(last.get(person.pk), now, person.zone))
        for person, window in reachable.items()
        if person.pk not in mails
    )
    mails |= {mail.person_id: mail for mail in written if mail.person_id}
    for row in rows:
        row.mail = mails.get(row.person_id)
    model.objects.bulk_create(rows, ignore_conflicts=True)
    new = Mail.objects.filter(pk__in=[mail.pk for mail in written])
    new.exclude(pk__in=model.objects.filter(mail__in=new).values("mail")).delete()
    ours = model.objects.filter(
        person__in=told, item__in={row.item_id for row in rows}, raised_at=now
    )
    return Raised(reminders=ours.count(), mails=new.count())


def reachable_by_mail(people: Sequence[Person], kind: MailKind) -> dict[Person, Window]:
    """Return who wants it by mail and has an address that takes any, and when it may come."""
    reachable = dict.fromkeys(people, USUAL)
    for preference in NoticePreference.objects.filter(person__in=people).select_related("person"):
        reachable[preference.person] = preference.window
        wanted = getattr(preference, SWITCH_OF[kind])
        if not wanted or preference.refused_address == preference.person.email:
            del reachable[preference.person]
    return reachable


def next_window(mail: Mail, preference: NoticePreference | None, now: datetime) -> datetime:
    """Return when a mail may go: now, or where it is night there or the wrong day, later.

    Asked right before it goes: it may have failed into the night, and its reader have moved.
    """
    if mail.person is None or mail.any_hour or mail.kind in OPENS_A_DOOR:
        return now  # somebody waits for it, or runs what must not be run
    chosen = mail.kind in CHOOSES_ITS_HOURS and preference is not None
    window = preference.window if chosen and preference is not None else USUAL
    return window.opening(now, mail.person.zone)


def mails_that_wait(people: Sequence[Person], kind: MailKind) -> dict[int, Mail]:
    """Return mails that wait for their window and take more; none leaves before we are done."""
    waiting = Mail.objects.select_for_update().filter(
        kind=kind,
        person__in=people,
        state=MailState.WAITING,
        attempts=0,
        held_until=None,
    )
    return {mail.person_id: mail for mail in waiting.order_by("pk") if mail.person_id}


def _told_last(people: Sequence[Person], kind: MailKind) -> dict[int | None, datetime]:
    """Return when each was sent such a mail last, or is about to be."""
    mails = Mail.objects.filter(
        kind=kind, person__in=people, state__in=(MailState.SENT, MailState.WAITING)
    )
    at = Max(Coalesce("sent_at", "next_try_at"))
    return dict(mails.order_by().values_list("person").annotate(at=at))
