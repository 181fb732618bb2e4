"""A person's plan as a calendar (RFC 5545), for whichever calendar program polls it.

An item keeps its UID for ever and moves with its day: SEQUENCE and LAST-MODIFIED grow with each
change, so that a program moves the entry and makes no second one.
"""

import hashlib
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta
from urllib.parse import urlsplit

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _
from icalendar import Alarm, Calendar, Event

from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.plans.cautions import CAUTIONS
from advisory.plans.models import PlanItem
from advisory.plans.words import reasons_words
from advisory.plans.work import WORKS
from advisory.register.enums import WorkKind

PRODUCT = "-//Advisory//Plan//EN"
# SEQUENCE is a 32-bit integer (RFC 5545, 3.3.8): seconds from here on last until 2092.
SEQUENCE_FROM = datetime(2024, 1, 1, tzinfo=UTC)
HOW_OFTEN = timedelta(hours=12)
# At nine in the morning, a week ahead and on the day itself; an all-day entry begins at midnight.
ALARMS = (timedelta(days=-7, hours=9), timedelta(hours=9))


def feed_version(person: Person, items: Iterable[PlanItem]) -> str:
    """Return what changes whenever the calendar would read differently."""
    parts = [str(preferences_of(person)), settings.BASE_URL]
    parts += [f"{item.pk} {item.unit} {item.state} {item.updated_at.timestamp()}" for item in items]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:32]


def calendar_of(person: Person, items: Sequence[PlanItem]) -> bytes:
    """Write the calendar."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", _("What my units need"))  # RFC 7986
    calendar.add("x-wr-calname", _("What my units need"))  # as older programs read it
    calendar.add("refresh-interval", HOW_OFTEN, parameters={"VALUE": "DURATION"})
    for item in items:
        calendar.add_component(_event(item, person))
    return bytes(calendar.to_ical())


def _event(item: PlanItem, person: Person) -> Event:
    host = urlsplit(settings.BASE_URL).hostname or "localhost"
    url = settings.BASE_URL + reverse("plans:item", args=[item.unit_id, item.work])
    assert item.forecast_date is not None
    day = item.forecast_date
    changed = item.updated_at.astimezone(UTC).replace(microsecond=0)
    event = Event()
    event.add("uid", f"plan-item-{item.pk}@{host}")
    event.add("dtstamp", changed)
    event.add("last-modified", changed)
    event.add("sequence", max(0, int((changed - SEQUENCE_FROM).total_seconds())))
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("transp", "TRANSPARENT")
    summary = _("%(work)s: %(unit)s") % {"work": item.get_work_display(), "unit": item.unit}
    event.add("summary", summary)
    event.add("description", _description(item, person, url))
    event.add("url", url)
    for before in ALARMS:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", summary)
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
