"""Putting units into cars and taking them out, each with its date and odometer."""

from datetime import date
from functools import partial

from django.db import transaction
from django.db.models import Q
from django.utils import formats
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.enums import LeftFor
from advisory.register.models import Car, Fitting, Unit
from advisory.register.signals import odometer_read, unit_changed


@transaction.atomic
def fit_unit(
    *,
    unit: Unit,
    car: Car,
    date: date,
    by: Person,
    shown: int | None = None,
    confirm: bool = False,
) -> Fitting:
    """Put a unit into a car of the same owner, from a day and an odometer reading if there is one.

    Raises
    ------
    Refused
        If the unit is in a car by then, or the car is another's; `Question` for a number that is
        not believed.
    """
    rules.require(by, Permission.CHANGE_UNIT, unit)
    rules.require(by, Permission.CHANGE_UNIT, car)
    require_past_day(date, by=by)
    unit = Unit.objects.select_for_update().get(pk=unit.pk)
    if car.owner_id != unit.owner_id:
        raise Refused(
            _("The car and the unit have different owners. Choose a car of the unit's owner."),
            field="car",
            code="other_owner",
        )
    _refuse_overlap(unit, date)
    fitting = Fitting.objects.create(unit=unit, car=car, from_date=date, from_reading=shown)
    audit.record("fit_unit", fitting, by=by, unit=unit.pk, car=car.pk, shown=shown)
    if shown is not None:
        odometer_read.send(Fitting, car=car, date=date, shown=shown, by=by, confirm=confirm)
    transaction.on_commit(partial(unit_changed.send, Unit, unit=unit))
    return fitting


@transaction.atomic
def remove_unit_from_car(
    *,
    unit: Unit,
    date: date,
    by: Person,
    shown: int | None = None,
    left_for: str = "",
    confirm: bool = False,
) -> Fitting:
    """Take a unit out of the car that it is in: for a rebuild, out of service, or just out.

    Raises
    ------
    Refused
        If it is in no car, or was put in later than that.
    """
    rules.require(by, Permission.CHANGE_UNIT, unit)
    require_past_day(date, by=by)
    if left_for not in ("", *LeftFor.values):
        raise Refused(_("Choose where it goes."), field="goes")
    fitting = (
        Fitting.objects.select_for_update(of=("self",))
        .select_related("car")
        .filter(unit=unit, until_date=None)
        .first()
    )
    if fitting is None:
        raise Refused(_("This unit is in no car at present."), code="not_fitted")
    if date < fitting.from_date:
        raise Refused(
            _("It was put in on %(day)s only. Enter a later day.")
            % {"day": _day(fitting.from_date)},
            field="date",
            code="before_fitting",
        )
    fitting.until_date, fitting.until_reading, fitting.left_for = date, shown, left_for
    fitting.save(update_fields=["until_date", "until_reading", "left_for"])
    audit.record("remove_unit_from_car", fitting, by=by, unit=unit.pk, shown=shown,
                 left_for=left_for)  # fmt: skip
    if shown is not None:
        odometer_read.send(Fitting, car=fitting.car, date=date, shown=shown, by=by, confirm=confirm)
    transaction.on_commit(partial(unit_changed.send, Unit, unit=unit))
    return fitting


@transaction.atomic
def move_unit(
    *,
    unit: Unit,
    car: Car,
    date: date,
    by: Person,
    shown: int | None = None,
    shown_there: int | None = None,
    confirm: bool = False,
) -> Fitting:
    """Move a unit from the car that it is in into another on one day; both or neither.

    `shown` is what the odometer of the car that it leaves showed, `shown_there` that of the other.

    Raises
    ------
    Refused
        As taking out and putting in do; `Question` for a number that is not believed.
    """
    remove_unit_from_car(unit=unit, date=date, shown=shown, by=by, confirm=confirm)
    try:
        return fit_unit(unit=unit, car=car, date=date, shown=shown_there, by=by, confirm=confirm)
    except Refused as refused:
        if refused.field == "shown":
            refused.field = "shown_there"
        raise


def correct_fitting_readings(
    *, car: Car, date: date, wrong: int, right: int | None, by: Person
) -> None:
    """Let the fittings that tell a mistyped number tell the right one, or none.

    For the action that corrects the reading itself, inside its transaction.
    """
    for fitting in Fitting.objects.filter(
        Q(from_date=date, from_reading=wrong) | Q(until_date=date, until_reading=wrong), car=car
    ):
        if fitting.from_date == date and fitting.from_reading == wrong:
            fitting.from_reading = right
        if fitting.until_date == date and fitting.until_reading == wrong:
            fitting.until_reading = right
        fitting.save(update_fields=["from_reading", "until_reading"])
        audit.record("correct_fitting_reading", fitting, by=by, wrong=wrong, right=right)


def _refuse_overlap(unit: Unit, day: date) -> None:
    standing = unit.fittings.select_related("car").filter(until_date=None).first()
    if standing is not None:
        raise Refused(
            _("It is in %(car)s since %(day)s. Take it out of there first.")
            % {"car": standing.car, "day": _day(standing.from_date)},
            field="car",
            code="fitted_elsewhere",
        )
    last = (
        unit.fittings.select_related("car")
        .filter(until_date__gt=day)
        .order_by("-until_date")
        .first()
    )
    if last is not None:
        raise Refused(
            _("It was in %(car)s until %(day)s. Enter that day or a later one.")
            % {"car": last.car, "day": _day(last.until_date)},
            field="date",
            code="fitted_elsewhere",
        )


def _day(day: date | None) -> str:
    assert day is not None
    return formats.date_format(day, "j F Y")
