"""Putting a car away, and taking it out again."""

from datetime import date
from functools import partial

from django.db import transaction
from django.db.models import Q
from django.utils import formats
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.common.quantities import in_words
from advisory.engineering.odometer import Point, farthest_in
from advisory.people import rules
from advisory.people.clock import require_near_day, require_past_day, today_of
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.rules import Permission
from advisory.register.models import Car
from advisory.register.shown import in_figures
from advisory.usage.actions.readings import keep_reading
from advisory.usage.models import LayUp
from advisory.usage.queries import car_use
from advisory.usage.signals import usage_changed

# What a car that is laid up comes to at most: about the yard, or to its yearly test and back [m].
# Common practice, no source.
MOVED_AT_MOST = 80e3


@transaction.atomic
def lay_up_car(
    *,
    car: Car,
    date: date,
    by: Person,
    until: date | None = None,
    shown: int | None = None,
    confirm: bool = False,
) -> LayUp:
    """Put a car away from a day on, or announce that it will be; `until` where its end is known.

    Raises
    ------
    Refused
        If it was laid up then already, or its readings say that it was driven; `Question` for a
        number that is not believed.
    """
    rules.require(by, Permission.KEEP_USE, car)
    require_near_day(date, by=by)
    if until is not None:
        require_near_day(until, by=by, field="until")
        if until < date:
            raise Refused(_("It ends before it begins. Enter a later day."), field="until")
    if shown is not None and date > today_of(by):
        raise Refused(
            _("Nobody can read the odometer of a day to come. Leave it empty, and enter it then."),
            field="shown",
            code="future_reading",
        )
    car = Car.objects.select_for_update().get(pk=car.pk)
    overlapping = car.lay_ups.filter(Q(until_date=None) | Q(until_date__gt=date))
    if until is not None:
        overlapping = overlapping.filter(from_date__lt=until)
    there = overlapping.first()
    if there is not None:
        raise Refused(
            _("It is laid up from %(day)s already.")
            % {"day": formats.date_format(there.from_date, "j F Y")},
            field="date",
            code="laid_up",
        )
    lay_up = LayUp.objects.create(car=car, from_date=date, until_date=until)
    audit.record("lay_up_car", lay_up, by=by, car=car.pk, date=str(date), until=str(until or ""))
    if shown is not None:
        keep_reading(car=car, date=date, shown=shown, by=by, confirm=confirm)
    _require_stood(
        lay_up,
        _("Enter another day, or also from when it was in use again; or put the reading right."),
        by=by,
    )
    transaction.on_commit(partial(usage_changed.send, Car, car=car))
    return lay_up


@transaction.atomic
def return_car_to_use(
    *, car: Car, date: date, by: Person, shown: int | None = None, confirm: bool = False
) -> LayUp:
    """Take a car out of its lay-up on a day.

    Raises
    ------
    Refused
        If it isn't laid up, was put away later, or its readings say that it was driven before;
        `Question` for a number that is not believed.
    """
    rules.require(by, Permission.KEEP_USE, car)
    require_past_day(date, by=by)
    car = Car.objects.select_for_update().get(pk=car.pk)
    lay_up = (
        car.lay_ups.filter(Q(until_date=None) | Q(until_date__gt=date))
        .filter(from_date__lte=today_of(by))
        .order_by("from_date")
        .first()
    )
    if lay_up is None:
        raise Refused(_("This car is not laid up."), code="not_laid_up")
    if date < lay_up.from_date:
        raise Refused(
            _("It was put away on %(day)s only. Enter a later day.")
            % {"day": formats.date_format(lay_up.from_date, "j F Y")},
            field="date",
            code="before_lay_up",
        )
    lay_up.until_date = date
    lay_up.save(update_fields=["until_date"])
    audit.record("return_car_to_use", lay_up, by=by, car=car.pk, date=str(date))
    if shown is not None:
        keep_reading(car=car, date=date, shown=shown, by=by, confirm=confirm)
    _require_stood(
        lay_up,
        _(
            "Enter an earlier day; or put the reading right, or take the lay-up out where it never"
            " was: both in the logbook."
        ),
        by=by,
    )
    transaction.on_commit(partial(usage_changed.send, Car, car=car))
    return lay_up


@transaction.atomic
def cancel_lay_up(*, lay_up: LayUp, by: Person) -> None:
    """Take out a lay-up that never was."""
    rules.require(by, Permission.KEEP_USE, lay_up)
    car = lay_up.car
    audit.record("cancel_lay_up", lay_up, by=by, car=car.pk, date=str(lay_up.from_date),
                 until=str(lay_up.until_date or ""))  # fmt: skip
    LayUp.objects.filter(pk=lay_up.pk).delete()
    transaction.on_commit(partial(usage_changed.send, Car, car=car))


def _require_stood(lay_up: LayUp, ending: str, *, by: Person) -> None:
    """Refuse a lay-up over which the readings that are believed show that the car was driven."""
    driven = _driven_while(lay_up)
    if driven is None:
        return
    earlier, later = driven
    far = (later.metres or 0.0) - (earlier.metres or 0.0)
    said = _(
        "The odometer showed %(earlier)s on %(begun)s and %(later)s on %(ended)s: it was driven"
        " %(far)s while it is said to have been laid up."
    ) % {
        "earlier": in_figures(earlier.reading.shown),
        "begun": formats.date_format(date.fromordinal(earlier.reading.day), "j F Y"),
        "later": in_figures(later.reading.shown),
        "ended": formats.date_format(date.fromordinal(later.reading.day), "j F Y"),
        "far": in_words(far, "distance", preferences_of(by)),
    }
    raise Refused(f"{said} {ending}", field="date", code="was_driven")


def _driven_while(lay_up: LayUp) -> tuple[Point, Point] | None:
    """Return the first and the last reading of a lay-up, where more lies between than is moved.

    On the day on which it was put away it may have been driven after it was read, and on the day of
    its return before: those readings leave room for a day at the wheel.
    """
    begun = lay_up.from_date.toordinal()
    ended = lay_up.until_date.toordinal() if lay_up.until_date else date.max.toordinal()
    line = car_use(lay_up.car).trace.believed
    inside = [point for point in line if begun < point.reading.day < ended]
    put_away = [point for point in line if point.reading.day == begun][-1:]
    back = [point for point in line if point.reading.day == ended > begun][:1]
    for room, within in (
        (0, inside),
        (1, put_away + inside),
        (1, inside + back),
        (2, put_away + inside + back),
    ):
        if len(within) > 1:
            far = (within[-1].metres or 0.0) - (within[0].metres or 0.0)
            if far > MOVED_AT_MOST + room * farthest_in(0):
                return within[0], within[-1]
    return None
