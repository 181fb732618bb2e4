"""Reckoning plans: the same again changes nothing, together, twice at once, killed on the way."""

from collections.abc import Iterator
from datetime import date
from threading import Barrier, Thread
from typing import Any

import pytest
import time_machine
from django.db import connection, transaction
from django.db.models import Model

from advisory.lubrication.actions import record_oil_service, set_oil_arrangement
from advisory.lubrication.enums import Filtration, ServiceKind
from advisory.lubrication.models import OilAdvice, OilService
from advisory.people.models import Person
from advisory.plans.actions import refresh as refreshing
from advisory.plans.actions import refresh_plan, refresh_plans, together
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.signals import plan_refreshed
from advisory.plans.tasks import refresh_all_plans
from advisory.register.enums import WorkKind
from advisory.register.models import Car, Unit
from advisory.register.signals import build_signed, car_changed, unit_changed
from advisory.usage.actions import lay_up_car, record_reading
from advisory.usage.models import Reading
from tests.cast import make_arrangement, make_build, make_car, make_unit


def rows(model: type[Model]) -> list[dict[str, Any]]:
    return list(model._base_manager.order_by("pk").values())


@pytest.fixture
def fleet(whole_unit: Unit, owner: Person, fitter: Person, readings: list[Reading]) -> list[Unit]:
    """Three units, each in its own car, with oil services and builds."""
    units = [whole_unit]
    for number in (1, 2):
        car = make_car(owner, f"Harrow {number}")
        unit = make_unit(owner, whole_unit.design, serial=f"00{number}", car=car)
        make_build(unit, fitter)
        make_arrangement(unit)
        Reading.objects.create(
            odometer=car.odometers.get(), date=date(2024, 5, 1), shown=43_000 + number
        )
        units.append(unit)
    for unit in units:
        OilService.objects.create(unit=unit, date=date(2024, 5, 1), kind=ServiceKind.CHANGE)
    return units


@pytest.fixture
def refreshed() -> Iterator[list[int]]:
    """The keys of the units whose plans were said to be new."""
    said: list[int] = []

    def listen(unit: Unit, **kwargs: object) -> None:
        said.append(unit.pk)

    plan_refreshed.connect(listen)
    yield said
    plan_refreshed.disconnect(listen)


@pytest.mark.django_db
def test_reckoned_again_the_same_rows_change_nothing(today: date, fleet: list[Unit]) -> None:
    keys = [unit.pk for unit in fleet]
    assert refresh_plans(units=keys) == 3
    before = [rows(model) for model in (PlanItem, WorkDone, OilAdvice)]
    assert refresh_plans(units=keys) == 0
    assert refresh_all_plans() == 0
    assert [rows(model) for model in (PlanItem, WorkDone, OilAdvice)] == before


@pytest.mark.django_db
def test_constant_number_of_queries_for_a_chunk(
    today: date, fleet: list[Unit], django_assert_max_num_queries
) -> None:
    counts = []
    for keys in ([fleet[0].pk], [unit.pk for unit in fleet]):
        PlanItem.everything.all().delete()
        WorkDone.objects.all().delete()
        with django_assert_max_num_queries(40) as first:
            refresh_plans(units=keys)
        with django_assert_max_num_queries(40) as again:
            refresh_plans(units=keys)
        counts.append((len(first.captured_queries), len(again.captured_queries)))
    assert counts[0] == counts[1]


@pytest.mark.django_db
def test_chunks_do_as_one(today: date, fleet: list[Unit], monkeypatch: pytest.MonkeyPatch) -> None:
    def plans() -> list[tuple[object, ...]]:
        items = PlanItem.objects.order_by("unit_id", "work")
        return list(items.values_list("unit_id", "work", "due_distance", "due_date", "state"))

    refresh_plans(units=[unit.pk for unit in fleet])
    at_once = plans()
    PlanItem.everything.all().delete()
    monkeypatch.setattr(refreshing, "CHUNK", 1)
    refresh_plans(units=[unit.pk for unit in fleet])
    assert plans() == at_once


@pytest.mark.django_db
def test_units_that_are_gone_or_named_twice_are_no_trouble(today: date, unit: Unit) -> None:
    assert refresh_plans(units=[unit.pk, unit.pk, unit.pk + 1000]) == 1
    assert refresh_plans(units=[]) == 0


@pytest.mark.django_db
def test_only_what_changed_is_said(
    today: date,
    fleet: list[Unit],
    refreshed: list[int],
    django_capture_on_commit_callbacks,
) -> None:
    keys = [unit.pk for unit in fleet]
    with django_capture_on_commit_callbacks(execute=True):
        refresh_plans(units=keys)
    assert refreshed == keys
    refreshed.clear()
    make_arrangement(fleet[1], Filtration.NONE, date(2024, 6, 1))
    with django_capture_on_commit_callbacks(execute=True):
        refresh_plans(units=keys)
    assert refreshed == [fleet[1].pk]


@pytest.mark.django_db
def test_every_day_that_passes_is_reckoned(fleet: list[Unit]) -> None:
    seen = []
    Unit.objects.update(created_at="2024-06-01T09:00:00Z")
    for day in ("2024-09-16", "2024-09-17", "2024-10-15", "2024-10-29", "2024-10-30"):
        with time_machine.travel(f"{day} 12:00:00+00:00"):
            refresh_all_plans()
        seen.append(PlanItem.objects.get(unit=fleet[1], work=WorkKind.COOLANT_STRENGTH).state)
    assert seen == [DueState.AHEAD, DueState.NEAR, DueState.DUE, DueState.DUE, DueState.LATE]


@pytest.mark.django_db
def test_killed_in_the_middle_of_a_chunk_leaves_it_as_it_was(
    today: date, fleet: list[Unit], monkeypatch: pytest.MonkeyPatch
) -> None:
    refresh_plan(unit=fleet[0])
    before = [rows(model) for model in (PlanItem, WorkDone, OilAdvice)]
    monkeypatch.setattr(refreshing, "CHUNK", 2)

    class Killed(BaseException):
        pass

    def die(*args: object) -> None:
        raise Killed

    with monkeypatch.context() as patch:
        patch.setattr(refreshing, "keep_advice", die)
        with pytest.raises(Killed), transaction.atomic():
            refresh_all_plans()
    assert [rows(model) for model in (PlanItem, WorkDone, OilAdvice)] == before
    assert refresh_all_plans() == 2
    assert set(PlanItem.objects.values_list("unit_id", flat=True)) == {u.pk for u in fleet}


@pytest.mark.django_db(transaction=True)
def test_two_at_once_do_as_one(today: date, fleet: list[Unit]) -> None:
    start, failures = Barrier(2), []

    def run() -> None:
        try:
            start.wait(timeout=20)
            for _round in range(5):
                refresh_all_plans()
        except Exception as failure:  # noqa: BLE001  # told to the test's own thread
            failures.append(failure)
        finally:
            connection.close()

    threads = [Thread(target=run) for _number in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert failures == []
    # each service closed one cycle, once
    assert WorkDone.objects.filter(work=WorkKind.OIL_CHANGE).count() == 3
    cycles = PlanItem.objects.filter(work=WorkKind.OIL_CHANGE).values_list("cycle", flat=True)
    assert list(cycles) == [2, 2, 2]
    assert OilAdvice.objects.count() == 3


# What changes below ------------------------------------------------------------------------------


@pytest.mark.django_db
def test_a_reading_moves_the_plan(
    today: date, whole_unit: Unit, car: Car, owner: Person, readings: list[Reading], committed
) -> None:
    OilService.objects.create(unit=whole_unit, date=date(2024, 6, 1), kind=ServiceKind.CHANGE)
    refresh_plan(unit=whole_unit)
    assert PlanItem.objects.get(work=WorkKind.OIL_CHANGE).state == DueState.AHEAD
    committed(lambda: record_reading(car=car, date=today, shown=47_000, by=owner, confirm=True))
    assert PlanItem.objects.get(work=WorkKind.OIL_CHANGE).state == DueState.LATE


@pytest.mark.django_db
def test_a_lay_up_lets_it_rest(
    today: date, whole_unit: Unit, car: Car, owner: Person, committed
) -> None:
    committed(lambda: lay_up_car(car=car, date=today, by=owner))
    states = dict(PlanItem.objects.values_list("work", "state"))
    assert states[WorkKind.OIL_CHANGE] == DueState.RESTING


@pytest.mark.django_db
def test_an_arrangement_moves_the_plan(
    today: date, whole_unit: Unit, owner: Person, committed
) -> None:
    refresh_plan(unit=whole_unit)
    assert PlanItem.objects.filter(work=WorkKind.FILTER_CHANGE).exists()
    committed(lambda: set_oil_arrangement(unit=whole_unit, from_date=today, by=owner))
    assert not PlanItem.objects.filter(work=WorkKind.FILTER_CHANGE).exists()


@pytest.mark.django_db
def test_an_oil_service_closes_its_cycle(
    today: date, whole_unit: Unit, owner: Person, readings: list[Reading], committed
) -> None:
    refresh_plan(unit=whole_unit)
    committed(
        lambda: record_oil_service(
            unit=whole_unit, date=today, kind=ServiceKind.CHANGE, shown=43_350, by=owner
        )
    )
    done = WorkDone.objects.get(work=WorkKind.OIL_CHANGE)
    assert (done.cycle, done.date, done.shown, done.by) == (1, today, 43_350, owner)
    item = PlanItem.objects.get(work=WorkKind.OIL_CHANGE)
    assert (item.cycle, item.anchor_date) == (2, today)


@pytest.mark.django_db
@pytest.mark.parametrize("what", ["unit", "car", "build"])
def test_the_register_moves_the_plan(
    today: date, whole_unit: Unit, car: Car, committed, what: str
) -> None:
    send = {
        "unit": lambda: unit_changed.send(Unit, unit=whole_unit),
        "car": lambda: car_changed.send(Car, car=car),
        "build": lambda: build_signed.send(None, build=whole_unit.builds.get()),
    }[what]
    committed(send)
    assert PlanItem.objects.filter(unit=whole_unit).exists()


@pytest.mark.django_db
def test_a_failing_reckoning_takes_nothing_with_it(
    today: date,
    whole_unit: Unit,
    car: Car,
    owner: Person,
    committed,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def fail(*args: object) -> None:
        raise RuntimeError("no plan today")

    monkeypatch.setattr(refreshing, "reckon_many", fail)
    committed(lambda: record_reading(car=car, date=today, shown=43_400, by=owner))
    assert Reading.objects.filter(shown=43_400).exists()
    assert "no plan today" in caplog.text


@pytest.mark.django_db
def test_several_changes_make_one_reckoning(
    today: date,
    whole_unit: Unit,
    car: Car,
    owner: Person,
    committed,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    reckoned: list[list[int]] = []
    real = refreshing.refresh_chunk

    def count(keys: list[int], after_a_change: bool) -> int:
        reckoned.append(list(keys))
        return real(keys, after_a_change)

    monkeypatch.setattr(refreshing, "refresh_chunk", count)
    with together():
        for shown in (43_400, 43_410, 43_420):
            committed(
                lambda shown=shown: record_reading(car=car, date=today, shown=shown, by=owner)
            )
        assert reckoned == []
    assert reckoned == [[whole_unit.pk]]
