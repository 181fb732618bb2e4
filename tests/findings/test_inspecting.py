"""A guided inspection: its steps, its answers, and what it leaves behind, each thing once."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.findings.actions.inspecting import (
    answer_step,
    drop_inspection,
    finish_inspection,
    start_inspection,
)
from advisory.findings.enums import Judgement, StepKind, StepOutcome
from advisory.findings.models import Finding, Inspection, Measuring
from advisory.people.models import Person
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.register.models import Unit
from advisory.register.signals import unit_passed_on
from advisory.usage.models import Reading

pytestmark = pytest.mark.django_db

MM = 1e-3


@pytest.fixture
def inspection(whole_unit: Unit, owner: Person) -> Inspection:
    whole_unit.design.dismantling.create(order=1, text="Take off the rear cover", caution="Heavy.")
    return start_inspection(unit=whole_unit, by=owner, scope="apart", started_on=date(2024, 5, 1))


def at(inspection: Inspection, name: str):
    return inspection.steps.get(position__name=name)


def titles(inspection: Inspection) -> list[str]:
    return [str(step.position or step.text or step.kind) for step in inspection.steps.all()]


def test_apart_the_workshops_order_comes_before_the_places(inspection) -> None:
    assert titles(inspection) == [
        "prepare", "strainer", "Take off the rear cover", "Front bearing", "Rear bearing",
        "Floating thrust washer", "Drive-end seal", "Oil feed pipe", "Water jacket",
    ]  # fmt: skip
    assert inspection.steps.get(kind=StepKind.TAKE_APART).caution == "Heavy."


def test_a_round_for_what_is_due_has_those_places_and_marks_them(whole_unit, owner) -> None:
    with pytest.raises(Refused, match="nothing to look at"):
        start_inspection(unit=whole_unit, by=owner, scope="due")
    PlanItem.objects.update_or_create(
        unit=whole_unit,
        work="end_float",
        defaults={"anchor_date": date(2024, 1, 1), "state": DueState.LATE},
    )

    due = start_inspection(unit=whole_unit, by=owner, scope="due")
    outside = start_inspection(unit=whole_unit, by=owner, scope="outside")

    assert titles(due) == ["prepare", "Floating thrust washer"]
    assert at(due, "Floating thrust washer").due
    assert at(outside, "Floating thrust washer").due
    assert not at(outside, "Oil feed pipe").due
    assert "Front bearing" not in titles(outside)


def test_the_same_form_begins_one_round(whole_unit, owner) -> None:
    rounds = [
        start_inspection(unit=whole_unit, by=owner, scope="outside", client_key="k")
        for _ in range(2)
    ]
    assert rounds[0] == rounds[1]


@pytest.mark.parametrize(
    ("millimetres", "off", "judgement"),
    [
        (0.13, None, Judgement.GOOD),
        (0.18, None, Judgement.WATCH),
        (0.21, None, Judgement.ASK),
        (0.25, None, Judgement.STOP),
        (0.18, 0.08, Judgement.ASK),  # below the limit by less than it may be off
    ],
)
def test_a_size_is_judged_at_once(inspection, owner, millimetres, off, judgement) -> None:
    step = answer_step(
        step=at(inspection, "Floating thrust washer"), by=owner, value=millimetres * MM,
        as_typed=f"{millimetres} mm", uncertainty=off and off * MM,
    )  # fmt: skip
    assert (step.outcome, step.judgement) == (StepOutcome.MEASURED, judgement)


def test_an_answer_may_be_changed_and_one_sent_twice_counts_once(inspection, owner) -> None:
    step = at(inspection, "Oil feed pipe")
    answer_step(step=step, by=owner, mark="pipe_crushed", client_key="a")
    answer_step(step=step, by=owner, outcome="good", client_key="b")
    assert step.outcome == StepOutcome.GOOD

    answer_step(step=step, by=owner, mark="pipe_crushed", client_key="b")
    step.refresh_from_db()

    assert (step.outcome, step.mark) == (StepOutcome.GOOD, "")


def test_what_does_not_belong_to_a_step_is_refused(inspection, owner) -> None:
    pipe, jacket = at(inspection, "Oil feed pipe"), at(inspection, "Water jacket")
    for step, given, field in (
        (pipe, {"mark": "cover_bowed"}, "mark"),
        (pipe, {"value": MM}, "value"),
        (pipe, {"freezes_at": 260.0}, "freezes_at"),
        (pipe, {}, "outcome"),
        (jacket, {"coldest": 260.0}, "freezes_at"),
        (jacket, {"freezes_at": 20.0}, "freezes_at"),
    ):
        with pytest.raises(Refused) as refused:
            answer_step(step=step, by=owner, **given)
        assert refused.value.field == field
    with pytest.raises(Question):
        answer_step(step=at(inspection, "Front bearing"), by=owner, value=5 * MM)


def test_finished_sizes_are_a_measuring_and_marks_are_findings_each_once(
    inspection, owner, whole_unit
) -> None:
    answer_step(step=at(inspection, "Front bearing"), by=owner, value=0.05 * MM, as_typed="50 µm")
    answer_step(step=at(inspection, "Floating thrust washer"), by=owner, value=0.3 * MM,
                as_typed="0.3 mm")  # fmt: skip
    answer_step(step=at(inspection, "Rear bearing"), by=owner, value=0.06 * MM, as_typed="0.06 mm",
                mark="wiped_metal", words="Shiny at one edge.")  # fmt: skip
    answer_step(step=at(inspection, "Oil feed pipe"), by=owner, outcome="good")
    answer_step(step=inspection.steps.get(kind=StepKind.STRAINER), by=owner, mark="flakes_white")

    for _twice in range(2):
        done = finish_inspection(inspection=inspection, by=owner, shown=41_900)

    assert done.finished_at is not None
    assert done.measuring is not None
    assert done.measuring.values.count() == 2
    assert Measuring.objects.count() == 1
    assert Reading.objects.filter(shown=41_900).count() == 1
    found = {(row.mark, row.as_typed): row for row in Finding.objects.all()}
    assert set(found) == {("", "0.3 mm"), ("wiped_metal", "0.06 mm"), ("flakes_white", "")}
    assert found["wiped_metal", "0.06 mm"].text == "Shiny at one edge."
    assert all(row.judgement == Judgement.STOP for row in found.values())
    assert at(inspection, "Floating thrust washer").finding == found["", "0.3 mm"]
    with pytest.raises(Refused, match="finished"):
        answer_step(step=at(inspection, "Oil feed pipe"), by=owner, outcome="skipped")
    with pytest.raises(Refused):
        drop_inspection(inspection=inspection, by=owner)


def test_nothing_is_half_finished(inspection, owner) -> None:
    with pytest.raises(Refused, match="Nothing was looked at"):
        finish_inspection(inspection=inspection, by=owner)
    answer_step(step=at(inspection, "Oil feed pipe"), by=owner, mark="pipe_crushed")
    with pytest.raises(Question):
        finish_inspection(inspection=inspection, by=owner, shown=12)  # backwards
    inspection.refresh_from_db()
    assert inspection.finished_at is None
    assert not Finding.objects.exists()


def test_the_pages_work_without_a_script(as_owner, whole_unit) -> None:
    begun = as_owner.post(
        reverse("findings:inspect", args=[whole_unit.pk]),
        {"scope": "outside", "date": "2024-05-01", "client_key": "k"},
    )
    row = Inspection.objects.get()
    assert begun.url == reverse("findings:inspection", args=[row.pk])
    page = as_owner.get(begun.url).text
    for words in ("Dial gauge on a stand", "Never open a hot radiator", "Limit: stop", "Step 3 of"):
        assert words in page
    step = at(row, "Floating thrust washer")
    url = reverse("findings:inspection_step", args=[row.pk, step.order])

    bad = as_owner.post(url, {"value": "a lot", "value_unit": "thou", "words": "hm"})
    assert bad.status_code == 422
    assert "a lot" in bad.text
    past = as_owner.post(url, {"value": "17", "value_unit": "thou", "outcome": "measured"})
    assert past.url == f"{begun.url}#step-{step.order}"
    assert "is at or past the limit" in as_owner.get(begun.url).text
    good = as_owner.post(url, {"value": "5 thou", "outcome": "measured"})
    assert good.url == f"{begun.url}#step-{step.order + 1}"

    summary = reverse("findings:inspection_summary", args=[row.pk])
    assert "Not finished yet" in as_owner.get(summary).text
    assert "5 thou" in as_owner.post(summary, {"shown": ""}, follow=True).text
    assert as_owner.get(begun.url).url == summary


@pytest.mark.parametrize("who", ["stranger", "fitter", "other_fitter", "officer", "second_owner"])
def test_it_is_its_owners_alone(inspection, request, who) -> None:
    client, person = Client(), request.getfixturevalue(who)
    client.force_login(person)
    for name, args in (
        ("inspect", [inspection.unit_id]),
        ("inspection", [inspection.pk]),
        ("inspection_step", [inspection.pk, 1]),
        ("inspection_summary", [inspection.pk]),
        ("inspection_drop", [inspection.pk]),
    ):
        url = reverse(f"findings:{name}", args=args)
        given = client.get(url) if name == "inspection" else client.post(url, {"outcome": "done"})
        assert given.status_code == 404
    assert client.get(f"/api/v1/inspections/{inspection.pk}/").status_code == 404
    with pytest.raises(NotAllowed):
        answer_step(step=at(inspection, "Oil feed pipe"), by=person, outcome="good")


def test_a_sale_takes_the_person_and_their_words_out(inspection, owner, second_owner) -> None:
    answer_step(step=at(inspection, "Oil feed pipe"), by=owner, mark="pipe_chafed", words="My own.")
    finish_inspection(inspection=inspection, by=owner)
    begun = start_inspection(unit=inspection.unit, by=owner, scope="outside")

    unit_passed_on.send(Unit, unit=inspection.unit, former=owner, with_car=False)

    inspection.refresh_from_db()
    assert inspection.by is None
    assert not inspection.steps.exclude(words="").exists()
    assert not Inspection.objects.filter(pk=begun.pk).exists()


def test_a_round_through_the_api(as_owner, whole_unit) -> None:
    def send(path: str, **data: object):
        return as_owner.post(f"/api/v1/inspections/{path}", data, content_type="application/json")

    made = send("", unit=whole_unit.pk, scope="end_float", client_key="k").json()
    washer = made["steps"][1]
    told = send(f"{made['id']}/steps/{washer['order']}/", value="0.26 mm", client_key="a").json()
    mark = send(f"{made['id']}/steps/{washer['order']}/", mark="frost_crack")
    done = send(f"{made['id']}/finish/").json()

    assert (told["judgement"], told["value"]) == ("stop", {"value": 0.26, "unit": "mm"})
    assert mark.status_code == 422
    assert done["finished_at"]
    assert done["measuring"]
    assert done["steps"][1]["finding"] == Finding.objects.get().pk
    assert (
        send("", unit=whole_unit.pk, scope="end_float", client_key="k").json()["id"] == made["id"]
    )
