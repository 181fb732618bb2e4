"""A person's plan as a calendar (RFC 5545), for whichever calendar program polls it.

An item keeps its UID for ever and moves with its day: SEQUENCE and LAST-MODIFIED grow with each
change, so that a program moves the entry and makes no second one. What is no longer on the plan, or
no longer this person's, is called off (STATUS:CANCELLED, with a higher SEQUENCE) for a while, since
many programs keep what merely vanishes from a feed.
"""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from urllib.parse import urlsplit

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _
from icalendar import Alarm, Calendar, Event

from advisory.common.cautions import CAUTIONS
from advisory.notices.models import CalendarEntry
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.plans.models import PlanItem
from advisory.plans.reason_words import reasons_words
from advisory.plans.work import WORKS
from advisory.register.enums import WorkKind

PRODUCT = "-//Advisory//Plan//EN"
HOW_OFTEN = timedelta(hours=12)
# At nine in the morning, a week ahead and on the day itself; an all-day entry begins at midnight.
ALARMS = (timedelta(days=-7, hours=9), timedelta(hours=9))
# Common practice, no source: by then whichever program still polls has read it.
CALLED_OFF_FOR = timedelta(days=90)


@dataclass(frozen=True)
class Told:
    """What a calendar is told of one item."""

    item_key: int
    day: date
    summary: str
    description: str
    url: str
    changed_at: datetime

    @property
    def digest(self) -> str:
        """What changes whenever it says something else."""
        said = [self.day.isoformat(), self.summary, self.description, self.url]
        return hashlib.sha256("\n".join(said).encode()).hexdigest()[:32]


def told_of(person: Person, items: Iterable[PlanItem]) -> list[Told]:
    """Put the items of a plan in a calendar's words."""
    return [_told(item, person) for item in items]


def _told(item: PlanItem, person: Person) -> Told:
    assert item.forecast_date is not None
    url = settings.BASE_URL + reverse("plans:item", args=[item.unit_id, item.work])
    names = {"work": item.get_work_display(), "unit": item.unit}
    return Told(
        item_key=item.pk,
        day=item.forecast_date,
        summary=_("%(work)s: %(unit)s") % names,
        description=_description(item, person, url),
        url=url,
        changed_at=item.updated_at,
    )


def shown_in(entries: Iterable[CalendarEntry], now: datetime) -> list[CalendarEntry]:
    """Leave out what was called off long ago."""
    return [
        entry
        for entry in entries
        if entry.cancelled_at is None or entry.cancelled_at > now - CALLED_OFF_FOR
    ]


def feed_version(entries: Iterable[CalendarEntry]) -> str:
    """Return what changes whenever the calendar would read differently."""
    parts = [settings.BASE_URL]
    parts += [f"{entry.item_key} {entry.sequence} {entry.digest}" for entry in entries]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:32]


def calendar_of(entries: Sequence[CalendarEntry], told: Iterable[Told]) -> bytes:
    """Write the calendar."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", _("What my units need"))  # RFC 7986
    calendar.add("x-wr-calname", _("What my units need"))  # as older programs read it
    calendar.add("refresh-interval", HOW_OFTEN, parameters={"VALUE": "DURATION"})
    says = {one.item_key: one for one in told}
    for entry in entries:
        calendar.add_component(_event(entry, says))
    return bytes(calendar.to_ical())


def _event(entry: CalendarEntry, says: Mapping[int, Told]) -> Event:
    host = urlsplit(settings.BASE_URL).hostname or "localhost"
    changed = entry.changed_at.astimezone(UTC)
    event = Event()
    event.add("uid", f"plan-item-{entry.item_key}@{host}")
    event.add("dtstamp", changed)
    event.add("last-modified", changed)
    event.add("sequence", entry.sequence)
    event.add("dtstart", entry.day)
    event.add("dtend", entry.day + timedelta(days=1))
    event.add("transp", "TRANSPARENT")
    event.add("summary", entry.summary)
    if entry.cancelled_at is not None:
        event.add("status", "CANCELLED")
        return event
    event.add("status", "CONFIRMED")
    told = says[entry.item_key]
    event.add("description", told.description)
    event.add("url", told.url)
    for before in ALARMS:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", entry.summary)
        alarm.add("trigger", before)
        event.add_component(alarm)
    return event


def _description(item: PlanItem, person: Person, url: str) -> str:
    """Say why, and how not to get hurt, where the person meets the task."""
    cautions = [CAUTIONS[key] for key in WORKS[WorkKind(item.work)].cautions]
    return "\n".join(
        [
            *reasons_words(item, preferences_of(person)),
            "",
            *(f"{caution.title}. {caution.text}" for caution in cautions),
            "",
            url,
        ]
    )
