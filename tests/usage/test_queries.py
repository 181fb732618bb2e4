from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from advisory.engineering.usage_forecast import DEFAULT_ANNUAL_DISTANCE
from advisory.people.models import Person
from advisory.people.seasons import HALF_A_YEAR
from advisory.register.models import Car, Design, Fitting, Odometer, Unit
from advisory.usage.models import LayUp, Reading
from advisory.usage.queries import (
    car_distance,
    car_use,
    distances_of,
    latest_reading,
    unit_distance,
    unit_use,
    unit_uses_of,
)
from tests.cast import FITTED_ON, SHOWN_WHEN_FITTED, make_car, make_unit

MILE = 1609.344


def read(car: Car, day: date, shown: int, **fields: bool) -> Reading:
    odometer = car.odometers.order_by("-pk")[0]
    return Reading.objects.create(odometer=odometer, date=day, shown=shown, **fields)


def test_distance_counts_from_the_fitting(unit: Unit, car: Car) -> None:
    read(car, date(2022, 1, 1), 40_000)
    read(car, date(2024, 1, 1), 42_000)
    assert unit_distance(unit) == pytest.approx(800 * MILE)
    assert car_distance(car) == pytest.approx(2_000 * MILE)


def test_distance_by_a_day_lies_between_the_readings(unit: Unit, car: Car) -> None:
    read(car, date(2023, 4, 11), 41_300)
    assert unit_distance(unit, date(2023, 4, 6)) == pytest.approx(50 * MILE)
    assert unit_distance(unit, date(2023, 3, 1)) is None


def test_unit_in_no_car_has_no_distance(owner: Person, design: Design) -> None:
    assert unit_distance(make_unit(owner, design)) is None


def test_unit_in_a_car_without_readings_has_no_distance(
    owner: Person, design: Design, car: Car
) -> None:
    unit = make_unit(owner, design)
    Fitting.objects.create(unit=unit, car=car, from_date=FITTED_ON)
    assert unit_distance(unit) is None
    assert unit_use(unit).since(FITTED_ON) is None


def test_fitting_without_a_number_is_read_off_the_readings_around_it(
    owner: Person, design: Design, car: Car
) -> None:
    unit = make_unit(owner, design)
    Fitting.objects.create(unit=unit, car=car, from_date=date(2023, 4, 11))
    read(car, date(2023, 4, 1), 41_000)
    read(car, date(2023, 4, 21), 41_200)
    assert unit_distance(unit) == pytest.approx(100 * MILE)


def test_unit_moved_to_another_car_carries_its_own_distance(
    unit: Unit, car: Car, owner: Person
) -> None:
    read(car, date(2023, 10, 1), 42_200)
    stay = unit.fittings.get()
    stay.until_date, stay.until_reading = date(2023, 10, 1), 42_200
    stay.save()
    read(car, date(2024, 5, 1), 44_000)  # the first car goes on without it
    other = make_car(owner, "Pell")
    Odometer.objects.filter(car=other).update(unit="km", digits=6)
    Fitting.objects.create(unit=unit, car=other, from_date=date(2024, 1, 1), from_reading=120_000)
    read(other, date(2024, 3, 1), 120_500)
    assert unit_distance(unit) == pytest.approx(1_000 * MILE + 500_000)
    assert unit_distance(unit, date(2023, 12, 1)) == pytest.approx(1_000 * MILE)
    use = unit_use(unit)
    assert use.current is not None
    assert use.current.car == other
    assert use.since(date(2023, 10, 1), 42_200) == pytest.approx(500_000)
    assert use.since(date(2023, 4, 1), SHOWN_WHEN_FITTED) == unit_distance(unit)


def test_replaced_odometer_with_unknown_start_lets_distance_rest_only_across_the_change(
    unit: Unit, car: Car
) -> None:
    read(car, date(2023, 9, 1), 42_200)
    Odometer.objects.create(car=car, unit="mile", digits=5, fitted_on=date(2023, 10, 1))
    read(car, date(2023, 11, 1), 100)
    read(car, date(2024, 2, 1), 350)
    use = unit_use(unit)
    assert use.unknown_since == date(2023, 11, 1)
    assert use.since(date(2023, 5, 1)) is None
    assert use.since(date(2023, 11, 1)) == pytest.approx(250 * MILE)
    assert use.since(date(2023, 5, 1), until=date(2023, 9, 1)) is not None
    assert use.distance() == pytest.approx((1_000 + 250) * MILE)


def test_since_a_number_that_was_shown_on_the_day(unit: Unit, car: Car) -> None:
    read(car, date(2023, 6, 1), 41_500)
    read(car, date(2023, 6, 1), 41_560)
    read(car, date(2023, 8, 1), 42_000)
    use = unit_use(unit)
    assert use.since(date(2023, 6, 1), 41_500) == pytest.approx(500 * MILE)
    assert use.since(date(2023, 6, 1)) == pytest.approx(440 * MILE)


def test_doubtful_reading_does_not_move_the_distance(unit: Unit, car: Car) -> None:
    read(car, date(2023, 6, 1), 41_500)
    read(car, date(2023, 6, 9), 91_560)
    read(car, date(2023, 8, 1), 42_000)
    assert unit_distance(unit) == pytest.approx(800 * MILE)
    last = latest_reading(car)
    assert last is not None
    assert last.shown == 42_000


def test_many_units_take_as_many_queries_as_one(
    unit: Unit, car: Car, owner: Person, design: Design
) -> None:
    def count(units: list[Unit]) -> int:
        with CaptureQueriesContext(connection) as queries:
            assert len(distances_of(units)) == len(units)
        return len(queries)

    read(car, date(2024, 1, 1), 42_000)
    one = count([unit])
    units = [unit]
    for number in range(2):
        other = make_car(owner, f"Pell {number}")
        read(other, date(2024, 1, 1), 41_500)
        LayUp.objects.create(car=other, from_date=date(2024, 2, 1))
        units.append(make_unit(owner, design, serial=f"P{number}", car=other))
    assert count(units) == one == 1


def test_car_is_laid_up_within_the_spell(car: Car) -> None:
    LayUp.objects.create(car=car, from_date=date(2023, 11, 1), until_date=date(2024, 3, 30))
    LayUp.objects.create(car=car, from_date=date(2024, 11, 1))
    use = car_use(car)
    assert use.laid_up(date(2023, 10, 31)) is None
    assert use.laid_up(date(2023, 11, 1)) is not None
    assert use.laid_up(date(2024, 3, 29)) is not None
    assert use.laid_up(date(2024, 3, 30)) is None  # in use again
    assert use.laid_up(date(2024, 6, 1)) is None
    assert use.laid_up(date(2025, 1, 1)) is not None


def test_annual_distance_from_readings_guess_or_default(car: Car) -> None:
    today = date(2024, 6, 1)
    assert car_use(car).annual_distance(today) == DEFAULT_ANNUAL_DISTANCE
    car.expected_annual_distance = 2_000e3
    assert car_use(car).annual_distance(today) == 2_000e3
    read(car, date(2020, 6, 1), 30_000)
    read(car, date(2024, 6, 1), 40_000)
    assert car_use(car).annual_distance(today) == pytest.approx(2_500 * MILE, rel=0.2)


def test_forecast_is_on_the_units_own_count(unit: Unit, car: Car) -> None:
    car.expected_annual_distance = 4_000e3
    car.save()
    read(car, date(2022, 1, 1), 38_000)
    read(car, date(2024, 4, 1), 42_200)
    use = unit_use(unit)
    today = date(2024, 4, 1)
    reached = use.dates_reached(2_000 * MILE, today)
    assert reached is not None
    assert reached.p10 is not None
    assert reached.p50 is not None
    assert date(2024, 5, 1) < reached.p10 < reached.p50 < date(2025, 10, 1)
    past = use.dates_reached(900 * MILE, today)
    assert past is not None
    assert past.p50 == date(2024, 4, 1)
    later = use.expected_distance(date(2024, 7, 1))
    assert later is not None
    assert later > 1_000 * MILE
    assert use.expected_distance(date(2024, 4, 1)) == pytest.approx(1_000 * MILE)


def test_forecast_of_the_other_half_of_the_world_is_the_same_half_a_year_later(
    unit: Unit, car: Car, owner: Person
) -> None:
    """What is learnt of a season says the same of a southern car in its own."""
    northern = [(date(2024, 4, 10), 42_000), (date(2024, 10, 12), 44_100)]
    rows = [read(car, day, shown) for day, shown in northern]
    LayUp.objects.create(car=car, from_date=date(2024, 10, 20))
    today = date(2025, 1, 15)
    there = unit_use(unit).dates_reached(5_000 * MILE, today)
    driven = unit_use(unit).driven_unread(date(2025, 6, 1), today)
    for row in rows:
        Reading.objects.filter(pk=row.pk).update(date=row.date - HALF_A_YEAR)
    LayUp.objects.update(from_date=date(2024, 10, 20) - HALF_A_YEAR)
    Fitting.objects.update(from_date=FITTED_ON - HALF_A_YEAR)
    owner.zone = "Africa/Johannesburg"
    owner.save()
    unit = Unit.objects.get(pk=unit.pk)
    here = unit_use(unit).dates_reached(5_000 * MILE, today - HALF_A_YEAR)
    assert there is not None
    assert here is not None
    assert None not in (there.p10, there.p50)
    for name in ("since", "p10", "p50", "p90"):
        day = getattr(there, name)
        assert getattr(here, name) == (None if day is None else day - HALF_A_YEAR)
    found = unit_use(unit).driven_unread(date(2025, 6, 1) - HALF_A_YEAR, today - HALF_A_YEAR)
    assert found == pytest.approx(driven) != 0.0


def test_unit_without_a_car_has_no_forecast(owner: Person, design: Design) -> None:
    use = unit_uses_of([make_unit(owner, design)]).popitem()[1]
    assert use.dates_reached(1.0, date(2024, 1, 1)) is None
    assert use.unknown_since is None
