"""A letter: its parts, its headers, and how it is rendered for its reader."""

import zoneinfo
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from advisory.notices.models import Mail, NoticePreference
from advisory.people.models import Person
from advisory.people.preferences import preferences_of

# Programs answer no letter that bears it (RFC 3834).
FROM_A_PROGRAM = {"Auto-Submitted": "auto-generated"}


@dataclass(frozen=True)
class Letter:
    """What is sent, and to whom; `left_out` are keys of items of which it tells no more."""

    to: str
    subject: str
    text: str
    html: str
    headers: Mapping[str, str] = field(default_factory=dict)
    left_out: tuple[int, ...] = ()


@dataclass(frozen=True)
class Withheld:
    """Why a mail is not to be sent."""

    reason: str


@dataclass(frozen=True)
class Wanted:
    """A kind of mail that a person can do without: the switch, and what its click is called."""

    switch: str
    of: str


REMINDERS = Wanted("reminders_by_mail", "reminders")
FINDINGS = Wanted("findings_by_mail", "findings")
BULLETINS = Wanted("bulletins_by_mail", "bulletins")
WEEK = Wanted("weekly_by_mail", "week")


def link(name: str, *args: object) -> str:
    """Return the full address of a page."""
    return settings.BASE_URL + reverse(name, args=args)


def letter_to(
    person: Person | None, wanted: Wanted, template: str, subject: str, context: dict[str, Any]
) -> Letter | Withheld:
    """Render a letter in its reader's zone and units, unless they want or take none."""
    if person is None or not person.is_active:
        return Withheld("The person has left.")
    preference = preference_of(person)
    if not getattr(preference, wanted.switch):
        return Withheld("The person wants no such mail.")
    if preference.refused_address == person.email:
        return Withheld("The address takes no mail.")
    stop = f"{link('notices:unsubscribe', preference.unsubscribe_secret)}?of={wanted.of}"
    context = context | {
        "person": person,
        "prefs": preferences_of(person),
        "stop_url": stop,
        "preferences_url": link("notices:preferences"),
        "base_url": settings.BASE_URL,
    }
    with timezone.override(zoneinfo.ZoneInfo(person.zone)):
        return rendered(
            person.email,
            template,
            subject,
            context,
            # RFC 8058: one click, without signing in; mail programs heed it over https.
            {
                "List-Unsubscribe": f"<{stop}>",
                "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
            },
        )


def told_without(letter: Letter | Withheld, mail: Mail, told: Collection[int]) -> Letter | Withheld:
    """Note in a letter which items of its mail's reminders it leaves out."""
    if isinstance(letter, Withheld):
        return letter
    left = {row.item_id for row in mail.reminders.all()}.difference(told)
    return replace(letter, left_out=tuple(sorted(left)))


def preference_of(person: Person) -> NoticePreference:
    """Return a person's preference, as it was read with its mail, else from its row."""
    if hasattr(person, "notice_preference"):
        return person.notice_preference
    preference, _made = NoticePreference.objects.get_or_create(person=person)
    return preference


def rendered(
    to: str, template: str, subject: str, context: dict[str, Any], headers: Mapping[str, str]
) -> Letter:
    """Render both parts of a letter; the text part is one that a person would write."""
    text = render_to_string(f"emails/{template}.txt", context)
    return Letter(
        to=to,
        subject=one_line(subject),
        text=without_gaps(text),
        html=render_to_string(f"emails/{template}.html", context),
        headers={**FROM_A_PROGRAM, **headers},
    )


def one_line(subject: str) -> str:
    """Return a subject without line breaks, of a length that is shown."""
    return " ".join(subject.split())[:150]


def without_gaps(text: str) -> str:
    """Return the text without spaces at line ends and without more than one empty line in a row."""
    lines: list[str] = []
    for raw in text.strip().splitlines():
        line = raw.rstrip()
        if line or (lines and lines[-1]):
            lines.append(line)
    return "\n".join(lines) + "\n"
