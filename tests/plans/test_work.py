"""Which work a unit needs, and what its limits are; from rows to items."""

from datetime import date, timedelta

import pytest
import time_machine

from advisory.common.cautions import CAUTIONS
from advisory.common.quantities import Preferences
from advisory.lubrication.enums import Filtration, ServiceKind
from advisory.lubrication.models import OilArrangement, OilService
from advisory.lubrication.queries import oil_of
from advisory.people.actions import set_preferences
from advisory.people.models import Person
from advisory.plans.enums import CountedFrom, DueBy, DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.reason_words import SENTENCES
from advisory.plans.shown import limit_figures, show_item
from advisory.plans.work import WORKS
from advisory.register.enums import PositionKind, UnitKind, WorkKind
from advisory.register.models import Car, MaintenanceInstruction, Odometer, Unit
from advisory.usage.actions import record_reading
from advisory.usage.models import LayUp, Reading
from advisory.usage.queries import unit_use
from tests.cast import make_arrangement, make_build, make_unit

pytestmark = pytest.mark.django_db
KM = 1e3
MILE = 1609.344


def done(unit: Unit, work: WorkKind, day: date, cycle: int = 1) -> WorkDone:
    return WorkDone.objects.create(unit=unit, work=work, date=day, cycle=cycle)


def test_every_kind_of_work_is_declared_and_says_what_it_must() -> None:
    assert set(WORKS) == set(WorkKind)
    for work in WORKS.values():
        assert str(work.why)
        assert work.steps
        assert set(work.cautions) <= set(CAUTIONS)
        assert "no_licence" in work.cautions
        if work.oil_service is not None:
            assert {"hot_oil", "used_oil"} <= set(work.cautions)


def test_whole_unit_needs_all_that_its_positions_ask_for(
    today: date, whole_unit: Unit, plan
) -> None:
    # bearings are asked for where their wear is known; nothing was found, and no bulletin asks
    never = {
        WorkKind.FIRST_LOOK,
        WorkKind.CLEARANCES,
        WorkKind.PUT_RIGHT,
        WorkKind.BULLETIN,
    }
    assert set(plan(whole_unit)) == set(WorkKind) - never


@pytest.mark.parametrize(
    ("position", "work"),
    [
        (PositionKind.THRUST_WASHER, WorkKind.END_FLOAT),
        (PositionKind.LIP_SEAL, WorkKind.SEAL_WEEP),
        (PositionKind.WATER_JACKET, WorkKind.COOLANT_STRENGTH),
    ],
)
def test_no_such_position_no_such_work(
    today: date, unit: Unit, plan, position: PositionKind, work: WorkKind
) -> None:
    assert work in plan(unit)
    unit.design.positions.filter(kind=position).delete()
    assert work not in plan(unit)


def test_external_pipe_is_known_from_the_design_or_the_arrangement(
    today: date, unit: Unit, plan
) -> None:
    unit.design.positions.filter(kind=PositionKind.FEED_PIPE).delete()
    assert WorkKind.PIPE_CHECK not in plan(unit)
    make_arrangement(unit)
    assert WorkKind.PIPE_CHECK in plan(unit)


@pytest.mark.parametrize("filtration", [Filtration.UNKNOWN, Filtration.NONE, Filtration.STRAINER])
def test_no_filter_no_filter_change(today: date, unit: Unit, plan, filtration: Filtration) -> None:
    make_arrangement(unit, filtration)
    assert WorkKind.FILTER_CHANGE not in plan(unit)


def test_filter_taken_off_rests_and_its_cycle_is_not_forgotten(
    today: date, unit: Unit, arrangement: OilArrangement, plan
) -> None:
    done(unit, WorkKind.FILTER_CHANGE, date(2024, 3, 1))
    before = plan(unit)[WorkKind.FILTER_CHANGE]
    assert before.cycle == 2
    arrangement.filtration = Filtration.NONE
    arrangement.save()
    assert WorkKind.FILTER_CHANGE not in plan(unit)
    asleep = PlanItem.everything.get(pk=before.pk)
    assert (asleep.in_force, asleep.state) == (False, DueState.RESTING)
    arrangement.filtration = Filtration.BYPASS
    arrangement.save()
    again = plan(unit)[WorkKind.FILTER_CHANGE]
    assert (again.pk, again.cycle, again.in_force) == (before.pk, 2, True)


def test_filter_is_changed_when_it_is_full_or_with_the_oil(
    today: date, unit: Unit, readings: list[Reading], arrangement: OilArrangement, plan
) -> None:
    items = plan(unit)
    assert items[WorkKind.FILTER_CHANGE].limited_by == DueBy.DIRT
    arrangement.dirt_capacity = None
    arrangement.save()
    item = plan(unit)[WorkKind.FILTER_CHANGE]
    assert item.reasons[0]["code"] == "filter_with_oil"
    assert item.reasons[0]["months"] == 12


def test_oil_of_unknown_age_is_due_at_once(today: date, unit: Unit, plan) -> None:
    item = plan(unit)[WorkKind.OIL_CHANGE]
    assert (item.counted_from, item.due_date, item.state) == (
        CountedFrom.START,
        today,
        DueState.DUE,
    )
    assert item.limited_by == DueBy.NOT_KNOWN
    assert [reason["code"] for reason in item.reasons] == ["oil_age_not_known"]


def test_oil_counts_from_the_rebuild_and_then_from_its_last_change(
    today: date, whole_unit: Unit, readings: list[Reading], plan
) -> None:
    item = plan(whole_unit)[WorkKind.OIL_CHANGE]
    assert (item.counted_from, item.anchor_date, item.cycle) == (
        CountedFrom.BUILD,
        date(2023, 3, 1),
        1,
    )
    assert item.limited_by == DueBy.RUNNING_IN
    OilService.objects.create(unit=whole_unit, date=date(2024, 6, 1), kind=ServiceKind.CHANGE)
    item = plan(whole_unit)[WorkKind.OIL_CHANGE]
    assert (item.counted_from, item.anchor_date, item.cycle) == (
        CountedFrom.DONE,
        date(2024, 6, 1),
        2,
    )
    assert item.anchor_distance == pytest.approx(2100 * 1609.344)
    assert item.due_distance > item.anchor_distance
    assert item.due_date == date(2025, 6, 1)
    assert item.due_hours == pytest.approx((item.due_distance - item.anchor_distance) / 45e3)


def test_unit_of_unknown_history_is_looked_at_first(
    today: date, unit: Unit, owner: Person, fitter: Person, plan
) -> None:
    item = plan(unit)[WorkKind.FIRST_LOOK]
    assert (item.state, item.due_date) == (DueState.DUE, today)
    built = make_unit(owner, unit.design, serial="built")
    make_build(built, fitter)
    assert WorkKind.FIRST_LOOK not in plan(built)


def test_first_look_includes_the_looking_over(today: date, unit: Unit, plan) -> None:
    plan(unit)
    done(unit, WorkKind.FIRST_LOOK, today)
    items = plan(unit)
    assert WorkKind.FIRST_LOOK not in items
    for work in (WorkKind.PIPE_CHECK, WorkKind.SEAL_WEEP, WorkKind.END_FLOAT):
        assert (items[work].counted_from, items[work].anchor_date) == (CountedFrom.DONE, today)
        assert not WorkDone.objects.filter(work=work).exists()


def test_first_time_after_a_rebuild_comes_sooner(
    today: date, whole_unit: Unit, readings: list[Reading], plan
) -> None:
    item = plan(whole_unit)[WorkKind.PIPE_CHECK]
    assert item.due_distance == pytest.approx(500 * KM)
    done(whole_unit, WorkKind.PIPE_CHECK, today)
    item = plan(whole_unit)[WorkKind.PIPE_CHECK]
    assert item.due_distance - item.anchor_distance == pytest.approx(5000 * KM)
    assert item.due_date == date(2025, 6, 10)


def test_workshops_instruction_replaces_what_is_common_practice(
    today: date, whole_unit: Unit, readings: list[Reading], plan
) -> None:
    MaintenanceInstruction.objects.create(
        design=whole_unit.design, work=WorkKind.PIPE_CHECK, months=6, text="Mind the clip."
    )
    done(whole_unit, WorkKind.PIPE_CHECK, date(2024, 5, 31))
    item = plan(whole_unit)[WorkKind.PIPE_CHECK]
    assert (item.due_distance, item.due_date) == (None, date(2024, 11, 30))
    assert item.limited_by == DueBy.WORKSHOP
    assert item.reasons[0]["workshop"] == "Sallow Lane Bearings"


def test_words_without_an_interval_stand_beside_common_practice(
    today: date, whole_unit: Unit, plan
) -> None:
    MaintenanceInstruction.objects.create(
        design=whole_unit.design, work=WorkKind.SEAL_WEEP, text="It may sweat."
    )
    codes = [reason["code"] for reason in plan(whole_unit)[WorkKind.SEAL_WEEP].reasons]
    assert codes[:2] == ["first_after_rebuild", "instruction"]


# Coolant -----------------------------------------------------------------------------------------


def test_coolant_is_measured_in_autumn(today: date, unit: Unit, plan) -> None:
    item = plan(unit)[WorkKind.COOLANT_STRENGTH]
    assert (item.due_date, item.limited_by) == (date(2024, 10, 15), DueBy.SEASON)
    done(unit, WorkKind.COOLANT_STRENGTH, date(2023, 10, 1))
    assert plan(unit)[WorkKind.COOLANT_STRENGTH].due_date == date(2024, 10, 15)


def test_coolant_nobody_measured_is_due_at_once_in_frost(unit: Unit, plan) -> None:
    with time_machine.travel("2024-12-01 12:00:00+00:00"):
        Unit.objects.filter(pk=unit.pk).update(created_at="2024-12-01T09:00:00Z")
        unit.refresh_from_db()
        item = plan(unit)[WorkKind.COOLANT_STRENGTH]
        assert (item.state, item.due_date) == (DueState.DUE, date(2024, 12, 1))


def test_coolant_measured_late_counts_for_the_winter(unit: Unit, plan) -> None:
    done(unit, WorkKind.COOLANT_STRENGTH, date(2024, 11, 20))
    with time_machine.travel("2024-11-21 12:00:00+00:00"):
        assert plan(unit)[WorkKind.COOLANT_STRENGTH].due_date == date(2025, 10, 15)


def test_missed_autumn_lapses_in_spring_and_begins_another_cycle(unit: Unit, plan) -> None:
    done(unit, WorkKind.COOLANT_STRENGTH, date(2023, 10, 1))
    with time_machine.travel("2025-03-31 12:00:00+00:00"):
        item = plan(unit)[WorkKind.COOLANT_STRENGTH]
        assert (item.state, item.due_date, item.cycle) == (
            DueState.LATE,
            date(2024, 10, 15),
            2,
        )
    with time_machine.travel("2025-04-01 12:00:00+00:00"):
        item = plan(unit)[WorkKind.COOLANT_STRENGTH]
        assert (item.state, item.due_date, item.cycle) == (
            DueState.AHEAD,
            date(2025, 10, 15),
            3,
        )
        assert item.counted_from == CountedFrom.SEASON
        assert plan(unit)[WorkKind.COOLANT_STRENGTH].cycle == 3


# The other half of the world ---------------------------------------------------------------------


@pytest.fixture
def southern(unit: Unit, owner: Person) -> Unit:
    owner.zone = "Pacific/Auckland"
    owner.save()
    unit.refresh_from_db()
    return unit


def test_southern_autumn_is_in_april(today: date, southern: Unit, plan) -> None:
    done(southern, WorkKind.COOLANT_STRENGTH, date(2024, 5, 1))
    found = plan(southern)
    assert found[WorkKind.COOLANT_STRENGTH].due_date == date(2025, 4, 16)
    assert found[WorkKind.LAY_UP_OIL].due_date == date(2025, 4, 26)


@pytest.mark.django_db(transaction=True)
def test_owner_who_moves_south_has_the_plan_of_the_south_at_once(
    today: date, unit: Unit, owner: Person, plan
) -> None:
    done(unit, WorkKind.COOLANT_STRENGTH, date(2024, 5, 1))
    plan(unit)
    set_preferences(by=owner, zone="Australia/Hobart")
    item = PlanItem.objects.get(unit=unit, work=WorkKind.COOLANT_STRENGTH)
    assert item.due_date == date(2025, 4, 16)


def test_southern_frost_comes_in_july_and_ends_by_october(southern: Unit, plan) -> None:
    Unit.objects.filter(pk=southern.pk).update(created_at="2024-07-01T09:00:00Z")
    with time_machine.travel("2024-07-01 12:00:00+00:00"):
        item = plan(Unit.objects.get(pk=southern.pk))[WorkKind.COOLANT_STRENGTH]
        assert (item.state, item.due_date) == (DueState.DUE, date(2024, 7, 1))
    done(southern, WorkKind.COOLANT_STRENGTH, date(2024, 7, 1))
    with time_machine.travel("2025-09-29 12:00:00+00:00"):
        item = plan(Unit.objects.get(pk=southern.pk))[WorkKind.COOLANT_STRENGTH]
        assert (item.state, item.due_date) == (DueState.LATE, date(2025, 4, 16))
    with time_machine.travel("2025-10-01 12:00:00+00:00"):
        item = plan(Unit.objects.get(pk=southern.pk))[WorkKind.COOLANT_STRENGTH]
        assert (item.state, item.due_date) == (DueState.AHEAD, date(2026, 4, 16))


# Before lay-up -----------------------------------------------------------------------------------


def test_oil_before_lay_up_by_late_october(today: date, unit: Unit, plan) -> None:
    item = plan(unit)[WorkKind.LAY_UP_OIL]
    assert (item.due_date, item.limited_by) == (date(2024, 10, 25), DueBy.SEASON)


def test_oil_before_lay_up_by_the_cars_own_habit(today: date, unit: Unit, car: Car, plan) -> None:
    LayUp.objects.create(car=car, from_date=date(2023, 12, 3), until_date=date(2024, 3, 20))
    item = plan(unit)[WorkKind.LAY_UP_OIL]
    assert item.due_date == date(2024, 12, 3)
    assert item.reasons[0]["code"] == "lay_up_habit"


def test_car_driven_through_the_winter_needs_none(
    today: date, unit: Unit, odometer: Odometer, readings: list[Reading], plan
) -> None:
    assert WorkKind.LAY_UP_OIL in plan(unit)
    for day, shown in ((date(2023, 12, 10), 43_100), (date(2024, 2, 10), 43_180)):
        Reading.objects.create(odometer=odometer, date=day, shown=shown)
    assert WorkKind.LAY_UP_OIL not in plan(unit)


def test_gearbox_needs_none(today: date, unit: Unit, plan) -> None:
    unit.design.kind = UnitKind.GEARBOX
    unit.design.save()
    assert WorkKind.LAY_UP_OIL not in plan(unit)


def test_oil_changed_shortly_before_is_fresh_enough(unit: Unit, plan) -> None:
    OilService.objects.create(unit=unit, date=date(2024, 9, 10), kind=ServiceKind.CHANGE)
    with time_machine.travel("2024-10-10 12:00:00+00:00"):
        item = plan(unit)[WorkKind.LAY_UP_OIL]
        assert (item.due_date, item.state) == (date(2025, 10, 25), DueState.AHEAD)
    OilService.objects.update(date=date(2024, 8, 10))
    PlanItem.everything.all().delete()
    WorkDone.objects.all().delete()
    with time_machine.travel("2024-10-10 12:00:00+00:00"):
        item = plan(unit)[WorkKind.LAY_UP_OIL]
        assert (item.due_date, item.state) == (date(2024, 10, 25), DueState.NEAR)


def test_lay_up_begun_with_old_oil_stays_asked_for_while_all_else_rests(
    unit: Unit, car: Car, plan
) -> None:
    OilService.objects.create(unit=unit, date=date(2024, 4, 10), kind=ServiceKind.CHANGE)
    LayUp.objects.create(car=car, from_date=date(2024, 11, 2))
    with time_machine.travel("2024-11-05 12:00:00+00:00"):
        items = plan(unit)
    awake = {work for work, item in items.items() if item.state != DueState.RESTING}
    assert awake == {WorkKind.LAY_UP_OIL, WorkKind.COOLANT_STRENGTH}
    item = items[WorkKind.LAY_UP_OIL]
    assert (item.due_date, item.state) == (date(2024, 11, 2), DueState.DUE)
    assert item.reasons[0]["code"] == "lay_up_began"


def test_lay_up_announced_brings_it_forward(today: date, unit: Unit, car: Car, plan) -> None:
    OilService.objects.create(unit=unit, date=date(2024, 3, 10), kind=ServiceKind.CHANGE)
    LayUp.objects.create(car=car, from_date=date(2024, 6, 20))
    item = plan(unit)[WorkKind.LAY_UP_OIL]
    assert (item.due_date, item.state) == (date(2024, 6, 20), DueState.NEAR)


# Standing still ----------------------------------------------------------------------------------


def test_what_fell_due_in_the_lay_up_is_due_on_the_day_of_return(
    unit: Unit, car: Car, plan
) -> None:
    OilService.objects.create(unit=unit, date=date(2023, 12, 1), kind=ServiceKind.CHANGE)
    lay_up = LayUp.objects.create(car=car, from_date=date(2024, 11, 2))
    with time_machine.travel("2025-02-01 12:00:00+00:00"):
        assert plan(unit)[WorkKind.OIL_CHANGE].state == DueState.RESTING
    lay_up.until_date = date(2025, 4, 6)
    lay_up.save()
    with time_machine.travel("2025-04-06 12:00:00+00:00"):
        item = plan(unit)[WorkKind.OIL_CHANGE]
        assert (item.due_date, item.state) == (date(2025, 4, 6), DueState.DUE)
        assert "moved_by_standing" in {reason["code"] for reason in item.reasons}


def test_unit_in_no_car_rests_but_for_the_first_look(
    today: date, owner: Person, unit: Unit, plan
) -> None:
    loose = make_unit(owner, unit.design, serial="on the shelf")
    items = plan(loose)
    assert WorkKind.LAY_UP_OIL not in items
    awake = {work for work, item in items.items() if item.state != DueState.RESTING}
    assert awake == {WorkKind.FIRST_LOOK}
    assert "rests_in_no_car" in {r["code"] for r in items[WorkKind.OIL_CHANGE].reasons}


# Distance that isn't known ------------------------------------------------------------------------


def test_without_a_reading_distance_rests_and_the_calendar_goes_on(
    today: date, unit: Unit, car: Car, plan
) -> None:
    unit.fittings.update(from_reading=None)
    done(unit, WorkKind.PIPE_CHECK, date(2024, 1, 31))
    item = plan(unit)[WorkKind.PIPE_CHECK]
    assert (item.due_distance, item.due_date) == (None, date(2025, 1, 31))
    assert item.forecast_date == date(2025, 1, 31)
    assert "no_reading" in {reason["code"] for reason in item.reasons}


def test_over_a_replaced_odometer_of_unknown_start_distance_rests(
    today: date, unit: Unit, car: Car, odometer: Odometer, readings: list[Reading], plan
) -> None:
    done(unit, WorkKind.PIPE_CHECK, date(2023, 9, 1))
    assert plan(unit)[WorkKind.PIPE_CHECK].due_distance is not None
    new = Odometer.objects.create(car=car, unit="mile", digits=5, fitted_on=date(2024, 6, 2))
    Reading.objects.create(odometer=new, date=date(2024, 6, 3), shown=12)
    item = plan(unit)[WorkKind.PIPE_CHECK]
    assert (item.due_distance, item.due_date) == (None, date(2024, 9, 1))
    assert "distance_not_known" in {reason["code"] for reason in item.reasons}
    done(unit, WorkKind.PIPE_CHECK, date(2024, 6, 5), cycle=2)
    assert plan(unit)[WorkKind.PIPE_CHECK].due_distance is not None


def test_what_is_known_to_be_too_far_stays_so_over_a_gap(
    today: date, unit: Unit, owner: Person, odometer: Odometer, readings: list[Reading], plan
) -> None:
    """A number that goes backwards and is confirmed takes nothing back that was driven before."""
    asked = MaintenanceInstruction.objects.create(
        design=unit.design, work=WorkKind.PIPE_CHECK, distance=1500 * MILE
    )
    # three that agree: a number against them begins a new count and makes none of them wrong
    Reading.objects.create(odometer=odometer, date=date(2024, 3, 1), shown=43_100)
    done(unit, WorkKind.PIPE_CHECK, date(2023, 4, 1))
    before = plan(unit)[WorkKind.PIPE_CHECK]
    over = 600 * MILE
    assert unit_use(unit).distance() - before.due_distance == pytest.approx(over)
    assert before.state == DueState.LATE
    record_reading(
        car=odometer.car, date=today, shown=readings[-1].shown - 1400, by=owner, confirm=True
    )

    after = plan(unit)[WorkKind.PIPE_CHECK]

    assert after.state == DueState.LATE
    assert unit_use(unit).distance() - after.due_distance == pytest.approx(over)
    assert "passed_anyhow" in {reason["code"] for reason in after.reasons}
    prefs = Preferences()
    words = show_item(after, use=unit_use(unit), oil=oil_of(unit), today=today, prefs=prefs)
    assert "at least" in words.due
    assert words.gauge is not None
    assert "at least" in words.gauge.left_words
    (by_distance,) = [
        one["value"]
        for one in limit_figures(after, use=unit_use(unit), today=today, prefs=prefs)
        if one["label"] == "By distance"
    ]
    assert "odometer" not in by_distance
    # as far as it may not have come too far, distance rests
    asked.distance = 2500 * MILE
    asked.save()
    rests = plan(unit)[WorkKind.PIPE_CHECK]
    assert (rests.due_distance, rests.state != DueState.LATE) == (None, True)
    assert "distance_not_known" in {reason["code"] for reason in rests.reasons}


def test_late_entered_reading_moves_the_due_point(
    today: date, unit: Unit, odometer: Odometer, readings: list[Reading], plan
) -> None:
    done(unit, WorkKind.PIPE_CHECK, date(2023, 7, 1))
    before = plan(unit)[WorkKind.PIPE_CHECK]
    Reading.objects.create(odometer=odometer, date=date(2023, 7, 1), shown=42_900)
    after = plan(unit)[WorkKind.PIPE_CHECK]
    assert after.due_distance > before.due_distance
    assert after.anchor_distance == pytest.approx(1700 * 1609.344)


def test_due_by_the_forecast_alone_says_so(unit: Unit, readings: list[Reading], plan) -> None:
    done(unit, WorkKind.SEAL_WEEP, date(2024, 6, 1))
    MaintenanceInstruction.objects.create(
        design=unit.design, work=WorkKind.SEAL_WEEP, distance=300 * KM
    )
    day = date(2024, 6, 10)
    while day < date(2024, 10, 1):
        with time_machine.travel(f"{day} 12:00:00+00:00"):
            item = plan(unit)[WorkKind.SEAL_WEEP]
        if item.state == DueState.DUE:
            break
        day += timedelta(days=5)
    assert item.state == DueState.DUE
    assert "by_forecast" in {reason["code"] for reason in item.reasons}
    with time_machine.travel("2024-12-01 12:00:00+00:00"):
        assert plan(unit)[WorkKind.SEAL_WEEP].state == DueState.DUE  # never overdue by guess


def test_rebuild_begins_anew(
    today: date, whole_unit: Unit, fitter: Person, readings: list[Reading], plan
) -> None:
    done(whole_unit, WorkKind.END_FLOAT, date(2023, 12, 1))
    assert plan(whole_unit)[WorkKind.END_FLOAT].cycle == 2
    make_build(whole_unit, fitter, date(2024, 5, 1))
    item = plan(whole_unit)[WorkKind.END_FLOAT]
    assert (item.counted_from, item.anchor_date, item.cycle) == (
        CountedFrom.BUILD,
        date(2024, 5, 1),
        3,
    )
    assert plan(whole_unit)[WorkKind.END_FLOAT].cycle == 3


# The filter, from rows to the plan ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("filtration", "least", "most"),
    [  # km; common practice, no source
        (Filtration.NONE, 800, 1600),
        (Filtration.STRAINER, 800, 1600),
        (Filtration.BYPASS, 2000, 4000),
        (Filtration.FULL_FLOW, 3000, 5000),
    ],
)
def test_oil_change_comes_round_by_its_filter(
    today: date,
    unit: Unit,
    readings: list[Reading],
    plan,
    filtration: Filtration,
    least: int,
    most: int,
) -> None:
    make_arrangement(unit, filtration)
    OilService.objects.create(unit=unit, date=date(2024, 6, 1), kind=ServiceKind.CHANGE)
    item = plan(unit)[WorkKind.OIL_CHANGE]
    assert least * KM <= item.due_distance - item.anchor_distance <= most * KM
    assert item.forecast_date is not None
    assert today < item.forecast_date <= item.due_date


def test_the_better_the_filter_the_later_the_day(
    today: date, unit: Unit, car: Car, readings: list[Reading], plan
) -> None:
    car.expected_annual_distance = 6000 * KM  # far enough that distance comes before the calendar
    car.save()
    OilService.objects.create(unit=unit, date=date(2024, 6, 1), kind=ServiceKind.CHANGE)
    days = []
    for filtration in (None, Filtration.NONE, Filtration.BYPASS, Filtration.FULL_FLOW):
        if filtration is not None:
            OilArrangement.objects.filter(unit=unit).delete()
            make_arrangement(unit, filtration)
        days.append(plan(unit)[WorkKind.OIL_CHANGE].forecast_date)
    assert days == sorted(days)
    assert days[1] < days[2]


def test_a_halt_of_which_neither_mark_nor_figure_is_known_is_said_all_the_same() -> None:
    said = SENTENCES["mark_to_stop"]({"on": "2026-05-01"}, Preferences())
    assert "must not run" in said
