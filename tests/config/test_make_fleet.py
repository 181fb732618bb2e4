"""An invented fleet: the same by the same seed, whole, and never among what is real."""

from datetime import date
from io import StringIO

import numpy as np
import pytest
from django.core.management import CommandError, call_command

from advisory.config.invented_fleet import make_fleet
from advisory.config.invented_fleet.drawn import draw_cars
from advisory.people.models import Person
from advisory.register.digest import is_as_signed
from advisory.register.enums import BuildState
from advisory.register.models import Build, Car, Unit
from advisory.usage.models import Reading

pytestmark = pytest.mark.django_db
TODAY = date(2026, 6, 30)


def test_two_fleets_stand_side_by_side_and_every_sheet_is_as_signed() -> None:
    one, other = (make_fleet(40, seed=seed, today=TODAY) for seed in (5, 6))
    assert one.cars == other.cars == 40
    assert Car.objects.count() == 80
    assert Reading.objects.count() == one.readings + other.readings
    assert Unit.objects.count() == one.units + other.units
    builds = list(Build.objects.filter(state=BuildState.SIGNED))
    assert builds
    assert all(is_as_signed(build) for build in builds[:5])
    assert not Person.objects.get(email="owner-5-0@fleet.example").has_usable_password()


@pytest.mark.one_database
def test_drawn_alike_and_never_of_days_to_come() -> None:
    first, second = (draw_cars(300, TODAY, np.random.default_rng([3, 0])) for _time in range(2))
    assert first == second
    days = [shown.day for car in first for shown in car.readings]
    assert max(days) <= TODAY
    assert 6.0 < len(days) / 300 < 11.0


def test_never_among_what_is_there_unless_asked(car: Car) -> None:
    with pytest.raises(CommandError, match="--among-what-is-there"):
        call_command("make_fleet", "--cars", "5", "--seed", "9")
    assert Car.objects.count() == 1
    out = StringIO()
    asked = ["--cars", "5", "--seed", "9", "--without-plans", "--among-what-is-there"]
    call_command("make_fleet", *asked, stdout=out)
    assert Car.objects.count() == 6
    assert "5 cars" in out.getvalue()
    with pytest.raises(CommandError, match="choose another"):
        call_command("make_fleet", *asked, stdout=out)
    with pytest.raises(CommandError, match="at least one car"):
        call_command("make_fleet", "--cars", "0")
