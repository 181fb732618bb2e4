"""The forecast in the plan: three days, a lay-up to come, a reading asked for."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from advisory.common.models import AuditEntry
from advisory.people.models import Person
from advisory.plans.actions import refresh_plans
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.plans.queries import items_asking_for_reading
from advisory.register.enums import WorkKind
from advisory.register.models import Car, Unit
from advisory.usage.actions import lay_up_car, record_reading
from advisory.usage.models import Reading

pytestmark = pytest.mark.django_db


def read(car: Car, *numbers: tuple[date, int]) -> None:
    odometer = car.odometers.get()
    Reading.objects.bulk_create(
        Reading(odometer=odometer, date=day, shown=shown) for day, shown in numbers
    )


def item_of(unit: Unit, work: WorkKind = WorkKind.OIL_CHANGE) -> PlanItem:
    return PlanItem.objects.get(unit=unit, work=work)


def test_items_by_distance_have_three_days_in_order(whole_unit: Unit, car: Car) -> None:
    read(car, (date(2023, 5, 1), 41_500), (date(2024, 4, 28), 42_900))
    with time_machine.travel("2024-05-01T12:00:00Z", tick=False):
        refresh_plans(units=[whole_unit.pk])
    items = [item for item in PlanItem.objects.filter(unit=whole_unit) if item.due_distance]
    assert items
    for item in items:
        assert item.forecast_first is not None
        assert item.forecast_date is not None
        assert item.forecast_first <= item.forecast_date
        if item.forecast_last is not None:
            assert item.forecast_date <= item.forecast_last
        if item.due_date is not None:
            assert item.forecast_last is not None
            assert item.forecast_last <= item.due_date


def test_reading_narrows_what_is_foretold(whole_unit: Unit, car: Car) -> None:
    read(car, (date(2023, 5, 1), 41_500))
    with time_machine.travel("2024-05-01T12:00:00Z", tick=False):
        refresh_plans(units=[whole_unit.pk])
        before = item_of(whole_unit, WorkKind.PIPE_CHECK)
        read(car, *((date(2023, month, 1), 41_500 + 160 * (month - 5)) for month in range(6, 11)),
             (date(2024, 4, 28), 42_400))  # fmt: skip
        refresh_plans(units=[whole_unit.pk])
        after = item_of(whole_unit, WorkKind.PIPE_CHECK)
    assert (before.forecast_first, before.forecast_last) != (
        after.forecast_first,
        after.forecast_last,
    )


def test_announced_lay_up_puts_off_what_distance_sets(
    whole_unit: Unit, car: Car, owner: Person
) -> None:
    read(car, (date(2022, 5, 1), 39_800), (date(2023, 4, 10), 41_300))
    with time_machine.travel("2023-04-12T12:00:00Z", tick=False):
        refresh_plans(units=[whole_unit.pk])
        before = item_of(whole_unit, WorkKind.PIPE_CHECK)
        lay_up_car(car=car, date=date(2023, 4, 20), until=date(2023, 7, 20), by=owner)
        refresh_plans(units=[whole_unit.pk])
        after = item_of(whole_unit, WorkKind.PIPE_CHECK)
    assert before.due_distance == after.due_distance
    assert before.forecast_date is not None
    assert after.forecast_date is not None
    assert before.forecast_date < date(2023, 7, 20) < after.forecast_date
    # nothing rests yet: it is only announced
    assert after.state != DueState.RESTING


def test_late_reading_moves_the_day_and_the_trail_keeps_it_before_and_after(
    whole_unit: Unit, car: Car, owner: Person, committed: Callable[[Callable[[], object]], None]
) -> None:
    read(car, (date(2023, 3, 20), 41_250))
    with time_machine.travel("2023-06-01T12:00:00Z", tick=False):
        refresh_plans(units=[whole_unit.pk])
        before = item_of(whole_unit, WorkKind.END_FLOAT).forecast_date
        assert not AuditEntry.objects.filter(action="move_due_days").exists()
        committed(lambda: record_reading(car=car, date=date(2023, 5, 28), shown=42_000, by=owner))
        between = item_of(whole_unit, WorkKind.END_FLOAT).forecast_date
        # one that was forgotten, put in between the two
        committed(lambda: record_reading(car=car, date=date(2023, 5, 2), shown=41_300, by=owner))
        after = item_of(whole_unit, WorkKind.END_FLOAT).forecast_date
    assert before != between
    rows = AuditEntry.objects.filter(action="move_due_days").order_by("pk")
    moved = [row.data["moved"].get(WorkKind.END_FLOAT) for row in rows]
    assert moved[0] == [str(before), str(between)]
    if between != after:
        assert moved[-1] == [str(between), str(after)]


def test_forecast_too_wide_asks_for_a_reading_and_a_reading_answers(
    whole_unit: Unit, car: Car
) -> None:
    # read long ago, and how it was driven since nobody knows
    read(car, (date(2022, 9, 1), 41_300))
    asked: list[PlanItem] = []
    for day in range(0, 500, 20):
        with time_machine.travel(date(2022, 10, 10) + timedelta(days=day), tick=False):
            refresh_plans(units=[whole_unit.pk])
            asked = list(items_asking_for_reading())
            today = date(2022, 10, 10) + timedelta(days=day)
        if asked:
            break
    assert asked
    for item in asked:
        assert item.state in {DueState.AHEAD, DueState.NEAR}
        assert {"code": "asks_for_reading"} in item.reasons
    read(car, (today, 41_350))
    with time_machine.travel(today, tick=False):
        refresh_plans(units=[whole_unit.pk])
        assert not items_asking_for_reading().exists()


def test_forecast_that_is_reckoned_each_night_sends_nothing_twice(
    whole_unit: Unit, car: Car
) -> None:
    """Over 30 nights without a reading no item comes near, goes away, and comes again."""
    read(car, (date(2023, 5, 1), 41_500), (date(2024, 4, 1), 42_900))
    seen: dict[str, list[str]] = {}
    for night in range(30):
        with time_machine.travel(date(2024, 4, 2) + timedelta(days=night), tick=False):
            refresh_plans(units=[whole_unit.pk])
        for item in PlanItem.objects.filter(unit=whole_unit):
            states = seen.setdefault(item.work, [])
            if not states or states[-1] != item.state:
                states.append(item.state)
    for states in seen.values():
        assert states.count(DueState.NEAR) <= 1


def test_forecasts_of_many_units_cost_no_more_queries(whole_unit: Unit, car: Car) -> None:
    read(car, (date(2023, 5, 1), 41_500), (date(2024, 4, 1), 42_900))
    refresh_plans(units=[whole_unit.pk])
    with CaptureQueriesContext(connection) as first:
        refresh_plans(units=[whole_unit.pk])
    fleets = [query for query in first.captured_queries if "learntfleet" in query["sql"]]
    assert len(fleets) == 1
