"""The night over all plans: shared, killed on the way, twice at once, the same as one by one."""

from datetime import date, timedelta
from io import StringIO
from threading import Barrier, Thread
from typing import Any

import pytest
import time_machine
from django.contrib.admin.sites import site
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from advisory.config.invented_fleet import make_fleet
from advisory.lubrication.models import OilAdvice
from advisory.people.models import Person
from advisory.plans.actions import night, open_run, refresh_plan, refresh_whose_day_came, work_on
from advisory.plans.actions import refresh as refreshing
from advisory.plans.models import PlanItem, PlanRun, PlanRunPart, WorkDone
from advisory.plans.progress import progress_of
from advisory.plans.reckoning import RECKONED
from advisory.plans.tasks import help_refresh_plans, refresh_all_plans, refresh_plans_by_the_hour
from advisory.register.models import Unit
from advisory.usage.actions import learn_from_all_cars

TODAY = date(2026, 3, 2)
SAID = ("unit_id", "work", *RECKONED, "changes_on")
DONE = ("unit_id", "work", "cycle", "date", "distance", "was_due_on", "was_due_distance", "in_time")


@pytest.fixture
def fleet(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Some cars of every kind, and parts small enough to have several."""
    monkeypatch.setattr(night, "UNITS_A_PART", 12)
    with time_machine.travel(f"{TODAY} 02:10:00+00:00", tick=False):
        make_fleet(45, seed=11, today=TODAY)
        yield


def plans() -> list[tuple[Any, ...]]:
    """All that is said of all units, in one order whatever the keys."""
    items = PlanItem.everything.order_by("unit_id", "work").values_list(*SAID)
    done = WorkDone.objects.order_by("unit_id", "work", "cycle").values_list(*DONE)
    advice = OilAdvice.objects.order_by("unit_id").values_list("unit_id", "inputs", "result")
    return [*items, *done, *advice]


def forget() -> None:
    for rows in (PlanItem.everything, WorkDone.objects, OilAdvice.objects, PlanRun.objects):
        rows.all().delete()


def test_all_together_come_out_as_one_by_one(fleet: None) -> None:
    learn_from_all_cars()
    for unit in Unit.objects.all():
        refresh_plan(unit=unit)
    one_by_one = plans()
    forget()
    assert refresh_all_plans() == Unit.objects.count()
    together = plans()
    assert len(together) == len(one_by_one) > 150
    for all_at_once, alone in zip(together, one_by_one, strict=True):
        assert all_at_once == alone
    # and reckoned again from the same rows, either way, nothing moves
    assert refresh_all_plans() == 0
    assert refreshing.refresh_plans(units=Unit.objects.values_list("pk", flat=True)) == 0
    assert plans() == together


def test_killed_in_the_middle_it_goes_on_where_it_was(
    fleet: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    refresh_all_plans()
    whole = plans()
    forget()
    reckoned: list[int] = []
    real = night.refresh_chunk

    class Killed(BaseException):
        pass

    def die_in_the_third(keys: list[int]) -> int:
        moved = real(keys)
        reckoned.append(keys[0])
        if len(reckoned) == 3:
            raise Killed
        return moved

    with monkeypatch.context() as patch:
        patch.setattr(night, "refresh_chunk", die_in_the_third)
        with pytest.raises(Killed):
            refresh_all_plans()
    run = PlanRun.objects.get()
    assert run.under_way
    assert progress_of(run).done == 2  # the third is taken back whole
    help_refresh_plans()
    run.refresh_from_db()
    assert (run.under_way, run.ended_at) == (False, timezone.now())
    assert PlanRun.objects.count() == 1
    assert plans() == whole


@pytest.mark.django_db(transaction=True)
def test_two_at_once_share_it(fleet: None) -> None:
    refresh_all_plans()
    alone = plans()
    forget()
    start, failures = Barrier(2), []

    def run() -> None:
        try:
            start.wait(timeout=20)
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
    assert not PlanRun.objects.filter(under_way=True).exists()
    assert not PlanRunPart.objects.filter(done_at=None).exists()
    assert plans() == alone


def test_a_unit_that_cannot_be_reckoned_keeps_no_other_from_its_plan(
    fleet: None, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    bad = Unit.objects.order_by("pk")[7].pk
    real = night.refresh_chunk

    def refuse(keys: list[int]) -> int:
        if bad in keys:
            raise ValueError("out of all range")
        return real(keys)

    monkeypatch.setattr(night, "refresh_chunk", refuse)
    out = StringIO()
    with pytest.raises(CommandError, match="1 unit could not"):
        call_command("recompute", "--workers", "1", stdout=out)
    assert f"The plan of unit {bad} can't be reckoned" in caplog.text
    reckoned = PlanItem.objects.values("unit_id").distinct().count()
    assert reckoned == Unit.objects.count() - 1


def test_a_run_of_another_day_is_begun_anew(fleet: None) -> None:
    left = open_run()
    assert open_run() == left
    assert open_run(anew=True) != left
    standing = PlanRun.objects.get(under_way=True)
    with time_machine.travel(f"{TODAY + timedelta(days=1)} 02:10:00+00:00", tick=False):
        assert open_run() != standing
    assert PlanRun.objects.filter(under_way=True).count() == 1
    assert work_on(left) == 0  # what it would have done, the run begun instead of it does


@pytest.mark.one_database
def test_nothing_changes_by_itself_before_its_day(fleet: None) -> None:
    """Only what `changes_on` named before may read differently when days have passed."""
    refresh_all_plans()
    before = said()
    for passed in (1, 3, 16, 30, 31, 61, 130, 222, 240, 300):
        day = TODAY + timedelta(days=passed)
        with time_machine.travel(f"{day} 02:10:00+00:00", tick=False):
            refresh_all_plans()
        now = said()
        for item, (words, _changes_on) in now.items():
            was, named = before[item]
            assert words == was or (named is not None and named <= day), item
        before = now


def said() -> dict[tuple[int, str], tuple[list[Any], date | None]]:
    rows = PlanItem.everything.values_list(*SAID)
    return {(row[0], row[1]): (list(row[2:-1]), row[-1]) for row in rows}


def test_by_the_hour_those_whose_midnight_came(fleet: None) -> None:
    refresh_all_plans()
    PlanItem.everything.update(changes_on=TODAY + timedelta(days=1))
    units = Unit.objects.select_related("owner")
    zones = {unit.pk: unit.owner.zone for unit in units if unit.owner is not None}
    touched = PlanItem.everything.exclude(changes_on=TODAY + timedelta(days=1))
    with time_machine.travel(f"{TODAY} 12:05:00+00:00", tick=False):
        refresh_plans_by_the_hour()
        moved = {zones[key] for key in touched.values_list("unit_id", flat=True)}
    assert moved == {"Pacific/Auckland"}
    with time_machine.travel(f"{TODAY + timedelta(days=1)} 07:05:00+00:00", tick=False):
        refresh_whose_day_came()
    assert not PlanItem.objects.filter(changes_on=TODAY + timedelta(days=1)).exists()


def test_recompute_shows_how_far_it_is(fleet: None) -> None:
    out = StringIO()
    call_command("recompute", "--workers", "1", stdout=out)
    shown = out.getvalue()
    assert "[....." in shown
    assert "100 %, 4 of 4 parts" in shown
    assert "plans had changed." in shown
    with pytest.raises(CommandError, match="one to"):
        call_command("recompute", "--workers", "0")


def test_the_admin_shows_how_far_it_is(fleet: None, client: Client, stranger: Person) -> None:
    run = open_run()
    night.do_part(run)
    address = reverse("admin:plans_planrun_changelist")
    client.force_login(stranger)
    assert client.get(address).status_code == 302
    boss = Person.objects.create_superuser("boss@fleet.example", None)
    client.force_login(boss)
    page = client.get(address)
    assert page["Refresh"] == "5"
    assert '<progress max="4" value="1">' in page.content.decode()
    work_on(run)
    done = client.get(address)
    assert "Refresh" not in done
    assert "100 % (4 of 4 parts)" in done.content.decode()
    assert not site.get_model_admin(PlanRun).has_delete_permission(page.wsgi_request)
