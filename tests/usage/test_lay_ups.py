from datetime import date

import pytest
import time_machine

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.people.models import Person
from advisory.register.models import Car, Unit
from advisory.usage.actions import cancel_lay_up, lay_up_car, record_reading, return_car_to_use
from advisory.usage.models import LayUp, Reading
from advisory.usage.queries import car_use


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2024-12-10T12:00:00Z", tick=False):
        yield


def test_car_is_put_away_and_taken_out_with_its_readings(car: Car, owner: Person) -> None:
    lay_up_car(car=car, date=date(2023, 11, 2), by=owner, shown=41_900)
    spell = return_car_to_use(car=car, date=date(2024, 4, 6), by=owner, shown=41_903)
    assert (spell.from_date, spell.until_date) == (date(2023, 11, 2), date(2024, 4, 6))
    assert [reading.shown for reading in Reading.objects.all()] == [41_900, 41_903]


def test_reading_that_is_not_believed_leaves_the_car_in_use(car: Car, owner: Person) -> None:
    record_reading(car=car, date=date(2024, 10, 1), shown=41_900, by=owner)
    with pytest.raises(Question):
        lay_up_car(car=car, date=date(2024, 11, 2), by=owner, shown=14_900)
    assert not LayUp.objects.exists()
    lay_up_car(car=car, date=date(2024, 11, 2), by=owner, shown=14_900, confirm=True)
    assert LayUp.objects.get().until_date is None


def test_car_cannot_be_put_away_twice(car: Car, owner: Person) -> None:
    lay_up_car(car=car, date=date(2024, 11, 2), by=owner)
    with pytest.raises(Refused, match="2 November 2024") as refused:
        lay_up_car(car=car, date=date(2024, 12, 1), by=owner)
    assert refused.value.code == "laid_up"


def test_earlier_winter_is_told_afterwards(car: Car, owner: Person) -> None:
    lay_up_car(car=car, date=date(2024, 11, 2), by=owner)
    lay_up_car(car=car, date=date(2023, 10, 30), by=owner, until=date(2024, 4, 2))
    with pytest.raises(Refused):
        lay_up_car(car=car, date=date(2024, 2, 1), by=owner, until=date(2024, 5, 1))
    with pytest.raises(Refused):
        lay_up_car(car=car, date=date(2024, 5, 1), by=owner)
    assert LayUp.objects.count() == 2


@pytest.mark.parametrize(
    ("day", "until", "field"),
    [
        (date(2026, 12, 20), None, "date"),
        (date(1880, 12, 1), None, "date"),
        (date(2024, 12, 1), date(2027, 12, 11), "until"),
        (date(2024, 12, 5), date(2024, 12, 1), "until"),
    ],
)
def test_days_that_make_no_sense_are_refused(
    car: Car, owner: Person, day: date, until: date | None, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        lay_up_car(car=car, date=day, by=owner, until=until)
    assert refused.value.field == field


def test_lay_up_is_announced_and_begins_by_itself(car: Car, owner: Person) -> None:
    spell = lay_up_car(car=car, date=date(2025, 1, 6), by=owner, until=date(2025, 3, 1))
    use = car_use(car)
    assert use.laid_up(date(2024, 12, 10)) is None
    assert use.laid_up(date(2025, 1, 6)) == spell
    with pytest.raises(Refused, match="not laid up"):
        return_car_to_use(car=car, date=date(2024, 12, 10), by=owner)
    with pytest.raises(Refused, match="6 January 2025"):
        lay_up_car(car=car, date=date(2024, 12, 10), by=owner)


def test_car_comes_back_sooner_than_announced(car: Car, owner: Person) -> None:
    lay_up_car(car=car, date=date(2024, 11, 1), by=owner, until=date(2025, 4, 1))
    spell = return_car_to_use(car=car, date=date(2024, 12, 9), by=owner)
    assert (spell.from_date, spell.until_date) == (date(2024, 11, 1), date(2024, 12, 9))


def test_nobody_reads_the_odometer_of_a_day_to_come(car: Car, owner: Person) -> None:
    with pytest.raises(Refused) as refused:
        lay_up_car(car=car, date=date(2024, 12, 20), by=owner, shown=42_000)
    assert refused.value.field == "shown"
    assert not LayUp.objects.exists()


def test_car_in_use_cannot_be_taken_out(car: Car, owner: Person) -> None:
    with pytest.raises(Refused, match="not laid up"):
        return_car_to_use(car=car, date=date(2024, 12, 1), by=owner)


def test_car_cannot_be_taken_out_before_it_was_put_away(car: Car, owner: Person) -> None:
    lay_up_car(car=car, date=date(2024, 11, 2), by=owner)
    with pytest.raises(Refused, match="2 November") as refused:
        return_car_to_use(car=car, date=date(2024, 11, 1), by=owner)
    assert refused.value.field == "date"


def test_lay_up_that_never_was_is_taken_out(car: Car, owner: Person) -> None:
    cancel_lay_up(lay_up=lay_up_car(car=car, date=date(2024, 11, 2), by=owner), by=owner)
    assert not LayUp.objects.exists()


def test_only_the_owner_lays_a_car_up(
    whole_unit: Unit, car: Car, owner: Person, fitter: Person, officer: Person, stranger: Person
) -> None:
    spell = lay_up_car(car=car, date=date(2024, 11, 2), by=owner)
    for person in (fitter, officer, stranger):
        with pytest.raises(NotAllowed):
            lay_up_car(car=car, date=date(2024, 11, 2), by=person)
        with pytest.raises(NotAllowed):
            return_car_to_use(car=car, date=date(2024, 12, 1), by=person)
        with pytest.raises(NotAllowed):
            cancel_lay_up(lay_up=spell, by=person)


@pytest.fixture
def driven(car: Car, owner: Person) -> Car:
    """A car that was driven all summer: from 41,200 on 2 April to 44,000 on 1 October."""
    for day, shown in (
        (date(2024, 4, 2), 41_200),
        (date(2024, 7, 1), 43_000),
        (date(2024, 10, 1), 44_000),
    ):
        record_reading(car=car, date=day, shown=shown, by=owner)
    return car


@pytest.mark.parametrize(
    ("day", "until"),
    [
        (date(2020, 1, 1), None),
        (date(2024, 4, 2), None),
        (date(2024, 5, 1), None),
        (date(2020, 1, 1), date(2024, 10, 1)),
        (date(2024, 3, 1), date(2025, 4, 1)),
    ],
)
def test_lay_up_over_which_it_was_driven_is_refused(
    driven: Car, owner: Person, day: date, until: date | None
) -> None:
    with pytest.raises(Refused, match=r"it was driven [0-9,]+ miles") as refused:
        lay_up_car(car=driven, date=day, until=until, by=owner)
    assert (refused.value.field, refused.value.code) == ("date", "was_driven")
    assert not LayUp.objects.exists()


@pytest.mark.parametrize(
    ("day", "until"),
    [
        (date(2020, 1, 1), date(2024, 4, 2)),  # before all that was read
        (date(2024, 10, 1), None),  # on the day of the last drive
        (date(2024, 7, 2), date(2024, 9, 30)),  # it was driven before or after
        (date(2024, 12, 31), None),
    ],
)
def test_lay_up_that_its_readings_leave_room_for_is_kept(
    driven: Car, owner: Person, day: date, until: date | None
) -> None:
    assert lay_up_car(car=driven, date=day, until=until, by=owner).pk


@pytest.mark.parametrize(("moved", "kept"), [(3, True), (49, True), (50, False)])
def test_car_that_is_laid_up_goes_to_its_test_and_back(
    driven: Car, owner: Person, moved: int, kept: bool
) -> None:
    # read late, and moved since
    record_reading(car=driven, date=date(2024, 11, 10), shown=44_180, by=owner)
    record_reading(car=driven, date=date(2024, 12, 1), shown=44_180 + moved, by=owner)
    if kept:
        assert lay_up_car(car=driven, date=date(2024, 11, 2), by=owner).pk
    else:
        with pytest.raises(Refused, match="44,180 on 10 November 2024"):
            lay_up_car(car=driven, date=date(2024, 11, 2), by=owner)


def test_drive_on_the_day_it_was_put_away_or_came_back_leaves_the_lay_up(
    driven: Car, owner: Person
) -> None:
    lay_up_car(car=driven, date=date(2024, 11, 2), shown=44_100, by=owner)
    record_reading(car=driven, date=date(2024, 11, 9), shown=44_350, by=owner)
    record_reading(car=driven, date=date(2024, 12, 9), shown=44_600, by=owner)
    assert return_car_to_use(car=driven, date=date(2024, 12, 9), by=owner).pk


def test_number_that_is_not_believed_says_nothing_against_a_lay_up(
    driven: Car, owner: Person
) -> None:
    record_reading(car=driven, date=date(2024, 11, 10), shown=44_010, by=owner)
    odometer = Reading.objects.filter(odometer__car=driven)[0].odometer
    Reading.objects.create(odometer=odometer, date=date(2024, 11, 20), shown=94_010)
    assert lay_up_car(car=driven, date=date(2024, 11, 2), by=owner).pk


def test_number_typed_with_the_lay_up_counts_and_is_not_kept_when_refused(
    driven: Car, owner: Person
) -> None:
    with pytest.raises(Refused, match="43,001 on 2 July 2024 and 44,000 on 1 October 2024"):
        lay_up_car(car=driven, date=date(2024, 7, 2), shown=43_001, by=owner)
    assert not Reading.objects.filter(shown=43_001).exists()


def test_car_comes_back_before_it_was_driven_again(driven: Car, owner: Person) -> None:
    lay_up_car(car=driven, date=date(2024, 10, 2), by=owner)
    record_reading(car=driven, date=date(2024, 11, 1), shown=44_100, by=owner)
    record_reading(car=driven, date=date(2024, 12, 1), shown=44_700, by=owner)
    with pytest.raises(Refused, match="Enter an earlier day") as refused:
        return_car_to_use(car=driven, date=date(2024, 12, 9), by=owner)
    assert (refused.value.field, refused.value.code) == ("date", "was_driven")
    assert LayUp.objects.get().until_date is None
    assert return_car_to_use(car=driven, date=date(2024, 11, 20), by=owner).pk
