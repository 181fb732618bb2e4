"""A unit's distance through any sequence of moves: held against a world that knows the truth."""

import random
from dataclasses import dataclass, field
from datetime import date, timedelta

import pytest
import time_machine

from advisory.common.errors import Question
from advisory.people.models import Person
from advisory.register.actions import fit_unit, move_unit, remove_unit_from_car
from advisory.register.models import Car, Design, Odometer
from advisory.usage.actions import record_reading, replace_odometer
from advisory.usage.queries import unit_use
from tests.cast import make_unit

MILE, KM = 1609.344, 1000.0


@dataclass
class TrueCar:
    """A car that is driven, and what its instrument shows of it."""

    car: Car
    metres_a_count: float
    digits: int
    counts: float
    untold: list[tuple[date, int]] = field(default_factory=list)

    @property
    def shown(self) -> int:
        return int(self.counts) % 10**self.digits

    def drive(self, counts: int) -> float:
        self.counts += counts
        return counts * self.metres_a_count


def told(act, **known):
    """Do what a person does who is asked whether the odometer has gone round: say that it has."""
    try:
        return act(**known)
    except Question:
        return act(**known, confirm=True, went_round=True)


@pytest.mark.one_database
@pytest.mark.parametrize("seed", range(4))
def test_distance_is_right_through_any_moves(seed: int, owner: Person, design: Design) -> None:
    chance = random.Random(seed)
    unit = make_unit(owner, design)
    cars = []
    for mile in (True, False):
        car = Car.objects.create(owner=owner, maker="Harrow Vale", model="Twelve")
        Odometer.objects.create(car=car, unit="mile" if mile else "km", digits=5)
        begun = chance.choice([1_000, 98_500, 55_000])
        cars.append(TrueCar(car, MILE if mile else KM, 5, begun))
    sits_in: TrueCar | None = None
    day, truth = date(2015, 3, 1), 0.0
    with time_machine.travel("2026-06-10T12:00:00Z", tick=False):
        for one in cars:
            record_reading(car=one.car, date=day, shown=one.shown, by=owner)
        for _step in range(30):
            day += timedelta(days=chance.randint(20, 60))
            for one in cars:
                metres = one.drive(chance.randint(20, 700))
                truth += metres if one is sits_in else 0.0
            act = chance.choice(["read", "read", "late", "move", "rest", "instrument"])
            one = chance.choice(cars)
            if act == "read":
                told(record_reading, car=one.car, date=day, shown=one.shown, by=owner)
            elif act == "late":
                one.untold.append((day, one.shown))
            elif act == "instrument":
                last = one.shown
                one.metres_a_count = chance.choice([MILE, KM])
                one.counts = chance.choice([0, 4_321])
                replace_odometer(
                    car=one.car, date=day, by=owner, confirm=True,
                    unit="mile" if one.metres_a_count == MILE else "km", digits=5,
                    shown_when_fitted=one.shown, predecessor_showed=last,
                )  # fmt: skip
            elif act == "rest" and sits_in is not None:
                remove_unit_from_car(
                    unit=unit, date=day, by=owner, shown=sits_in.shown, confirm=True
                )
                sits_in = None
            elif act == "move" and sits_in is None:
                fit_unit(unit=unit, car=one.car, date=day, by=owner, shown=one.shown, confirm=True)
                sits_in = one
            elif act == "move" and sits_in is not one:
                move_unit(
                    unit=unit, car=one.car, date=day, by=owner, confirm=True,
                    shown=sits_in.shown, shown_there=one.shown,
                )  # fmt: skip
                sits_in = one
        for one in cars:  # the end is read, and what was noted on paper comes late and in disorder
            told(record_reading, car=one.car, date=day, shown=one.shown, by=owner)
            chance.shuffle(one.untold)
            for noted_on, shown in one.untold:
                told(record_reading, car=one.car, date=noted_on, shown=shown, by=owner)
        known = unit_use(unit).distance()
    assert truth > 0.0
    assert known == pytest.approx(truth, abs=1.0)
