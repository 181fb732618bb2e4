"""What the workshop's instruction does to a plan: hours, the time of the year, what it needs."""

from datetime import date

import pytest

from advisory.common.quantities import METRIC
from advisory.people.models import Person
from advisory.plans.enums import CountedFrom, DueBy, DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.reason_words import reasons_words
from advisory.register.actions import remove_instruction, set_instruction
from advisory.register.enums import Season, WorkKind
from advisory.register.models import Car, MaintenanceInstruction, Unit
from advisory.usage.actions import record_hours
from advisory.usage.models import LayUp, Reading

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
KM, HOUR, MILE = 1e3, 3600.0, 1609.344
# what stands in for a mean speed that nobody has measured
USUAL_SPEED = 45 / 3.6
PIPE = WorkKind.PIPE_CHECK


def instruct(unit: Unit, work: WorkKind = PIPE, **says: object) -> None:
    MaintenanceInstruction.objects.create(design=unit.design, work=work, **says)


def done(unit: Unit, day: date, work: WorkKind = PIPE) -> None:
    WorkDone.objects.create(unit=unit, work=work, date=day, cycle=1)


def said(item: PlanItem) -> str:
    return " ".join(reasons_words(item, METRIC))


def test_hours_without_a_counter_are_estimated_from_distance_and_said_so(
    today: date, whole_unit: Unit, readings: list[Reading], plan
) -> None:
    instruct(whole_unit, hours=20 * HOUR)
    done(whole_unit, date(2024, 6, 1))
    item = plan(whole_unit)[PIPE]
    assert item.due_distance - item.anchor_distance == pytest.approx(20 * HOUR * USUAL_SPEED)
    assert item.due_hours == pytest.approx(20)
    assert "estimated from distance" in said(item)
    assert "20 h" in said(item)


def test_hours_are_counted_by_the_units_counter(
    today: date, whole_unit: Unit, owner: Person, readings: list[Reading], plan
) -> None:
    instruct(whole_unit, hours=20 * HOUR)
    done(whole_unit, date(2023, 10, 20))
    record_hours(unit=whole_unit, date=date(2023, 10, 20), running_time=50 * HOUR, by=owner)
    record_hours(unit=whole_unit, date=date(2024, 6, 1), running_time=60 * HOUR, by=owner)
    item = plan(whole_unit)[PIPE]
    # 300 miles took ten hours; the ten that are left take as many again
    assert item.due_distance == pytest.approx((1800 + 300 + 300) * MILE)
    assert "those of its counter" in said(item)
    record_hours(unit=whole_unit, date=date(2024, 6, 9), running_time=71 * HOUR, by=owner)
    assert plan(whole_unit)[PIPE].state == DueState.DUE


def test_whichever_of_hours_and_distance_comes_first(
    today: date, whole_unit: Unit, readings: list[Reading], plan
) -> None:
    instruct(whole_unit, hours=20 * HOUR, distance=300 * KM)
    done(whole_unit, date(2024, 6, 1))
    item = plan(whole_unit)[PIPE]
    assert item.due_distance - item.anchor_distance == pytest.approx(300 * KM)
    assert item.due_hours == pytest.approx(300 * KM / USUAL_SPEED / HOUR)


def test_hours_shorten_the_oil_change_and_the_advice_says_the_workshop(
    today: date, whole_unit: Unit, readings: list[Reading], plan
) -> None:
    instruct(whole_unit, WorkKind.OIL_CHANGE, hours=4 * HOUR)
    item = plan(whole_unit)[WorkKind.OIL_CHANGE]
    assert item.due_distance - item.anchor_distance == pytest.approx(4 * HOUR * USUAL_SPEED)
    assert item.limited_by == DueBy.WORKSHOP
    assert "by its 4 hours, which come to about 180 km" in said(item)
    assert "asks for it every" not in said(item)


def test_distance_of_the_workshop_is_said_as_its_own_where_it_comes_first(
    today: date, whole_unit: Unit, readings: list[Reading], plan
) -> None:
    instruct(whole_unit, WorkKind.OIL_CHANGE, hours=40 * HOUR, distance=170 * KM)
    item = plan(whole_unit)[WorkKind.OIL_CHANGE]
    assert "asks for it every 170 km" in said(item)
    assert "by its 40" not in said(item)


def test_hours_that_the_advice_shortens_are_said_to_be_hours(
    today: date, unit: Unit, readings: list[Reading], plan
) -> None:
    instruct(unit, WorkKind.OIL_CHANGE, hours=4000 * HOUR)
    done(unit, date(2024, 6, 1), WorkKind.OIL_CHANGE)
    item = plan(unit)[WorkKind.OIL_CHANGE]
    assert "allows 4,000 hours, which come to about 180,000 km; for the use" in said(item)


def test_before_the_first_run_by_april_and_not_again_when_just_done(
    whole_unit: Unit, today: date, plan
) -> None:
    instruct(whole_unit, season=Season.BEFORE_FIRST_RUN, needs="A new copper washer")
    done(whole_unit, date(2024, 3, 20))
    item = plan(whole_unit)[PIPE]
    assert item.due_date == date(2025, 4, 1)
    assert "Before the first run" in said(item)
    assert any(reason.get("needs") == "A new copper washer" for reason in item.reasons)


def test_before_the_first_run_does_not_rest_with_the_car(
    today: date, whole_unit: Unit, car: Car, plan
) -> None:
    instruct(whole_unit, season=Season.BEFORE_FIRST_RUN)
    done(whole_unit, date(2023, 6, 1))
    LayUp.objects.create(car=car, from_date=date(2024, 5, 1), until_date=date(2024, 6, 20))
    items = plan(whole_unit)
    assert (items[PIPE].due_date, items[PIPE].state) == (date(2024, 6, 20), DueState.NEAR)
    assert items[WorkKind.SEAL_WEEP].state == DueState.RESTING


def test_at_lay_up_and_before_frost(today: date, whole_unit: Unit, plan) -> None:
    instruct(whole_unit, season=Season.AT_LAY_UP)
    instruct(whole_unit, WorkKind.SEAL_WEEP, season=Season.BEFORE_FROST)
    missed = plan(whole_unit)[PIPE]
    assert (missed.counted_from, missed.due_date) == (CountedFrom.BUILD, date(2023, 10, 25))
    assert missed.state == DueState.LATE
    done(whole_unit, date(2024, 1, 5))
    done(whole_unit, date(2024, 1, 5), WorkKind.SEAL_WEEP)
    items = plan(whole_unit)
    assert items[PIPE].due_date == date(2024, 10, 25)
    assert items[WorkKind.SEAL_WEEP].due_date == date(2024, 10, 15)


def test_instruction_moves_the_plans_of_its_units_at_once(
    today: date, whole_unit: Unit, manager: Person, readings: list[Reading], plan, committed
) -> None:
    before = plan(whole_unit)[PIPE].due_date
    design = whole_unit.design
    committed(lambda: set_instruction(design=design, work=PIPE, months=3, by=manager))
    assert PlanItem.objects.get(unit=whole_unit, work=PIPE).due_date == date(2023, 6, 1)
    committed(lambda: remove_instruction(design=design, work=PIPE, by=manager))
    assert PlanItem.objects.get(unit=whole_unit, work=PIPE).due_date == before
