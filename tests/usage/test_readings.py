from datetime import date, timedelta

import pytest
import time_machine

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.common.models import AuditEntry
from advisory.people.models import Person
from advisory.register.models import Car, Fitting, Unit
from advisory.usage.actions import correct_reading, delete_reading, record_reading
from advisory.usage.models import Reading
from advisory.usage.queries import car_use
from advisory.usage.signals import usage_changed
from tests.cast import FITTED_ON, SHOWN_WHEN_FITTED

MILE = 1609.344
NOON = "2024-06-10T12:00:00Z"
TODAY = date(2024, 6, 10)


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel(NOON, tick=False):
        yield


def test_reading_is_kept_as_shown_with_an_audit_row(car: Car, owner: Person) -> None:
    reading = record_reading(car=car, date=TODAY, shown=41_300, by=owner, note=" wet ")
    assert (reading.date, reading.shown, reading.note) == (TODAY, 41_300, "wet")
    assert not reading.confirmed
    entry = AuditEntry.objects.get(action="record_reading")
    assert entry.by == owner
    assert entry.data["shown"] == 41_300


def test_same_reading_twice_changes_nothing(car: Car, owner: Person) -> None:
    first = record_reading(car=car, date=TODAY, shown=41_300, by=owner)
    assert record_reading(car=car, date=TODAY, shown=41_300, by=owner) == first
    assert Reading.objects.count() == 1
    assert AuditEntry.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_change_is_told_after_commit(car: Car, owner: Person) -> None:
    told: list[Car] = []

    def hear(sender: object, *, car: Car, **_: object) -> None:
        told.append(car)

    usage_changed.connect(hear)
    try:
        record_reading(car=car, date=TODAY, shown=41_300, by=owner)
        with pytest.raises(Question):
            record_reading(car=car, date=TODAY, shown=91_300, by=owner)
    finally:
        usage_changed.disconnect(hear)
    assert told == [car]


def test_day_to_come_is_refused(car: Car, owner: Person) -> None:
    with pytest.raises(Refused, match="10 June 2024") as refused:
        record_reading(car=car, date=TODAY + timedelta(days=1), shown=41_300, by=owner)
    assert refused.value.field == "date"
    assert not isinstance(refused.value, Question)


def test_today_is_the_day_where_the_person_is(car: Car, owner: Person) -> None:
    with time_machine.travel("2024-06-10T23:30:00Z", tick=False):
        owner.zone = "Pacific/Auckland"
        record_reading(car=car, date=date(2024, 6, 11), shown=41_300, by=owner)
        owner.zone = "America/New_York"
        with pytest.raises(Refused, match="10 June"):
            record_reading(car=car, date=date(2024, 6, 11), shown=41_310, by=owner)


def test_year_with_two_figures_is_refused(car: Car, owner: Person) -> None:
    with pytest.raises(Refused, match="four figures"):
        record_reading(car=car, date=date(24, 6, 10), shown=41_300, by=owner)


def test_more_figures_than_the_odometer_has_are_refused(car: Car, owner: Person) -> None:
    with pytest.raises(Refused, match="5 figures") as refused:
        record_reading(car=car, date=TODAY, shown=412_005, by=owner)
    assert refused.value.code == "too_many_digits"
    assert record_reading(car=car, date=TODAY, shown=99_999, by=owner).shown == 99_999


def test_number_below_nought_is_refused(car: Car, owner: Person) -> None:
    with pytest.raises(Refused, match="nought"):
        record_reading(car=car, date=TODAY, shown=-1, by=owner, confirm=True)


def test_number_that_goes_backwards_is_asked_about_and_kept_when_confirmed(
    car: Car, owner: Person
) -> None:
    record_reading(car=car, date=date(2024, 5, 3), shown=45_210, by=owner)
    with pytest.raises(Question, match=r"45,120 is less than the 45,210 .* 3 May 2024") as asked:
        record_reading(car=car, date=TODAY, shown=45_120, by=owner)
    assert asked.value.code == "goes_backwards"
    assert Reading.objects.count() == 1
    kept = record_reading(car=car, date=TODAY, shown=45_120, by=owner, confirm=True)
    assert kept.confirmed
    doubts = [point.doubt for point in car_use(car).trace.points]
    assert [doubt is None for doubt in doubts] == [False, True]


def test_rollover_is_believed_within_a_week(car: Car, owner: Person) -> None:
    record_reading(car=car, date=date(2024, 6, 3), shown=99_950, by=owner)
    record_reading(car=car, date=TODAY, shown=120, by=owner)
    assert car_use(car).distance() == pytest.approx(170 * MILE)


def test_rollover_over_years_is_believed_on_a_word(car: Car, owner: Person) -> None:
    record_reading(car=car, date=date(2004, 6, 3), shown=30_000, by=owner)
    with pytest.raises(Question):
        record_reading(car=car, date=TODAY, shown=5_000, by=owner)
    record_reading(car=car, date=TODAY, shown=5_000, by=owner, went_round=True)
    assert car_use(car).distance() == pytest.approx(75_000 * MILE)


def test_a_rollover_that_nobody_drives_is_doubted(car: Car, owner: Person) -> None:
    record_reading(car=car, date=date(2024, 5, 30), shown=47_945, by=owner)
    with pytest.raises(Question, match=r"98,055 miles in 11 days, since 30 May 2024") as asked:
        record_reading(car=car, date=TODAY, shown=46_000, by=owner, went_round=True)
    assert (asked.value.field, asked.value.code) == ("shown", "goes_backwards")
    assert Reading.objects.count() == 1
    sure = record_reading(
        car=car, date=TODAY, shown=46_000, by=owner, went_round=True, confirm=True
    )
    assert car_use(sure.odometer.car).distance() == pytest.approx(98_055 * MILE)


def test_jump_that_nobody_drives_is_asked_about(car: Car, owner: Person) -> None:
    record_reading(car=car, date=date(2024, 6, 3), shown=41_200, by=owner)
    with pytest.raises(Question, match=r"10,100 miles in 7 days") as asked:
        record_reading(car=car, date=TODAY, shown=51_300, by=owner)
    assert asked.value.code == "jump_nobody_drives"
    record_reading(car=car, date=TODAY, shown=51_300, by=owner, confirm=True)
    assert car_use(car).distance() == pytest.approx(10_100 * MILE)


def test_late_reading_is_put_in_between(car: Car, owner: Person) -> None:
    record_reading(car=car, date=date(2024, 3, 1), shown=41_000, by=owner)
    record_reading(car=car, date=TODAY, shown=41_800, by=owner)
    record_reading(car=car, date=date(2024, 4, 1), shown=41_300, by=owner)
    use = car_use(car)
    assert use.distance(date(2024, 4, 1)) == pytest.approx(300 * MILE)
    assert use.distance() == pytest.approx(800 * MILE)
    with pytest.raises(Question, match="more than the 41,800 it showed later"):
        record_reading(car=car, date=date(2024, 4, 2), shown=41_900, by=owner)


def test_number_told_with_a_fitting_counts(unit: Unit, car: Car, owner: Person) -> None:
    with pytest.raises(Question, match="41,200"):
        record_reading(car=car, date=FITTED_ON + timedelta(days=9), shown=14_200, by=owner)


def test_mistyped_number_is_corrected_and_the_trail_keeps_it(car: Car, owner: Person) -> None:
    wrong = record_reading(car=car, date=date(2024, 5, 3), shown=45_210, by=owner)
    right = correct_reading(reading=wrong, by=owner, date=date(2024, 5, 3), shown=41_210)
    assert Reading.objects.get().shown == 41_210
    assert right.pk == wrong.pk
    entry = AuditEntry.objects.get(action="correct_reading")
    assert entry.data["before"] == {"date": "2024-05-03", "shown": 45_210}


def test_correction_to_a_reading_that_is_there_leaves_one(car: Car, owner: Person) -> None:
    record_reading(car=car, date=date(2024, 5, 3), shown=41_210, by=owner)
    wrong = record_reading(car=car, date=date(2024, 5, 3), shown=41_220, by=owner)
    correct_reading(reading=wrong, by=owner, date=date(2024, 5, 3), shown=41_210)
    assert Reading.objects.get().shown == 41_210


def test_correction_that_is_not_believed_is_asked_about(car: Car, owner: Person) -> None:
    record_reading(car=car, date=date(2024, 4, 3), shown=41_000, by=owner)
    reading = record_reading(car=car, date=date(2024, 5, 3), shown=41_210, by=owner)
    with pytest.raises(Question):
        correct_reading(reading=reading, by=owner, date=date(2024, 5, 3), shown=40_210)
    assert Reading.objects.get(pk=reading.pk).shown == 41_210


def test_correction_reaches_the_fitting_that_told_the_number(
    unit: Unit, car: Car, owner: Person
) -> None:
    reading = Reading.objects.create(
        odometer=car.odometers.get(), date=FITTED_ON, shown=SHOWN_WHEN_FITTED
    )
    correct_reading(reading=reading, by=owner, date=FITTED_ON, shown=41_300)
    assert Fitting.objects.get().from_reading == 41_300


def test_deleted_reading_is_gone_and_the_trail_keeps_it(
    unit: Unit, car: Car, owner: Person
) -> None:
    reading = Reading.objects.create(
        odometer=car.odometers.get(), date=FITTED_ON, shown=SHOWN_WHEN_FITTED
    )
    delete_reading(reading=reading, by=owner)
    assert not Reading.objects.exists()
    assert Fitting.objects.get().from_reading is None
    assert AuditEntry.objects.get(action="delete_reading").data["shown"] == SHOWN_WHEN_FITTED


def test_only_the_owner_enters_readings(
    whole_unit: Unit, car: Car, owner: Person, fitter: Person, manager: Person, officer: Person,
    stranger: Person,
) -> None:  # fmt: skip
    reading = record_reading(car=car, date=TODAY, shown=41_900, by=owner)
    for person in (fitter, manager, officer, stranger):
        with pytest.raises(NotAllowed):
            record_reading(car=car, date=TODAY, shown=42_000, by=person)
        with pytest.raises(NotAllowed):
            correct_reading(reading=reading, by=person, date=TODAY, shown=42_000)
        with pytest.raises(NotAllowed):
            delete_reading(reading=reading, by=person)
    assert Reading.objects.get().shown == 41_900
