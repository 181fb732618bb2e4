"""Putting a car away, and taking it out again."""

from datetime import date
from functools import partial

from django.db import transaction
from django.db.models import Q
from django.utils import formats
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.clock import require_near_day, require_past_day, today_of
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Car
from advisory.usage.actions.readings import keep_reading
from advisory.usage.models import LayUp
from advisory.usage.signals import usage_changed


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
        If it was laid up then already; `Question` for a number that is not believed.
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
        If it isn't laid up, or was put away later; `Question` for a number that is not believed.
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
