"""Another odometer in a car, and an odometer that was described wrongly."""

from datetime import date
from functools import partial

from django.db import transaction
from django.db.models import Max
from django.utils import formats
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.engineering.odometer import Shown
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.enums import DistanceUnit
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.actions.cars import DIGITS
from advisory.register.models import Car, Odometer
from advisory.register.shown import in_figures
from advisory.usage.actions.readings import ask_about, require_shown
from advisory.usage.models import Reading
from advisory.usage.queries import car_use
from advisory.usage.signals import usage_changed


@transaction.atomic
def replace_odometer(
    *,
    car: Car,
    date: date,
    by: Person,
    unit: str,
    digits: int,
    shown_when_fitted: int | None = None,
    predecessor_showed: int | None = None,
    confirm: bool = False,
) -> Odometer:
    """Put another odometer into a car; later readings of the old one become the new one's.

    Where either number is unknown, the distance over the change is unknown too.

    Raises
    ------
    Refused
        For a day before an earlier change, or a number that the instrument can't show; `Question`
        for a last number that is not believed.
    """
    rules.require(by, Permission.KEEP_USE, car)
    require_past_day(date, by=by)
    car = Car.objects.select_for_update().get(pk=car.pk)
    use = car_use(car)
    old = use.odometer
    if old.fitted_on is not None and date <= old.fitted_on:
        raise Refused(
            _("The odometer in it now was fitted on %(day)s. Enter a later day.")
            % {"day": formats.date_format(old.fitted_on, "j F Y")},
            field="date",
            code="before_last_change",
        )
    new = Odometer(
        car=car,
        unit=unit,
        digits=digits,
        fitted_on=date,
        shown_when_fitted=shown_when_fitted,
        predecessor_showed=predecessor_showed,
    )
    _check(new)
    if shown_when_fitted is not None:
        require_shown(new, shown_when_fitted, field="shown_when_fitted")
    if predecessor_showed is not None:
        require_shown(old, predecessor_showed, field="predecessor_showed")
    later = Reading.objects.filter(odometer=old, date__gt=date)
    _require_room(new, later.aggregate(most=Max("shown"))["most"])
    new.save()
    moved = later.update(odometer=new)
    if predecessor_showed is not None:
        try:
            last = Shown(date.toordinal(), predecessor_showed, confirmed=confirm)
            ask_about(car_use(car), old, last)
        except Refused as question:
            question.field = "predecessor_showed"
            raise
    audit.record("replace_odometer", new, by=by, car=car.pk, date=str(date), unit=unit,
                 digits=digits, shown_when_fitted=shown_when_fitted,
                 predecessor_showed=predecessor_showed, readings_moved=moved)  # fmt: skip
    transaction.on_commit(partial(usage_changed.send, Car, car=car))
    return new


@transaction.atomic
def change_odometer(*, odometer: Odometer, by: Person, unit: str, digits: int) -> Odometer:
    """Put right what was said of an odometer: what it counts, how many figures it has."""
    rules.require(by, Permission.KEEP_USE, odometer)
    car = Car.objects.select_for_update().get(pk=odometer.car_id)
    before = {"unit": odometer.unit, "digits": odometer.digits}
    odometer.unit, odometer.digits = unit, digits
    _check(odometer)
    _require_room(odometer, odometer.readings.aggregate(most=Max("shown"))["most"])
    odometer.save(update_fields=["unit", "digits"])
    audit.record("change_odometer", odometer, by=by, before=before, unit=unit, digits=digits)
    transaction.on_commit(partial(usage_changed.send, Car, car=car))
    return odometer


def _check(odometer: Odometer) -> None:
    if odometer.unit not in DistanceUnit.values:
        raise Refused(_("Say whether it counts miles or km."), field="unit")
    if odometer.digits not in DIGITS:
        raise Refused(
            _("Count the whole figures of the odometer, without the tenths: 3 to 7."),
            field="digits",
        )


def _require_room(odometer: Odometer, most: int | None) -> None:
    if most is not None and most >= 10**odometer.digits:
        raise Refused(
            _("There is a reading of %(shown)s, which needs more figures.")
            % {"shown": in_figures(most)},
            field="digits",
            code="too_few_digits",
        )
