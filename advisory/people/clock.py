"""What day it is for a person: a due date and a reading's date are local."""

import zoneinfo
from datetime import date, datetime, timedelta

from django.utils import formats, timezone
from django.utils.translation import gettext as _

from advisory.common.errors import Refused
from advisory.people.models import Person


def today_of(person: Person | None) -> date:
    """Return the date in this person's zone; UTC for what the service itself does."""
    return today_in(None if person is None else person.zone)


def today_in(zone: str | None) -> date:
    """Return the date in a time zone by its name, UTC without one."""
    return timezone.localdate(timezone=zoneinfo.ZoneInfo(zone or "UTC"))


def day_of(moment: datetime, person: Person | None) -> date:
    """Return the date of a moment in this person's zone; UTC for what the service itself does."""
    zone = "UTC" if person is None else person.zone
    return timezone.localdate(moment, timezone=zoneinfo.ZoneInfo(zone))


EARLIEST = date(1885, 1, 1)  # nobody kept a motor car's logbook before


def require_past_day(day: date, *, by: Person | None, field: str = "date") -> None:
    """Refuse a day that has not come yet where the person is, or lies before motor cars.

    Raises
    ------
    Refused
        Saying which day it is there.
    """
    today = today_of(by)
    if day > today:
        raise Refused(
            _("That day has not come yet: today is %(today)s. Enter the day it was done or read.")
            % {"today": formats.date_format(today, "j F Y")},
            field=field,
            code="future_date",
        )
    if day < EARLIEST:
        raise Refused(
            _("That is before there were motor cars. Enter the year with all four figures."),
            field=field,
            code="early_date",
        )


FARTHEST_AHEAD = timedelta(days=731)  # nobody plans a lay-up further ahead


def require_near_day(day: date, *, by: Person | None, field: str = "date") -> None:
    """Refuse a day farther ahead than anybody plans, or before motor cars.

    Raises
    ------
    Refused
        Saying which day it is there.
    """
    today = today_of(by)
    if day > today + FARTHEST_AHEAD:
        raise Refused(
            _("That is more than two years ahead: today is %(today)s. Enter a nearer day.")
            % {"today": formats.date_format(today, "j F Y")},
            field=field,
            code="far_date",
        )
    if day <= today:
        require_past_day(day, by=by, field=field)
