"""The wear of a unit on its page: what was measured, what follows, and what nobody is shown."""

from datetime import date

import numpy as np
import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from advisory.common.quantities import METRIC
from advisory.engineering.wear import USUAL_UNCERTAINTY, Measured, wear_of
from advisory.findings.enums import FindingState, Judgement
from advisory.findings.models import Finding
from advisory.people.enums import ConsentScope
from advisory.people.models import Organisation, Person
from advisory.plans.actions import refresh_plans
from advisory.plans.enums import DueBy, DueState
from advisory.plans.models import PlanItem, WearMark, WorkDone
from advisory.plans.reason_words import reasons_words
from advisory.plans.unit_shown import show_units
from advisory.plans.wear import WearShown, wear_of_unit
from advisory.register.enums import MeasuredQuantity, PositionKind, WorkKind
from advisory.register.models import Car, Position, Unit
from advisory.usage.models import Reading
from advisory.usage.queries import unit_use
from tests.cast import make_build, make_car, make_consent, make_person, make_unit

pytestmark = pytest.mark.django_db

BUILT = date(2023, 3, 1)


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2025-06-01T12:00:00Z", tick=False):
        yield


@pytest.fixture
def washer(whole_unit: Unit) -> Position:
    return whole_unit.design.positions.get(name="Floating thrust washer")


def read(car: Car, *numbers: tuple[date, int]) -> None:
    odometer = car.odometers.get()
    for day, shown in numbers:
        Reading.objects.create(odometer=odometer, date=day, shown=shown)


def measure(unit: Unit, position: Position, day: date, millimetres: float) -> Finding:
    return Finding.objects.create(
        unit=unit,
        position=position,
        seen_on=day,
        text="Measured.",
        quantity=MeasuredQuantity.END_FLOAT,
        value=millimetres * 1e-3,
        as_typed=f"{millimetres} mm",
        state="sent",
        sent_at=timezone.now(),
    )


def shown_to(person: Person, unit: Unit) -> list[WearShown]:
    return wear_of_unit(unit, unit_use(unit), person)


@pytest.fixture
def worn(whole_unit: Unit, washer: Position, car: Car) -> Unit:
    read(car, (date(2023, 4, 1), 41_200), (date(2024, 9, 1), 44_300), (date(2025, 5, 1), 46_900))
    measure(whole_unit, washer, date(2024, 9, 1), 0.16)
    measure(whole_unit, washer, date(2025, 5, 1), 0.18)
    return whole_unit


def test_measurements_since_the_build_and_their_limit_are_drawn(
    worn: Unit, washer: Position, owner: Person
) -> None:
    (one,) = shown_to(owner, worn)
    assert one.position == washer
    measured = one.chart.series[0].points
    assert len(measured) == 3
    assert measured[0][0] == 0
    assert [mark.label for mark in one.chart.marks] == ["Wear limit"]
    assert "meets its limit" in one.chart.sentence
    assert "3 measurements of this unit alone" in one.rests_on


def test_place_that_was_measured_once_is_not_drawn(
    whole_unit: Unit, washer: Position, owner: Person
) -> None:
    assert shown_to(owner, whole_unit) == []


def test_what_was_measured_before_the_rebuild_does_not_count(
    worn: Unit, owner: Person, fitter: Person
) -> None:
    make_build(worn, fitter, date(2025, 5, 15))
    assert shown_to(owner, worn) == []


def test_page_shows_chart_table_and_sentence(worn: Unit, owner: Person, client: Client) -> None:
    client.force_login(owner)
    page = client.get(f"/units/{worn.pk}/").content.decode()
    assert 'id="wear"' in page
    assert "Wear limit" in page
    assert "No licence" in page


# What the page says beside its plan ---------------------------------------------------------------


def section_of(unit: Unit, person: Person) -> WearShown:
    refresh_plans(units=[unit.pk], after_a_change=True)
    shown = show_units([unit], person, keeps=True)[0]
    (one,) = wear_of_unit(unit, shown.use, person, plan=shown)
    return one


def test_section_says_the_plan_s_day_where_the_plan_asks_sooner(worn: Unit, owner: Person) -> None:
    said = section_of(worn, owner).chart.sentence
    item = PlanItem.objects.get(unit=worn, work=WorkKind.END_FLOAT)
    (mark,) = WearMark.objects.all()
    assert item.due_distance < mark.look_at
    assert "Measure it again when its plan asks: End float." in said
    assert "Measure it again within" not in said


def test_section_says_wear_s_own_distance_where_the_plan_knows_none(
    worn: Unit, owner: Person
) -> None:
    WorkDone.objects.create(unit=worn, work=WorkKind.END_FLOAT, cycle=1, date=date(2025, 5, 1))
    # kept to himself, so that the plan that his workshop reads knows nothing of it
    Finding.objects.update(state=FindingState.KEPT, sent_at=None)
    Finding.objects.filter(seen_on=date(2025, 5, 1)).update(value=0.22e-3)
    said = section_of(worn, owner).chart.sentence
    assert "of that, or when its plan asks, whichever comes first: End float." in said


def test_section_tells_no_distance_where_a_figure_stands_against_running(
    worn: Unit, owner: Person
) -> None:
    Finding.objects.filter(seen_on=date(2025, 5, 1)).update(judgement=Judgement.ASK)
    one = section_of(worn, owner)
    assert "ask the workshop before it runs" in one.chart.sentence
    assert "within" not in one.chart.sentence
    assert [series.label for series in one.chart.series] == ["Measured"]


def test_section_tells_no_distance_from_figures_that_contradict(worn: Unit, owner: Person) -> None:
    Finding.objects.filter(seen_on=date(2025, 5, 1)).update(value=0.10e-3, judgement=Judgement.ASK)
    one = section_of(worn, owner)
    assert "contradict one another" in one.chart.sentence
    assert "Don't run it before you have asked the workshop" in one.chart.sentence
    assert "meets its limit" not in one.chart.sentence
    assert [series.label for series in one.chart.series] == ["Measured"]


def alike(owner: Person, worn: Unit, serial: str, fitter: Person, washer: Position) -> Unit:
    car = make_car(owner, "Stanmere")
    unit = make_unit(owner, worn.design, serial=serial, car=car)
    make_build(unit, fitter, BUILT)
    read(car, (date(2023, 4, 1), 41_300), (date(2025, 3, 1), 49_000))
    measure(unit, washer, date(2025, 3, 1), 0.2)
    return unit


def test_workshop_s_own_units_of_the_design_are_counted_in_and_not_named(
    worn: Unit,
    washer: Position,
    owner: Person,
    fitter: Person,
    workshop: Organisation,
    client: Client,
) -> None:
    second = make_person("Second Owner")
    other = alike(second, worn, "0999", fitter, washer)
    (alone,) = shown_to(fitter, worn)
    assert "alone" in alone.rests_on  # its owner has consented to nothing
    make_consent(second, workshop, ConsentScope.RECORDS)
    (together,) = shown_to(fitter, worn)
    assert "1 other of its design" in together.rests_on
    client.force_login(fitter)
    assert other.serial not in client.get(f"/units/{worn.pk}/").content.decode()
    (owners,) = shown_to(owner, worn)
    assert "alone" in owners.rests_on  # an owner sees nothing of another's unit


def test_more_units_cost_no_more_queries(
    worn: Unit, washer: Position, fitter: Person, workshop: Organisation
) -> None:
    counts = []
    for serial in ("0901", "0902", "0903"):
        second = make_person(f"Owner {serial}")
        make_consent(second, workshop, ConsentScope.RECORDS)
        alike(second, worn, serial, fitter, washer)
        use = unit_use(worn)
        with CaptureQueriesContext(connection) as asked:
            wear_of_unit(worn, use, fitter)
        counts.append(len(asked))
    assert counts[0] == counts[1] == counts[2]


# What wear does to the plan -----------------------------------------------------------------------


def planned(unit: Unit, work: WorkKind) -> PlanItem | None:
    refresh_plans(units=[unit.pk], after_a_change=True)
    return PlanItem.objects.filter(unit=unit, work=work).first()


def test_wear_brings_the_next_measuring_forward(worn: Unit, washer: Position) -> None:
    WorkDone.objects.create(unit=worn, work=WorkKind.END_FLOAT, cycle=1, date=date(2025, 5, 1))
    Finding.objects.update(value=None)
    unmeasured = planned(worn, WorkKind.END_FLOAT)
    assert unmeasured is not None
    assert unmeasured.limited_by != DueBy.WEAR
    position = Position.objects.get(pk=washer.pk)
    measure(worn, position, date(2024, 9, 1), 0.19)
    measure(worn, position, date(2025, 5, 1), 0.22)
    item = planned(worn, WorkKind.END_FLOAT)
    assert item is not None
    assert item.limited_by == DueBy.WEAR
    (mark,) = WearMark.objects.all()
    # the same as the engineering says of these figures, from where it was measured last
    use = unit_use(worn)
    last = use.distance() - use.since(date(2025, 5, 1))
    since = [use.since(BUILT, until=day) for day in (date(2024, 9, 1), date(2025, 5, 1))]
    built = worn.builds.get().measurements.get(position=position)
    told = Measured(
        distance=np.array([0.0, *since]),
        value=np.array([built.value, 0.19e-3, 0.22e-3]),
        uncertainty=np.array([built.uncertainty or USUAL_UNCERTAINTY, *[USUAL_UNCERTAINTY] * 2]),
    )
    ahead = wear_of(told, position.wear_limit).next_inspection()
    assert mark.look_at == pytest.approx(last + ahead)
    assert item.due_distance == pytest.approx(mark.look_at)
    assert "one in twenty" in " ".join(reasons_words(item, METRIC))


def test_wear_never_puts_measuring_off(worn: Unit) -> None:
    WearMark.objects.all().delete()
    item = planned(worn, WorkKind.END_FLOAT)
    assert item is not None
    (mark,) = WearMark.objects.all()
    assert item.due_distance <= max(mark.look_at, item.anchor_distance + 5_000_001)


def test_done_without_a_value_counts_as_usual(worn: Unit, washer: Position) -> None:
    measure(worn, washer, date(2025, 5, 2), 0.33)
    WorkDone.objects.create(unit=worn, work=WorkKind.END_FLOAT, cycle=9, date=date(2025, 5, 30))
    WearMark.objects.all().delete()
    item = planned(worn, WorkKind.END_FLOAT)
    assert item is not None
    assert WearMark.objects.get().look_at <= item.anchor_distance
    assert item.due_distance - item.anchor_distance == pytest.approx(5_000_000)


def test_bearings_are_asked_for_only_where_their_wear_is_known(worn: Unit) -> None:
    assert planned(worn, WorkKind.CLEARANCES) is None
    bearing = worn.design.positions.filter(kind=PositionKind.JOURNAL_BEARING).first()
    for day, micrometres in ((date(2024, 9, 1), 88), (date(2025, 5, 1), 99)):
        row = measure(worn, bearing, day, micrometres / 1000)
        Finding.objects.filter(pk=row.pk).update(quantity=MeasuredQuantity.RUNNING_CLEARANCE)
    item = planned(worn, WorkKind.CLEARANCES)
    assert item is not None
    assert item.limited_by == DueBy.WEAR


def test_what_the_owner_kept_to_himself_moves_no_plan_that_the_workshop_reads(
    worn: Unit, washer: Position
) -> None:
    Finding.objects.update(state=FindingState.KEPT, sent_at=None)
    item = planned(worn, WorkKind.END_FLOAT)
    assert item is not None
    assert item.limited_by != DueBy.WEAR
    assert not WearMark.objects.exists()


def test_figures_that_contradict_are_measured_again_at_once(worn: Unit, washer: Position) -> None:
    Finding.objects.filter(seen_on=date(2025, 5, 1)).update(value=0.12e-3)
    # measured when the work was done: that measuring is no answer to what it found
    WorkDone.objects.create(unit=worn, work=WorkKind.END_FLOAT, cycle=1, date=date(2025, 5, 1))
    item = planned(worn, WorkKind.END_FLOAT)
    assert item is not None
    assert WearMark.objects.get().contradicts
    assert item.limited_by == DueBy.WEAR
    assert item.state == DueState.DUE
    assert "contradicts itself" in " ".join(reasons_words(item, METRIC))


def test_figure_that_falls_never_puts_measuring_off(worn: Unit, washer: Position) -> None:
    before = planned(worn, WorkKind.END_FLOAT)
    assert before is not None
    measure(worn, washer, date(2025, 5, 2), 0.08)
    after = planned(worn, WorkKind.END_FLOAT)
    assert after is not None
    assert after.due_distance <= before.due_distance
    # measured once more on the spot, and it agrees with what was there before
    measure(worn, washer, date(2025, 5, 3), 0.181)
    settled = planned(worn, WorkKind.END_FLOAT)
    assert settled is not None
    assert not WearMark.objects.get().contradicts
    assert settled.due_distance <= before.due_distance
