"""What each kind of message says in the account."""

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils.translation import gettext as _

from advisory.findings.words import small
from advisory.notices.enums import Stage
from advisory.notices.models import (
    BulletinNotice,
    FindingNotice,
    FollowUp,
    Mail,
    ReadingRequest,
    Reminder,
)
from advisory.notices.words import subject_in_words
from advisory.people.models import Person
from advisory.people.preferences import preferences_of

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


def of_reminder(row: Reminder, person: Person) -> Message:
    """Say what came nearer."""
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


def of_request(row: ReadingRequest, person: Person) -> Message:
    """Say which reading is asked for."""
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


def of_bulletin(row: BulletinNotice, person: Person) -> Message:
    """Say what a workshop or club writes."""
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


def of_finding(row: FindingNotice, person: Person) -> Message:
    """Say what was found, or said to it."""
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


def of_word(row: FollowUp, person: Person) -> Message:
    """Say which unit its workshop has a word about."""
    return Message(
        kind=WORD,
        at=row.raised_at,
        title=_("%(workshop)s has a word about %(unit)s")
        % {"workshop": row.unit.workshop, "unit": row.unit},
        text=f"{row.get_reason_display()}.",
        url=reverse("plans:unit", args=[row.unit_id]),
        unread=row.read_at is None,
    )


def of_mail(row: Mail, person: Person) -> Message:
    """Say which mail could not be sent."""
    return Message(
        kind=MAIL,
        at=row.created_at,
        title=_("A mail to %(address)s could not be sent") % {"address": row.to},
        text=_("What it told stands on this page. The mail server said: %(error)s")
        % {"error": row.last_error},
        url=reverse("notices:preferences"),
        unread=False,
    )
