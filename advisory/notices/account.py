"""What was brought to a person's notice, as it stands in the account: newest first."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import CharField, F, Model, QuerySet, Value

from advisory.findings.models import Finding
from advisory.notices import message_words as words
from advisory.notices.enums import OPENS_A_DOOR, FollowedBy, MailState
from advisory.notices.message_words import Message
from advisory.notices.models import (
    BulletinNotice,
    FindingNotice,
    FollowUp,
    Mail,
    ReadingRequest,
    Reminder,
)
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.plans.models import BulletinUnit, PlanItem
from advisory.register.models import Car, Unit


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


@dataclass(frozen=True)
class Kind:
    """A kind of message: whose rows tell it, what is read with them, and how it is put in words."""

    name: str
    table: "type[Model]"
    rows: "Callable[[Person], QuerySet[Any]]"
    words: Callable[[Any, Person], Message]
    reads: tuple[str, ...] = ()
    at: str = "raised_at"
    # whether its rows keep when they were read
    kept_read: bool = True


KINDS = (
    Kind(words.REMINDER, Reminder, own_reminders, words.of_reminder, ("item__unit__design",)),
    Kind(
        words.FINDING,
        FindingNotice,
        _finding_notices,
        words.of_finding,
        (
            "answer",
            "finding__unit__design",
            "finding__unit__workshop",
            "finding__unit__owner",
            "finding__position",
        ),
    ),
    Kind(
        words.READING, ReadingRequest, own_requests, words.of_request, ("car", "item__unit__design")
    ),
    Kind(words.WORD, FollowUp, own_words, words.of_word, ("unit__design", "unit__workshop")),
    Kind(
        words.BULLETIN,
        BulletinNotice,
        _bulletin_notices,
        words.of_bulletin,
        ("bulletin__organisation",),
    ),
    Kind(words.MAIL, Mail, _given_up, words.of_mail, at="created_at", kept_read=False),
)


KEPT_READ = tuple(kind for kind in KINDS if kind.kept_read)


def may_be_unread(kind: Kind, person: Person) -> "QuerySet[Any]":
    """Return the rows that nobody has asked the rules about yet: nothing of them may be told."""
    return kind.table._default_manager.filter(person=person, read_at=None)


def unread_rows(kind: Kind, person: Person) -> "QuerySet[Any]":
    """Return the rows of messages that this person has not had before them yet."""
    rows: QuerySet[Any] = kind.rows(person).filter(read_at=None).order_by()
    return rows


def message_keys(person: Person) -> Any:
    """Return kind, key and time of all messages, newest first, to be cut into pages."""
    keys = []
    for kind in KINDS:
        rows = kind.rows(person).order_by()
        named = rows.annotate(told=Value(kind.name, CharField()), told_at=F(kind.at))
        keys.append(named.values_list("told", "pk", "told_at"))
    return keys[0].union(*keys[1:]).order_by("-told_at", "-pk")


@dataclass(frozen=True)
class Page:
    """The messages of one page, and by table the rows that are new to the reader."""

    messages: list[Message]
    unread: dict[type[Model], list[int]]


def messages_of(person: Person, keys: Iterable[tuple[str, int, datetime]]) -> Page:
    """Fetch what the keys name, in their order, in a constant number of queries."""
    keys = list(keys)
    made: dict[tuple[str, int], Message] = {}
    unread: dict[type[Model], list[int]] = {}
    for kind in KINDS:
        wanted = [pk for name, pk, _at in keys if name == kind.name]
        for row in kind.rows(person).filter(pk__in=wanted).select_related(*kind.reads):
            made[kind.name, row.pk] = kind.words(row, person)
            if kind.kept_read and row.read_at is None:
                unread.setdefault(type(row), []).append(row.pk)
    return Page([made[name, pk] for name, pk, _at in keys if (name, pk) in made], unread)
