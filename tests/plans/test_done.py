"""Work done in one tap, and taken back."""

from datetime import date, timedelta

import pytest
import time_machine
from django.utils import timezone

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.common.models import AuditEntry
from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.models import Lubricant, OilService
from advisory.people.models import Consent, Person
from advisory.plans.actions import mark_done, refresh_plan, take_back
from advisory.plans.enums import CountedFrom, DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.register.enums import BuildState, WorkKind
from advisory.register.models import Build, Unit
from advisory.usage.actions import record_reading
from advisory.usage.enums import ReadingSource
from advisory.usage.models import LayUp, Reading
from advisory.usage.queries import unit_use
from tests.cast import make_unit

pytestmark = pytest.mark.django_db
MILE = 1609.344


def item(unit: Unit, work: WorkKind) -> PlanItem:
    return PlanItem.objects.get(unit=unit, work=work)


def test_oil_change_brings_service_reading_and_another_cycle(
    today: date, whole_unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    refresh_plan(unit=whole_unit)
    before = item(whole_unit, WorkKind.OIL_CHANGE)
    oil = Lubricant.objects.get(code="sae-40")
    done = mark_done(
        unit=whole_unit,
        work=WorkKind.OIL_CHANGE,
        date=today,
        shown=43_350,
        lubricant=oil,
        volume=1.2e-3,
        note=" a little grey ",
        cycle=before.cycle,
        by=owner,
    )
    assert (done.cycle, done.note, done.by) == (1, "a little grey", owner)
    assert done.distance == pytest.approx(2150 * MILE)
    assert done.service == OilService.objects.get(
        unit=whole_unit, kind=ServiceKind.CHANGE, date=today, lubricant=oil, volume=1.2e-3
    )
    assert Reading.objects.get(shown=43_350).source == ReadingSource.WORK
    after = item(whole_unit, WorkKind.OIL_CHANGE)
    assert (after.cycle, after.anchor_date, after.counted_from) == (2, today, CountedFrom.DONE)
    assert after.anchor_distance == pytest.approx(2150 * MILE)
    assert AuditEntry.objects.get(action="mark_done").data["cycle"] == 1


def test_a_second_tap_changes_nothing(
    today: date, whole_unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    said = {
        "unit": whole_unit,
        "work": WorkKind.OIL_CHANGE,
        "date": today,
        "shown": 43_350,
        "cycle": 1,
        "by": owner,
    }
    first = mark_done(**said)
    later = {**said, "date": today - timedelta(days=1), "shown": None}
    assert mark_done(**said) == first
    assert mark_done(**later) == first
    assert WorkDone.objects.filter(work=WorkKind.OIL_CHANGE).count() == 1
    assert OilService.objects.count() == 1
    assert item(whole_unit, WorkKind.OIL_CHANGE).cycle == 2


def test_same_work_on_the_same_day_is_the_same_without_a_cycle(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    said = {"unit": whole_unit, "work": WorkKind.SEAL_WEEP, "date": today, "by": owner}
    assert mark_done(**said) == mark_done(**said)
    assert item(whole_unit, WorkKind.SEAL_WEEP).cycle == 2


def test_next_cycle_counts_from_the_day_it_was_truly_done(
    today: date, whole_unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    mark_done(unit=whole_unit, work=WorkKind.PIPE_CHECK, date=date(2024, 1, 31), by=owner)
    assert item(whole_unit, WorkKind.PIPE_CHECK).due_date == date(2025, 1, 31)


@pytest.mark.parametrize(
    ("day", "in_time"),
    [(date(2024, 3, 1), True), (date(2024, 3, 15), True), (date(2024, 3, 16), False)],
)
def test_in_time_is_held_against_what_the_plan_had_said(
    today: date, whole_unit: Unit, owner: Person, day: date, in_time: bool
) -> None:
    # built on 1 March 2023: the pipe is due on 1 March 2024, with a grace of 14 days
    refresh_plan(unit=whole_unit)
    done = mark_done(unit=whole_unit, work=WorkKind.PIPE_CHECK, date=day, by=owner)
    assert (done.was_due_on, done.in_time) == (date(2024, 3, 1), in_time)


def test_too_far_is_not_in_time(
    today: date, whole_unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    refresh_plan(unit=whole_unit)
    done = mark_done(unit=whole_unit, work=WorkKind.PIPE_CHECK, date=date(2023, 10, 20), by=owner)
    assert done.was_due_distance == pytest.approx(500e3)
    assert done.distance == pytest.approx(1800 * MILE)
    assert done.in_time is False


def test_what_lies_before_the_register_is_neither_in_time_nor_late(
    today: date, unit: Unit, owner: Person
) -> None:
    done = mark_done(unit=unit, work=WorkKind.OIL_CHANGE, date=date(2023, 8, 1), by=owner)
    assert (done.was_due_on, done.in_time) == (None, None)
    assert item(unit, WorkKind.OIL_CHANGE).anchor_date == date(2023, 8, 1)


def test_history_told_in_order_closes_a_cycle_each(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    days = (date(2023, 5, 1), date(2023, 9, 1), date(2024, 4, 1))
    for day in days:
        mark_done(unit=whole_unit, work=WorkKind.OIL_CHANGE, date=day, by=owner)
    done = WorkDone.objects.filter(work=WorkKind.OIL_CHANGE).order_by("cycle")
    assert list(done.values_list("cycle", "date")) == list(enumerate(days, start=1))
    assert item(whole_unit, WorkKind.OIL_CHANGE).cycle == 4


def test_older_work_told_late_leaves_the_cycle_that_runs(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    mark_done(unit=whole_unit, work=WorkKind.END_FLOAT, date=date(2024, 5, 1), by=owner)
    mark_done(unit=whole_unit, work=WorkKind.END_FLOAT, date=date(2023, 7, 1), by=owner)
    assert item(whole_unit, WorkKind.END_FLOAT).anchor_date == date(2024, 5, 1)


def test_oil_before_lay_up_is_an_oil_change_as_well(
    today: date, whole_unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    done = mark_done(unit=whole_unit, work=WorkKind.LAY_UP_OIL, date=today, shown=43_350, by=owner)
    other = WorkDone.objects.get(work=WorkKind.OIL_CHANGE)
    assert other.service == done.service
    assert OilService.objects.count() == 1
    assert item(whole_unit, WorkKind.OIL_CHANGE).anchor_date == today


def test_oil_change_in_autumn_serves_the_lay_up(whole_unit: Unit, owner: Person) -> None:
    with time_machine.travel("2024-10-01 12:00:00+00:00"):
        refresh_plan(unit=whole_unit)
        assert item(whole_unit, WorkKind.LAY_UP_OIL).state == DueState.NEAR
        mark_done(unit=whole_unit, work=WorkKind.OIL_CHANGE, date=date(2024, 10, 1), by=owner)
        assert item(whole_unit, WorkKind.LAY_UP_OIL).due_date == date(2025, 10, 25)
    assert not WorkDone.objects.filter(work=WorkKind.LAY_UP_OIL).exists()


def test_filter_change_is_written_as_such(today: date, whole_unit: Unit, owner: Person) -> None:
    done = mark_done(unit=whole_unit, work=WorkKind.FILTER_CHANGE, date=today, by=owner)
    assert done.service is not None
    assert done.service.kind == ServiceKind.FILTER_CHANGE
    assert not WorkDone.objects.filter(work=WorkKind.OIL_CHANGE).exists()


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"work": "polish"}, "work"),
        ({"work": WorkKind.FIRST_LOOK}, "work"),  # it has a build record
        ({"date": date(2024, 6, 11)}, "date"),
        ({"volume": -1.0}, "volume"),
        ({"shown": -5}, "shown"),
    ],
)
def test_nonsense_is_refused_at_its_field(
    today: date, whole_unit: Unit, owner: Person, said: dict[str, object], field: str
) -> None:
    usual = {"unit": whole_unit, "work": WorkKind.OIL_CHANGE, "date": today, "by": owner}
    with pytest.raises(Refused) as refused:
        mark_done(**{**usual, **said})
    assert refused.value.field == field
    assert not WorkDone.objects.exists()
    assert not OilService.objects.exists()


@pytest.mark.parametrize(
    "work", [WorkKind.COOLANT_STRENGTH, WorkKind.SEAL_WEEP, WorkKind.OIL_CHANGE]
)
def test_work_from_before_the_unit_was_built_is_refused(
    today: date, whole_unit: Unit, owner: Person, work: WorkKind
) -> None:
    said = {"unit": whole_unit, "work": work, "by": owner}
    for day in (date(2001, 1, 5), date(2023, 2, 28)):
        with pytest.raises(Refused, match="It was built on 1 March 2023") as refused:
            mark_done(date=day, **said)
        assert (refused.value.field, refused.value.code) == ("date", "before_build")
    assert not WorkDone.objects.exists()
    assert not OilService.objects.exists()
    assert mark_done(date=date(2023, 3, 1), **said).pk


def test_sheet_that_is_put_right_moves_the_day_it_was_built(
    today: date, whole_unit: Unit, owner: Person, fitter: Person
) -> None:
    wrong = whole_unit.builds.get()
    said = {"unit": whole_unit, "work": WorkKind.SEAL_WEEP, "date": date(2023, 2, 20), "by": owner}
    with pytest.raises(Refused):
        mark_done(**said)
    Build.objects.create(
        unit=whole_unit,
        workshop=wrong.workshop,
        built_on=date(2023, 2, 1),
        corrects=wrong,
        revision=2,
        state=BuildState.SIGNED,
        signed_by=fitter,
        signed_at=timezone.now(),
    )
    assert mark_done(**said).pk


def test_mistyped_reading_is_asked_about_and_nothing_is_written(
    today: date, whole_unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    said = {"unit": whole_unit, "work": WorkKind.SEAL_WEEP, "date": today, "by": owner}
    with pytest.raises(Question):
        mark_done(shown=63_350, **said)
    assert not WorkDone.objects.exists()
    assert mark_done(shown=63_350, confirm=True, **said).shown == 63_350


def test_odometer_past_its_last_number(
    today: date, whole_unit: Unit, owner: Person, readings: list[Reading], odometer
) -> None:
    Reading.objects.create(odometer=odometer, date=date(2024, 6, 5), shown=99_950, confirmed=True)
    done = mark_done(
        unit=whole_unit, work=WorkKind.SEAL_WEEP, date=today, shown=12, by=owner, went_round=True
    )
    assert done.shown == 12


def test_only_the_owner_writes_it_down(
    today: date,
    whole_unit: Unit,
    fitter: Person,
    other_fitter: Person,
    officer: Person,
    stranger: Person,
    consent: Consent,
) -> None:
    for person in (fitter, other_fitter, officer, stranger):
        with pytest.raises(NotAllowed):
            mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=today, by=person)


def test_taken_back_the_cycle_is_open_again(
    today: date, whole_unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    refresh_plan(unit=whole_unit)
    work = WorkKind.OIL_CHANGE
    keys = ("cycle", "anchor_date", "due_date", "due_distance", "state", "counted_from")
    before = {key: getattr(item(whole_unit, work), key) for key in keys}
    done = mark_done(unit=whole_unit, work=work, date=today, shown=43_350, by=owner)
    take_back(done=done, by=owner)
    assert {key: getattr(item(whole_unit, work), key) for key in keys} == before
    assert not OilService.objects.exists()
    assert not WorkDone.objects.exists()
    assert Reading.objects.filter(shown=43_350).exists()  # the odometer did show that
    assert AuditEntry.objects.filter(action="take_back").exists()


def test_taken_back_with_all_that_came_with_it(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    done = mark_done(unit=whole_unit, work=WorkKind.LAY_UP_OIL, date=today, by=owner)
    assert item(whole_unit, WorkKind.OIL_CHANGE).cycle == 2
    take_back(done=done, by=owner)
    assert not WorkDone.objects.exists()
    assert item(whole_unit, WorkKind.OIL_CHANGE).cycle == 1


def test_taken_back_within_a_day_and_not_after(
    whole_unit: Unit, owner: Person, fitter: Person
) -> None:
    with time_machine.travel("2024-06-10 09:00:00+00:00", tick=False):
        done = mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=date(2024, 6, 10), by=owner)
        with pytest.raises(NotAllowed):
            take_back(done=done, by=fitter)
    with time_machine.travel("2024-06-11 09:00:01+00:00", tick=False):
        with pytest.raises(Refused) as refused:
            take_back(done=done, by=owner)
        assert refused.value.code == "too_old"
    with time_machine.travel("2024-06-11 09:00:00+00:00", tick=False):
        take_back(done=done, by=owner)


def test_what_was_done_again_stands(today: date, whole_unit: Unit, owner: Person) -> None:
    first = mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=date(2024, 6, 8), by=owner)
    mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=today, by=owner)
    with pytest.raises(Refused) as refused:
        take_back(done=first, by=owner)
    assert refused.value.code == "done_again"


def test_unit_in_no_car_takes_work_without_a_reading(
    today: date, unit: Unit, owner: Person
) -> None:
    loose = make_unit(owner, unit.design, serial="on the shelf")
    done = mark_done(unit=loose, work=WorkKind.FIRST_LOOK, date=today, by=owner)
    assert (done.distance, done.shown) == (None, None)


def test_work_done_while_laid_up_counts(whole_unit: Unit, car, owner: Person) -> None:
    LayUp.objects.create(car=car, from_date=date(2024, 11, 1))
    with time_machine.travel("2024-12-01 12:00:00+00:00"):
        mark_done(unit=whole_unit, work=WorkKind.END_FLOAT, date=date(2024, 12, 1), by=owner)
        kept = item(whole_unit, WorkKind.END_FLOAT)
        assert (kept.state, kept.anchor_date) == (DueState.RESTING, date(2024, 12, 1))


def test_done_long_after_the_last_reading_counts_from_where_it_is_thought_to_be(
    today: date, whole_unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    """Else a look every so many miles is due again before it was done."""
    refresh_plan(unit=whole_unit)
    read_last = max(reading.date for reading in readings)
    with time_machine.travel(read_last + timedelta(days=500), tick=False):
        then = read_last + timedelta(days=500)
        by_then = unit_use(whole_unit).expected_distance(then)
        read = unit_use(whole_unit).distance()
        assert by_then is not None
        assert read is not None
        mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=then, by=owner)
        guessed = item(whole_unit, WorkKind.SEAL_WEEP)
        assert guessed.anchor_distance == pytest.approx(by_then, abs=5_001)
        assert guessed.forecast_date is not None
        assert guessed.forecast_date > then

        # once it is read it is known
        shown = max(reading.shown for reading in readings) + 400
        record_reading(car=readings[0].odometer.car, date=then, shown=shown, by=owner)
        refresh_plan(unit=whole_unit)
        known = item(whole_unit, WorkKind.SEAL_WEEP)
        assert known.anchor_distance == pytest.approx(read + 400 * MILE)
