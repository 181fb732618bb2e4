"""Damage marks: where each is offered, how urgent it is, and that its drawing is there."""

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from django.urls import reverse

import advisory.findings
from advisory.common.errors import Refused
from advisory.findings.actions import report_finding
from advisory.findings.enums import Judgement
from advisory.findings.judgement import Because, HeldAgainst, judge
from advisory.findings.marks import MARK_FACTS, DamageMark, marks_at
from advisory.findings.models import Finding
from advisory.plans.queries import halts_of
from advisory.register.enums import MeasuredQuantity, PositionKind
from tests.findings.conftest import SEEN_ON, filled, new_url

URGENT = {
    DamageMark.FLAKES_WHITE,
    DamageMark.FLAKES_YELLOW,
    DamageMark.FLAKES_MAGNETIC,
    DamageMark.PIPE_CRUSHED,
    DamageMark.WIPED_METAL,
    DamageMark.FROST_CRACK,
    DamageMark.WATER_IN_OIL,
    DamageMark.FASTENER_BROKEN,
    DamageMark.FATIGUE_CRACKS,
}
CLEARANCE = MeasuredQuantity.RUNNING_CLEARANCE
GOOD = HeldAgainst(as_built=0.05e-3, as_built_most=0.06e-3, wear_limit=0.11e-3)


@pytest.mark.one_database
@pytest.mark.parametrize("mark", list(DamageMark))
def test_a_mark_has_its_words_its_places_its_urgency_and_its_drawing(mark) -> None:
    facts = MARK_FACTS[mark]
    sprite = Path(advisory.findings.__path__[0]) / "static/findings/marks.svg"
    drawn = {symbol.get("id") for symbol in ET.parse(sprite).getroot()}

    assert all((facts.looks, facts.drawing, facts.at))
    assert (facts.judgement == Judgement.STOP) == (mark in URGENT)
    assert mark.value in drawn


@pytest.mark.one_database
def test_each_kind_of_position_has_marks_to_pick_from() -> None:
    assert all(marks_at([kind]) for kind in PositionKind)


@pytest.mark.one_database
def test_a_mark_makes_a_judgement_graver_and_never_milder() -> None:
    wiped, dents = DamageMark.WIPED_METAL, DamageMark.HAMMER_MARKS

    assert judge(0.05e-3, CLEARANCE, GOOD, wiped).judgement == Judgement.STOP
    assert judge(0.12e-3, CLEARANCE, GOOD, dents).because == Because.PAST_LIMIT
    assert judge(None, "", HeldAgainst(), dents).judgement == Judgement.WATCH


@pytest.mark.django_db
def test_a_grave_mark_stands_against_running_the_unit(as_owner, whole_unit, owner) -> None:
    pipe = whole_unit.design.positions.get(kind=PositionKind.FEED_PIPE)
    response = as_owner.post(
        new_url(whole_unit),
        filled(whole_unit, position=pipe.pk, mark="pipe_crushed", measurement="", shown=""),
        follow=True,
    )

    finding = Finding.objects.get()
    assert (finding.mark, finding.judgement) == (DamageMark.PIPE_CRUSHED, Judgement.STOP)
    assert "Seen there: Pipe crushed or kinked." in response.text
    assert [halt.stop for halt in halts_of([whole_unit], owner)[whole_unit.pk]] == [True]
    assert (
        "Pipe crushed or kinked" in as_owner.get(reverse("plans:unit", args=[whole_unit.pk])).text
    )


@pytest.mark.django_db
def test_a_mark_of_another_place_is_refused_and_what_was_typed_stays(as_owner, whole_unit) -> None:
    response = as_owner.post(new_url(whole_unit), filled(whole_unit, mark="pipe_crushed"))

    assert response.status_code == 422
    assert "is not a mark of this place" in response.text
    assert "It ticks at idle." in response.text
    assert not Finding.objects.exists()


@pytest.mark.django_db
def test_an_unknown_mark_is_refused(whole_unit, owner) -> None:
    with pytest.raises(Refused):
        report_finding(unit=whole_unit, by=owner, text="So.", seen_on=SEEN_ON, mark="rust")


@pytest.mark.django_db
def test_the_same_form_with_another_mark_is_another_finding(whole_unit, owner) -> None:
    def report(mark: str) -> Finding:
        return report_finding(
            unit=whole_unit, by=owner, text="So.", seen_on=SEEN_ON, mark=mark, client_key="k"
        )

    assert report("hammer_marks") == report("hammer_marks") != report("flakes_black")
