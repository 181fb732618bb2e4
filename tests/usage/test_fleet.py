"""What is learnt over all cars at night, and kept for the forecasts to come."""

from datetime import date

import pytest
import time_machine

from advisory.engineering.usage_forecast import DEFAULT_FLEET
from advisory.people.models import Person
from advisory.register.models import Car
from advisory.usage.forecasts import learnt_fleet
from advisory.usage.models import LearntFleet, Reading
from advisory.usage.queries import car_use
from advisory.usage.tasks import learn_season
from tests.cast import make_car

pytestmark = pytest.mark.django_db


@pytest.fixture
def winter_cars(owner: Person) -> list[Car]:
    """Cars that run in winter and stand in summer."""
    cars = [make_car(owner) for _ in range(20)]
    for car in cars:
        odometer = car.odometers.get()
        shown = 10_000
        for year in (2021, 2022, 2023):
            for month, far in ((4, 3_000), (10, 0)):
                shown += far
                Reading.objects.create(odometer=odometer, date=date(year, month, 1), shown=shown)
    return cars


def test_defaults_count_until_anything_is_learnt() -> None:
    assert learnt_fleet() == DEFAULT_FLEET


def test_season_is_learnt_at_night_and_kept_as_one_row(winter_cars: list[Car]) -> None:
    with time_machine.travel("2023-11-01T02:00:00Z", tick=False):
        assert learn_season() == 20
        assert learn_season() == 20
    assert LearntFleet.objects.count() == 1
    factors = learnt_fleet().month_factors
    assert min(factors[11], factors[0], factors[1]) > max(factors[5], factors[6], factors[7])


def test_what_was_learnt_moves_the_forecast_of_a_car(winter_cars: list[Car], owner: Person) -> None:
    other = make_car(owner)
    Reading.objects.create(odometer=other.odometers.get(), date=date(2023, 10, 1), shown=500)
    today = date(2023, 10, 2)
    before = car_use(other).annual_distance(today)
    learn_season()
    assert car_use(other).annual_distance(today) > before


def test_nothing_to_learn_from_keeps_the_defaults() -> None:
    assert learn_season() == 0
    assert learnt_fleet() == DEFAULT_FLEET
