"""What was brought to a person's notice, as it stands in the account: newest first."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import CharField, F, QuerySet, Value
from django.urls import reverse
from django.utils.translation import gettext as _

from advisory.findings.models import Finding
from advisory.findings.words import small
from advisory.notices.enums import OPENS_A_DOOR, FollowedBy, MailState, Stage
from advisory.notices.models import (
    BulletinNotice,
    FindingNotice,
    FollowUp,
    Mail,
    ReadingRequest,
    Reminder,
)
from advisory.notices.words import subject_in_words
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.rules import Permission
from advisory.plans.models import PlanItem
from advisory.plans.models.bulletins import BulletinUnit
from advisory.register.models import Car, Unit

REMINDER, FINDING, MAIL, READING, WORD = "reminder", "finding", "mail", "reading", "word"
BULLETIN = "bulletin"


@dataclass(frozen=True)
class Message:
    """One message: what it is called, what it says, where it leads."""

    kind: str
    at: datetime
    title: str
    text: str
    url: str
    unread: bool


def own_reminders(person: Person) -> "QuerySet[Reminder]":
    """Return the reminders of items that are still this person's, or that they may still see."""
    seen = rules.scope(person, Permission.VIEW_USE, PlanItem.everything.all())
    return Reminder.objects.filter(person=person, item__in=seen)


def own_requests(person: Person) -> "QuerySet[ReadingRequest]":
    """Return the readings asked for, of cars that are still this person's."""
    mine = rules.scope(person, Permission.KEEP_USE, Car.objects.all())
    return ReadingRequest.objects.filter(person=person, car__in=mine)


def own_words(person: Person) -> "QuerySet[FollowUp]":
    """Return what workshops wrote of units that are still this person's."""
    mine = rules.scope(person, Permission.KEEP_USE, Unit.objects.all())
    return FollowUp.objects.filter(person=person, kind=FollowedBy.LETTER, unit__in=mine)


def _finding_notices(person: Person) -> "QuerySet[FindingNotice]":
    """Return the notices of findings that this person may still see."""
    seen = rules.scope(person, Permission.VIEW_FINDING, Finding.objects.all())
    return FindingNotice.objects.filter(person=person, finding__in=seen)


def _bulletin_notices(person: Person) -> "QuerySet[BulletinNotice]":
    """Return the bulletins that still concern a unit of this person's."""
    concern = BulletinUnit.objects.filter(unit__owner=person).values("bulletin")
    return BulletinNotice.objects.filter(person=person, bulletin__in=concern)


def _given_up(person: Person) -> "QuerySet[Mail]":
    told_here = Mail.objects.exclude(kind__in=OPENS_A_DOOR)
    return told_here.filter(person=person, state=MailState.GIVEN_UP)


def unread_count(person: Person) -> int:
    """Return how many messages this person has not had before them yet."""
    unread = [
        rows.filter(read_at=None).order_by().values("pk")
        for rows in (
            own_reminders(person),
            _finding_notices(person),
            own_requests(person),
            own_words(person),
            _bulletin_notices(person),
        )
    ]
    return unread[0].union(*unread[1:], all=True).count()


def message_keys(person: Person) -> Any:
    """Return kind, key and time of all messages, newest first, to be cut into pages."""

    def keys(rows: Any, kind: str, at: str) -> Any:
        named = rows.order_by().annotate(told=Value(kind, CharField()), at=F(at))
        return named.values_list("told", "pk", "at")

    return (
        keys(own_reminders(person), REMINDER, "raised_at")
        .union(
            keys(_finding_notices(person), FINDING, "raised_at"),
            keys(_given_up(person), MAIL, "created_at"),
            keys(own_requests(person), READING, "raised_at"),
            keys(own_words(person), WORD, "raised_at"),
            keys(_bulletin_notices(person), BULLETIN, "raised_at"),
        )
        .order_by("-at", "-pk")
    )


@dataclass(frozen=True)
class Page:
    """The messages of one page, and which of them are new to the reader."""

    messages: list[Message]
    unread_reminders: list[int]
    unread_finding_notices: list[int]
    unread_requests: list[int]
    unread_words: list[int]
    unread_bulletin_notices: list[int]

    @property
    def any_unread(self) -> bool:
        """Whether anything on it is new."""
        return bool(
            self.unread_reminders
            or self.unread_finding_notices
            or self.unread_requests
            or self.unread_words
            or self.unread_bulletin_notices
        )


def messages_of(person: Person, keys: Iterable[tuple[str, int, datetime]]) -> Page:
    """Fetch what the keys name, in their order, in a constant number of queries."""
    kinds = (REMINDER, FINDING, MAIL, READING, WORD, BULLETIN)
    wanted: dict[str, list[int]] = {kind: [] for kind in kinds}
    keys = list(keys)
    for kind, pk, _at in keys:
        wanted[kind].append(pk)
    reminders = {
        row.pk: row
        for row in own_reminders(person)
        .filter(pk__in=wanted[REMINDER])
        .select_related("item__unit__design")
    }
    notices = {
        row.pk: row
        for row in _finding_notices(person)
        .filter(pk__in=wanted[FINDING])
        .select_related(
            "answer",
            "finding__unit__design",
            "finding__unit__workshop",
            "finding__unit__owner",
            "finding__position",
        )
    }
    mails = {row.pk: row for row in _given_up(person).filter(pk__in=wanted[MAIL])}
    asked = {
        row.pk: row
        for row in own_requests(person)
        .filter(pk__in=wanted[READING])
        .select_related("car", "item__unit__design")
    }
    words = {
        row.pk: row
        for row in own_words(person)
        .filter(pk__in=wanted[WORD])
        .select_related("unit__design", "unit__workshop")
    }
    bulletins = {
        row.pk: row
        for row in _bulletin_notices(person)
        .filter(pk__in=wanted[BULLETIN])
        .select_related("bulletin__organisation")
    }
    made: dict[tuple[str, int], Message] = {
        **{(WORD, pk): _of_word(row) for pk, row in words.items()},
        **{(BULLETIN, pk): _of_bulletin(row) for pk, row in bulletins.items()},
        **{(READING, pk): _of_request(row) for pk, row in asked.items()},
        **{(REMINDER, pk): _of_reminder(row) for pk, row in reminders.items()},
        **{(FINDING, pk): _of_finding(row, person) for pk, row in notices.items()},
        **{(MAIL, pk): _of_mail(row) for pk, row in mails.items()},
    }
    return Page(
        messages=[made[kind, pk] for kind, pk, _at in keys if (kind, pk) in made],
        unread_reminders=[pk for pk, row in reminders.items() if row.read_at is None],
        unread_finding_notices=[pk for pk, row in notices.items() if row.read_at is None],
        unread_requests=[pk for pk, row in asked.items() if row.read_at is None],
        unread_words=[pk for pk, row in words.items() if row.read_at is None],
        unread_bulletin_notices=[pk for pk, row in bulletins.items() if row.read_at is None],
    )


def _of_reminder(row: Reminder) -> Message:
    item = row.item
    done = item.cycle > row.cycle
    return Message(
        kind=REMINDER,
        at=row.raised_at,
        title=subject_in_words(item.get_work_display(), Stage(row.stage), str(item.unit)),
        text=_("Done since.") if done else "",
        url=reverse("plans:item", args=[item.unit_id, item.work]),
        unread=row.read_at is None,
    )


def _of_request(row: ReadingRequest) -> Message:
    answered = row.answered_at is not None
    return Message(
        kind=READING,
        at=row.raised_at,
        title=_("What does the odometer of your %(car)s show?") % {"car": row.car},
        text=_("Entered since.")
        if answered
        else _("Only a reading can tell how near it is: %(work)s, %(unit)s.")
        % {"work": row.item.get_work_display(), "unit": row.item.unit},
        url=reverse("usage:reading_new", args=[row.car_id]),
        unread=row.read_at is None,
    )


def _of_bulletin(row: BulletinNotice) -> Message:
    bulletin = row.bulletin
    taken_back = bulletin.withdrawn_at is not None
    return Message(
        kind=BULLETIN,
        at=row.raised_at,
        title=_("%(who)s: %(title)s") % {"who": bulletin.organisation, "title": bulletin.title},
        text=_("Taken back since.") if taken_back else bulletin.asks or bulletin.text,
        url=reverse("plans:bulletin_read", args=[bulletin.pk]),
        unread=row.read_at is None,
    )


def _of_finding(row: FindingNotice, person: Person) -> Message:
    finding = row.finding
    if row.answer is not None and row.answer.of_the_owner:
        title = _("%(owner)s wrote back on %(unit)s") % {
            "owner": finding.unit.owner,
            "unit": finding.unit,
        }
        text = row.answer.text or str(row.answer.get_kind_display())
    elif row.answer is not None:
        title = _("%(workshop)s answers what you found on %(unit)s") % {
            "workshop": finding.unit.workshop,
            "unit": finding.unit,
        }
        text = row.answer.text
    elif row.late:
        title = _("%(unit)s: a first answer is late") % {"unit": finding.unit}
        text = finding.text
    else:
        title = _("%(unit)s: its owner found something") % {"unit": finding.unit}
        figure = small(finding.value, preferences_of(person))
        told = [str(finding.position or ""), figure or "", finding.text]
        text = ". ".join(part for part in told if part)
    return Message(
        kind=FINDING,
        at=row.raised_at,
        title=title,
        text=text,
        url=reverse("findings:finding", args=[finding.pk]),
        unread=row.read_at is None,
    )


def _of_word(row: FollowUp) -> Message:
    return Message(
        kind=WORD,
        at=row.raised_at,
        title=_("%(workshop)s has a word about %(unit)s")
        % {"workshop": row.unit.workshop, "unit": row.unit},
        text=f"{row.get_reason_display()}.",
        url=reverse("plans:unit", args=[row.unit_id]),
        unread=row.read_at is None,
    )


def _of_mail(row: Mail) -> Message:
    return Message(
        kind=MAIL,
        at=row.created_at,
        title=_("A mail to %(address)s could not be sent") % {"address": row.to},
        text=_("What it told stands on this page. The mail server said: %(error)s")
        % {"error": row.last_error},
        url=reverse("notices:preferences"),
        unread=False,
    )
