"""A round that leaves nothing out is the plan's work done: once, on its day and odometer."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from advisory.findings.actions.inspecting import (
    answer_step,
    finish_inspection,
    start_inspection,
)
from advisory.findings.enums import Judgement
from advisory.findings.models import Finding, Inspection
from advisory.people.models import Person
from advisory.plans.actions import mark_done, refresh_plan, take_back
from advisory.plans.models import PlanItem, WorkDone
from advisory.register.enums import WorkKind
from advisory.register.models import Unit

pytestmark = pytest.mark.django_db

DAY = date(2024, 5, 1)
MM = 1e-3


@pytest.fixture
def planned(whole_unit: Unit) -> Unit:
    refresh_plan(unit=whole_unit)
    return whole_unit


def begun(unit: Unit, owner: Person, scope: str) -> Inspection:
    return start_inspection(unit=unit, by=owner, scope=scope, started_on=DAY)


def at(inspection: Inspection, name: str):
    return inspection.steps.get(position__name=name)


def summary_of(client: Client, inspection: Inspection) -> str:
    return client.get(reverse("findings:inspection_summary", args=[inspection.pk])).text


def test_a_finished_round_is_the_work_done_once(planned, owner) -> None:
    row = begun(planned, owner, "pipe_check")
    answer_step(step=at(row, "Oil feed pipe"), by=owner, outcome="good")

    for _twice in range(2):
        finish_inspection(inspection=row, by=owner, shown=41_900)

    done = WorkDone.objects.get()
    assert (done.work, done.date, done.shown, done.by) == ("pipe_check", DAY, 41_900, owner)
    item = PlanItem.objects.get(unit=planned, work="pipe_check")
    assert (item.anchor_date, item.cycle) == (DAY, 2)


def test_stop_and_ask_counts_as_looked_at_and_stays_a_finding(planned, owner) -> None:
    row = begun(planned, owner, "end_float")
    answer_step(step=at(row, "Floating thrust washer"), by=owner, value=0.3 * MM, as_typed="0.3 mm")

    finish_inspection(inspection=row, by=owner)

    assert WorkDone.objects.get().work == WorkKind.END_FLOAT
    assert Finding.objects.get().judgement == Judgement.STOP


@pytest.mark.parametrize("outcome", ["skipped", "good"])
def test_what_was_left_out_or_not_measured_stays_open_and_is_named(
    as_owner, planned, owner, outcome
) -> None:
    row = begun(planned, owner, "apart")
    PlanItem.objects.filter(unit=planned, work="end_float").update(state="due")
    answer_step(step=at(row, "Floating thrust washer"), by=owner, outcome=outcome)
    assert "stays open on the plan" in summary_of(as_owner, row)
    answer_step(step=at(row, "Oil feed pipe"), by=owner, outcome="good")

    finish_inspection(inspection=row, by=owner)

    assert not WorkDone.objects.filter(work="end_float").exists()
    assert reverse("plans:done", args=[planned.pk, "end_float"]) in summary_of(as_owner, row)


def test_work_that_is_not_due_is_not_moved_by_a_round_that_passes_its_place(planned, owner) -> None:
    PlanItem.objects.filter(unit=planned).update(state="ahead")
    row = begun(planned, owner, "outside")
    for step in row.steps.exclude(kind="prepare"):
        answer_step(step=step, by=owner, outcome="good")
    finish_inspection(inspection=row, by=owner)
    assert not WorkDone.objects.exists()


def test_a_look_into_the_tray_is_no_oil_change(planned, owner) -> None:
    row = begun(planned, owner, "oil_change")
    answer_step(step=row.steps.get(kind="strainer"), by=owner, outcome="good")
    finish_inspection(inspection=row, by=owner)
    assert not WorkDone.objects.exists()


def test_taken_back_it_stays_open_though_the_finish_is_sent_again(planned, owner) -> None:
    row = begun(planned, owner, "seal_weep")
    answer_step(step=at(row, "Drive-end seal"), by=owner, outcome="good")
    finish_inspection(inspection=row, by=owner)
    take_back(done=WorkDone.objects.get(), by=owner)

    finish_inspection(inspection=row, by=owner)

    assert not WorkDone.objects.exists()


def test_what_was_written_down_since_by_hand_is_not_done_twice(planned, owner, as_owner) -> None:
    row = begun(planned, owner, "pipe_check")
    answer_step(step=at(row, "Oil feed pipe"), by=owner, outcome="good")
    mark_done(unit=planned, work="pipe_check", date=date(2024, 5, 3), by=owner)

    finish_inspection(inspection=row, by=owner)

    assert WorkDone.objects.get().date == date(2024, 5, 3)
    assert "written down as done on 3 May 2024" in summary_of(as_owner, row)


def test_what_the_plan_does_not_ask_for_is_left_alone(planned, owner) -> None:
    PlanItem.everything.filter(unit=planned).delete()
    row = begun(planned, owner, "clearances")
    for name in ("Front bearing", "Rear bearing"):
        answer_step(step=at(row, name), by=owner, value=0.05 * MM, as_typed="50 µm")
    assert finish_inspection(inspection=row, by=owner).finished_at is not None
    assert not WorkDone.objects.exists()


def test_a_stranger_finishes_nothing(planned, owner, stranger) -> None:
    row = begun(planned, owner, "pipe_check")
    answer_step(step=at(row, "Oil feed pipe"), by=owner, outcome="good")
    client = Client()
    client.force_login(stranger)
    assert client.post(f"/api/v1/inspections/{row.pk}/finish/").status_code == 404
    assert not WorkDone.objects.exists()
