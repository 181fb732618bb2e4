from datetime import date

import pytest
import time_machine

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.people.models import Person
from advisory.register.models import Car, Odometer, Unit
from advisory.usage.actions import change_odometer, record_reading, replace_odometer
from advisory.usage.queries import car_use

MILE = 1609.344
CHANGED = date(2024, 5, 1)


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2024-06-10T12:00:00Z", tick=False):
        yield


@pytest.fixture
def read_car(car: Car, owner: Person) -> Car:
    record_reading(car=car, date=date(2024, 3, 1), shown=98_000, by=owner)
    record_reading(car=car, date=date(2024, 4, 20), shown=98_400, by=owner)
    return car


def test_distance_goes_on_where_both_numbers_are_known(read_car: Car, owner: Person) -> None:
    replace_odometer(
        car=read_car, date=CHANGED, by=owner, unit="km", digits=6,
        shown_when_fitted=12, predecessor_showed=98_450,
    )  # fmt: skip
    record_reading(car=read_car, date=date(2024, 6, 1), shown=212, by=owner)
    use = car_use(read_car)
    assert use.odometer.unit == "km"
    assert use.distance() == pytest.approx(450 * MILE + 200_000)
    assert use.trace.breaks() == ()


def test_distance_is_unknown_over_a_change_without_its_numbers(
    read_car: Car, owner: Person
) -> None:
    replace_odometer(car=read_car, date=CHANGED, by=owner, unit="mile", digits=5)
    record_reading(car=read_car, date=date(2024, 6, 1), shown=212, by=owner)
    assert car_use(read_car).trace.breaks() == (date(2024, 6, 1).toordinal(),)


def test_readings_after_the_change_go_to_the_new_odometer(read_car: Car, owner: Person) -> None:
    late = record_reading(car=read_car, date=date(2024, 6, 1), shown=212, by=owner, confirm=True)
    new = replace_odometer(
        car=read_car, date=CHANGED, by=owner, unit="mile", digits=5,
        shown_when_fitted=12, predecessor_showed=98_450,
    )  # fmt: skip
    late.refresh_from_db()
    assert late.odometer == new
    assert car_use(read_car).distance() == pytest.approx(650 * MILE)


def test_last_number_that_is_not_believed_is_asked_about(read_car: Car, owner: Person) -> None:
    with pytest.raises(Question) as asked:
        replace_odometer(
            car=read_car, date=CHANGED, by=owner, unit="mile", digits=5, predecessor_showed=89_450
        )
    assert asked.value.field == "predecessor_showed"
    assert Odometer.objects.filter(car=read_car).count() == 1
    replace_odometer(
        car=read_car, date=CHANGED, by=owner, unit="mile", digits=5, predecessor_showed=89_450,
        confirm=True,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"digits": 2}, "digits"),
        ({"unit": "furlong"}, "unit"),
        ({"shown_when_fitted": 100_000}, "shown_when_fitted"),
        ({"predecessor_showed": 100_000}, "predecessor_showed"),
        ({"date": date(2024, 6, 11)}, "date"),
    ],
)
def test_what_makes_no_sense_is_refused(
    read_car: Car, owner: Person, fields: dict[str, object], field: str
) -> None:
    given = {"date": CHANGED, "unit": "mile", "digits": 5, **fields}
    with pytest.raises(Refused) as refused:
        replace_odometer(car=read_car, by=owner, **given)  # type: ignore[arg-type]
    assert refused.value.field == field
    assert Odometer.objects.filter(car=read_car).count() == 1


def test_change_before_the_last_one_is_refused(read_car: Car, owner: Person) -> None:
    replace_odometer(car=read_car, date=CHANGED, by=owner, unit="mile", digits=5)
    with pytest.raises(Refused, match="1 May 2024"):
        replace_odometer(car=read_car, date=CHANGED, by=owner, unit="mile", digits=5)


def test_description_is_put_right_unless_a_reading_needs_more_figures(
    read_car: Car, owner: Person
) -> None:
    odometer = read_car.odometers.get()
    change_odometer(odometer=odometer, by=owner, unit="km", digits=6)
    assert car_use(read_car).distance() == pytest.approx(400_000)
    with pytest.raises(Refused, match="98,400"):
        change_odometer(odometer=odometer, by=owner, unit="km", digits=4)


def test_only_the_owner_changes_odometers(
    whole_unit: Unit, car: Car, fitter: Person, officer: Person, stranger: Person
) -> None:
    for person in (fitter, officer, stranger):
        with pytest.raises(NotAllowed):
            replace_odometer(car=car, date=CHANGED, by=person, unit="mile", digits=5)
        with pytest.raises(NotAllowed):
            change_odometer(odometer=car.odometers.get(), by=person, unit="km", digits=6)
