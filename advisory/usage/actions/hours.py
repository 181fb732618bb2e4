"""What a unit's hour counter shows."""

from datetime import date
from functools import partial

from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Question, Refused
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Unit
from advisory.usage.models import HourReading
from advisory.usage.signals import hours_changed

MOST_HOURS = 100_000
SECONDS_AN_HOUR, SECONDS_A_DAY = 3600.0, 86400.0


@transaction.atomic
def record_hours(
    *,
    unit: Unit,
    date: date,
    running_time: float,
    by: Person,
    anew: bool = False,
    confirm: bool = False,
) -> HourReading:
    """Write down what a unit's hour counter showed on a day, `running_time` in seconds.

    `anew`: it is the first number of another counter. The same number on the same day is the same.

    Raises
    ------
    Refused, Question
        For more hours than the days have (`Refused`), or fewer than were shown before (`Question`:
        whether it is another counter). Nothing was written.
    """
    rules.require(by, Permission.KEEP_USE, unit)
    require_past_day(date, by=by)
    if not 0 <= running_time <= MOST_HOURS * SECONDS_AN_HOUR:
        raise Refused(_("Enter the hours as the counter shows them."), field="hours")
    unit = Unit.objects.select_for_update(no_key=True).get(pk=unit.pk)
    there = unit.hour_readings.filter(date=date, shown=running_time).first()
    if there is not None:
        return there
    if not anew:
        _require_in_order(unit, date, running_time, confirm=confirm)
    reading = HourReading.objects.create(
        unit=unit, date=date, shown=running_time, anew=anew, entered_by=by
    )
    audit.record("record_hours", reading, by=by, unit=unit.pk, date=date.isoformat(),
                 running_time=running_time, anew=anew)  # fmt: skip
    transaction.on_commit(partial(hours_changed.send, Unit, unit=unit))
    return reading


def _require_in_order(unit: Unit, day: date, running_time: float, *, confirm: bool) -> None:
    """Hold a number against its neighbours, as far as they are of the same counter."""
    rows = unit.hour_readings.all()
    before = rows.filter(date__lte=day).order_by("-date", "-pk").first()
    after = rows.filter(date__gt=day).order_by("date", "pk").first()
    if before is not None:
        if running_time < before.shown:
            raise Refused(
                _(
                    "On %(day)s it showed %(hours)s hours already. Enter the number as it stands,"
                    " or say that it is another counter."
                )
                % {"day": date_format(before.date, "j F Y"), "hours": in_hours(before.shown)},
                field="hours",
                code="goes_back",
            )
        days = (day - before.date).days + 1
        if running_time - before.shown > days * SECONDS_A_DAY:
            raise Refused(
                _("It can't have run so long since %(day)s. Look at the number again.")
                % {"day": date_format(before.date, "j F Y")},
                field="hours",
                code="too_many",
            )
        if running_time - before.shown > days * SECONDS_A_DAY / 3 and not confirm:
            raise Question(
                _("That is more than eight hours a day since %(day)s. Is it right?")
                % {"day": date_format(before.date, "j F Y")},
                field="hours",
            )
    if after is not None and not after.anew and running_time > after.shown:
        raise Refused(
            _("On %(day)s it showed only %(hours)s hours. Look at the number and the day again.")
            % {"day": date_format(after.date, "j F Y"), "hours": in_hours(after.shown)},
            field="hours",
            code="goes_back",
        )


def in_hours(running_time: float) -> str:
    """Write a counter's number as it is shown."""
    return f"{running_time / SECONDS_AN_HOUR:.10g}"


@transaction.atomic
def strike_hours(*, reading: HourReading, by: Person) -> None:
    """Take out a number that was a slip."""
    rules.require(by, Permission.KEEP_USE, reading)
    unit = reading.unit
    audit.record("strike_hours", reading, by=by, unit=unit.pk, date=reading.date.isoformat(),
                 running_time=reading.shown)  # fmt: skip
    HourReading.objects.filter(pk=reading.pk).delete()
    transaction.on_commit(partial(hours_changed.send, Unit, unit=unit))
