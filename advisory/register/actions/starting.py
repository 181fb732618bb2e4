"""The first evening: an owner without a workshop puts unit, car and odometer in at once."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction

from advisory.people.clock import today_of
from advisory.people.enums import DistanceUnit
from advisory.people.models import Person
from advisory.register.actions.cars import add_car
from advisory.register.actions.fittings import fit_unit
from advisory.register.actions.units import add_unit
from advisory.register.models import Car, Design, Unit
from advisory.register.signals import odometer_read


@dataclass(frozen=True, kw_only=True)
class CarData:
    """A car that isn't in the register yet."""

    maker: str
    model: str = ""
    year: int | None = None
    odometer_unit: str = DistanceUnit.MILE
    odometer_digits: int = 5
    expected_annual_distance: float | None = None


@transaction.atomic
def start_alone(
    *,
    by: Person,
    design: Design,
    car: Car | CarData,
    name: str = "",
    serial: str = "",
    fitted_on: date | None = None,
    shown: int | None = None,
    confirm: bool = False,
) -> Unit:
    """Put a unit into the register, in a car that is there or comes with it; all of it or nothing.

    `shown` is what the odometer shows today; without `fitted_on` the unit counts from today.

    Raises
    ------
    Refused
        As the single steps do; `Question` for a number that is not believed.
    """
    unit = add_unit(by=by, design=design, serial=serial, name=name)
    if isinstance(car, CarData):
        car = add_car(by=by, **vars(car))
    today = today_of(by)
    if fitted_on is None or fitted_on == today:
        fit_unit(unit=unit, car=car, date=today, by=by, shown=shown, confirm=confirm)
        return unit
    fit_unit(unit=unit, car=car, date=fitted_on, by=by)
    if shown is not None:
        odometer_read.send(Unit, car=car, date=today, shown=shown, by=by, confirm=confirm)
    return unit
