"""A unit along its shaft: the drawing says what the table says, to one scale a quantity."""

import re
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from advisory.common.quantities import METRIC
from advisory.findings.enums import Judgement
from advisory.findings.judgement import stands_words
from advisory.findings.models import Finding
from advisory.findings.queries import found_on, last_measured
from advisory.people.models import Person
from advisory.register.drawn import GAP_MOST, SHAFT_RIGHT, Drawing, LastMeasured, Station, draw
from advisory.register.enums import MeasuredQuantity, PositionKind
from advisory.register.models import Position, Unit
from advisory.register.queries import as_built

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
CLEARANCE = MeasuredQuantity.RUNNING_CLEARANCE


def drawing_of(unit: Unit, measured: dict[int, LastMeasured] | None = None) -> Drawing:
    return draw(as_built(unit), measured or {}, METRIC)


def bearings(drawing: Drawing) -> list[Station]:
    return [one for one in drawing.stations if one.kind == PositionKind.JOURNAL_BEARING]


def test_every_position_stands_in_its_order(whole_unit: Unit) -> None:
    wanted = list(whole_unit.design.positions.order_by("order").values_list("name", flat=True))
    assert [one.position.name for one in drawing_of(whole_unit).stations] == wanted


def test_gaps_of_one_quantity_share_the_scale_that_is_stated(whole_unit: Unit) -> None:
    drawing = drawing_of(whole_unit)
    (scale,) = [one for one in drawing.scales if one.quantity == CLEARANCE]
    most = max(one.position.wear_limit for one in bearings(drawing))
    assert scale.per_metre * most == pytest.approx(GAP_MOST)
    for one in bearings(drawing):
        places = dict(one.lines)
        assert float(places["built"]) - SHAFT_RIGHT == pytest.approx(
            one.built * scale.per_metre, abs=0.06
        )
        assert float(places["limit"]) > float(places["built"])
    # the bar is as long as what stands beside it says
    told = re.match(r"([\d.]+) mm", scale.words)
    assert told is not None
    assert float(told[1]) * 1e-3 == pytest.approx(scale.step)
    assert float(scale.bar_end) - 0.75 == pytest.approx(scale.step * scale.per_metre, abs=0.06)


def test_measured_gap_is_what_the_parts_are_drawn_with(whole_unit: Unit) -> None:
    place = bearings(drawing_of(whole_unit))[0].position
    last = LastMeasured(place.wear_limit * 1.1, date(2024, 5, 1))
    one = bearings(drawing_of(whole_unit, {place.pk: last}))[0]
    assert one.edge == dict(one.lines)["measured"]
    assert one.past
    assert "ask the workshop" in one.stands_words
    assert "1 May 2024" in one.measured_words


def test_place_that_was_not_measured_since_stands_as_built_and_no_better(whole_unit: Unit) -> None:
    one = bearings(drawing_of(whole_unit))[0]
    assert one.measured_words is None
    assert one.stands_words == "As built; no later figure is known."


def test_place_stands_as_was_said_of_what_was_measured(whole_unit: Unit) -> None:
    place = bearings(drawing_of(whole_unit))[0].position
    for judgement, word in ((Judgement.WATCH, "Watch"), (Judgement.ASK, "before it runs")):
        said = stands_words(judgement)
        last = LastMeasured(place.as_built_least, date(2024, 5, 1), said)
        one = bearings(drawing_of(whole_unit, {place.pk: last}))[0]
        assert one.stands_words == said
        assert word in said


def test_figure_at_the_limit_stands_as_it_is_judged(whole_unit: Unit) -> None:
    place = bearings(drawing_of(whole_unit))[0].position
    last = LastMeasured(place.wear_limit, date(2024, 5, 1))
    assert bearings(drawing_of(whole_unit, {place.pk: last}))[0].past


def test_nothing_known_is_drawn_as_not_known(unit: Unit) -> None:
    drawing = drawing_of(unit)
    for one in bearings(drawing):
        assert not one.known
        assert one.built_words is None


def test_page_is_drawing_and_table_at_once(client: Client, whole_unit: Unit, owner: Person) -> None:
    client.force_login(owner)
    page = client.get(reverse("plans:unit", args=[whole_unit.pk])).content.decode()
    for position in whole_unit.design.positions.all():
        row = page[page.index(f'id="position-{position.pk}"') :].split("</tr>")[0]
        assert position.name in row
        assert 'role="img"' in row
        assert "tabindex" in row


def test_only_what_may_be_seen_since_the_build_counts_as_measured(
    whole_unit: Unit, owner: Person, stranger: Person, fitter: Person
) -> None:
    place = Position.objects.get(design=whole_unit.design, name="Floating thrust washer")
    told = {"unit": whole_unit, "position": place, "text": "Measured.", "as_typed": "0.2 mm",
            "quantity": MeasuredQuantity.END_FLOAT}  # fmt: skip
    Finding.objects.create(**told, seen_on=date(2022, 1, 1), value=9e-4)
    Finding.objects.create(**told, seen_on=date(2024, 1, 1), value=2e-4)
    built_on = as_built(whole_unit).build.built_on
    assert last_measured(found_on([whole_unit], owner), built_on) == {
        place.pk: LastMeasured(2e-4, date(2024, 1, 1))
    }
    assert last_measured(found_on([whole_unit], stranger), built_on) == {}
    assert last_measured(found_on([whole_unit], fitter), built_on) == {}  # it was never sent
    Finding.objects.update(state="sent", sent_at=timezone.now())
    assert place.pk in last_measured(found_on([whole_unit], fitter), built_on)
