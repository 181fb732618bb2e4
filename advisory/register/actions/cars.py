"""Putting a car into the register, and changing what is said of it."""

from datetime import date
from functools import partial

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.clock import EARLIEST, today_of
from advisory.people.enums import DistanceUnit
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.enums import Roads
from advisory.register.models import Car, Odometer
from advisory.register.signals import car_changed, odometer_read

# No car of this kind covers more in a year; a longer distance is a slip of the keyboard.
MOST_ANNUAL_DISTANCE = 100_000e3
DIGITS = range(3, 8)


@transaction.atomic
def add_car(
    *,
    by: Person,
    maker: str,
    model: str = "",
    year: int | None = None,
    roads: str = Roads.SEALED,
    short_run_share: float = 0.0,
    expected_annual_distance: float | None = None,
    odometer_unit: str = DistanceUnit.MILE,
    odometer_digits: int = 5,
    shown: int | None = None,
    shown_on: date | None = None,
    confirm: bool = False,
) -> Car:
    """Put a car of the acting person into the register, with its odometer and, if told, its number.

    Raises
    ------
    Refused
        For a field that makes no sense; `Question` for a number that is not believed.
    """
    car = Car(
        owner=by,
        maker=maker.strip(),
        model=model.strip(),
        year=year,
        roads=roads,
        short_run_share=short_run_share,
        expected_annual_distance=expected_annual_distance,
    )
    _check(car, by)
    if odometer_unit not in DistanceUnit.values:
        raise Refused(_("Say whether it counts miles or km."), field="odometer_unit")
    if odometer_digits not in DIGITS:
        raise Refused(
            _("Count the whole figures of the odometer, without the tenths: 3 to 7."),
            field="odometer_digits",
        )
    car.save()
    Odometer.objects.create(car=car, unit=odometer_unit, digits=odometer_digits)
    audit.record("add_car", car, by=by, odometer_unit=odometer_unit, digits=odometer_digits)
    if shown is not None:
        odometer_read.send(
            Car, car=car, date=shown_on or today_of(by), shown=shown, by=by, confirm=confirm
        )
    return car


@transaction.atomic
def change_car(
    *,
    car: Car,
    by: Person,
    maker: str,
    model: str,
    year: int | None,
    roads: str,
    short_run_share: float,
    expected_annual_distance: float | None,
) -> Car:
    """Change what is said of a car and how it is used."""
    rules.require(by, Permission.CHANGE_UNIT, car)
    car.maker, car.model, car.year = maker.strip(), model.strip(), year
    car.roads, car.short_run_share = roads, short_run_share
    car.expected_annual_distance = expected_annual_distance
    _check(car, by)
    car.save()
    audit.record("change_car", car, by=by, maker=car.maker, model=car.model, year=year,
                 roads=roads, short_run_share=short_run_share,
                 expected_annual_distance=expected_annual_distance)  # fmt: skip
    transaction.on_commit(partial(car_changed.send, Car, car=car))
    return car


def _check(car: Car, by: Person) -> None:
    if not car.maker:
        raise Refused(_("Say who made the car; 'not known' will do."), field="maker")
    if len(car.maker) > 80 or len(car.model) > 80:
        raise Refused(
            _("Use at most 80 letters."), field="maker" if len(car.maker) > 80 else "model"
        )
    if car.year is not None and not EARLIEST.year <= car.year <= today_of(by).year:
        raise Refused(
            _("Enter the year with four figures, or leave it empty if it is not known."),
            field="year",
        )
    if car.roads not in Roads.values:
        raise Refused(_("Choose what it is driven on."), field="roads")
    if not 0 <= car.short_run_share <= 1:
        raise Refused(_("Enter a share from 0 to 100 %."), field="short_run_share")
    guess = car.expected_annual_distance
    if guess is not None and not 0 < guess <= MOST_ANNUAL_DISTANCE:
        raise Refused(
            _("Enter what the car covers in a year, or leave it empty if you cannot say."),
            field="expected_annual_distance",
        )
