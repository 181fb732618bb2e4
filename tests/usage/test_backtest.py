"""Foretelling what is known already, to see how well it is done."""

from datetime import date
from io import StringIO

import numpy as np
import pytest
from django.core.management import call_command

from advisory.engineering.usage_forecast import Use
from advisory.people.models import Person
from advisory.usage.backtest import backtest
from advisory.usage.models import Reading
from tests.cast import make_car
from tests.engineering.driven_cars import drive


def uses_of(cars: int, seed: int) -> list[Use]:
    driven = drive(cars, seed)
    uses = driven.uses
    return [
        Use(
            tuple(uses.days[begin:end].tolist()),
            tuple(uses.metres[begin:end].tolist()),
            int(uses.days[end - 1]),
        )
        for begin, end in zip(uses.starts, uses.starts[1:], strict=False)
    ]


@pytest.mark.one_database
def test_backtest_finds_the_forecast_as_good_as_it_is() -> None:
    found = backtest(uses_of(400, 31))
    assert found is not None
    whole, *classes = found.classes
    assert [(one.least, one.most) for one in classes] == [(1, 1), (2, 4), (5, 9), (10, None)]
    assert sum(one.cars for one in classes) == whole.cars
    assert 0.68 < whole.holds < 0.95
    assert whole.median_error < 90
    assert found.known_to > 0


@pytest.mark.one_database
def test_what_is_hidden_is_not_looked_at() -> None:
    """A car that is driven ten times as far in its hidden time is foretold as if it were not."""
    first = date(2020, 1, 1).toordinal()
    days = [first + 91 * n for n in range(12)]
    steady = np.arange(12) * 700e3
    racing = np.concatenate((steady[:8], steady[7] + np.arange(1, 5) * 7_000e3))
    calm, wild = (
        backtest([Use(tuple(days), tuple(metres.tolist()), days[-1])])
        for metres in (steady, racing)
    )
    assert calm is not None
    assert wild is not None
    assert wild.classes[0].median_error > 5 * calm.classes[0].median_error


@pytest.mark.one_database
def test_cars_that_never_moved_tell_nothing() -> None:
    assert backtest([Use((5,), (0.0,), 5), Use((5, 9), (1.0, 1.0), 9)]) is None


@pytest.mark.django_db
def test_command_prints_by_number_of_readings(owner: Person) -> None:
    for number in range(3):
        odometer = make_car(owner).odometers.get()
        for year in range(2018, 2022 + number):
            Reading.objects.create(
                odometer=odometer, date=date(year, 6, 1), shown=1_500 * (year - 2017)
            )
    printed = StringIO()
    call_command("backtest_forecast", stdout=printed)
    lines = printed.getvalue().splitlines()
    assert lines[1].split()[:2] == ["all", "3"]
    assert lines[2].split()[0] == "2-4"
    assert "known to" in lines[-1]


@pytest.mark.django_db
def test_command_says_so_where_there_is_nothing_to_score() -> None:
    printed = StringIO()
    call_command("backtest_forecast", stdout=printed)
    assert "No car" in printed.getvalue()
