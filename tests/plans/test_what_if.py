"""A plan reckoned otherwise: it moves as it should, and nothing is written."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisory.lubrication.enums import Filtration, ServiceKind
from advisory.lubrication.models import OilAdvice, OilArrangement, OilService
from advisory.people.models import Person
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.what_if import ItemMoved, Otherwise, reckon_otherwise
from advisory.register.enums import Roads, WorkKind
from advisory.register.models import Unit
from advisory.usage.models import Reading
from advisory.usage.supposed import Driven

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
KM = 1e3


@pytest.fixture
def run_in(whole_unit: Unit, readings: list[Reading]) -> Unit:
    """Give a unit that is past its running-in, by its last oil change."""
    OilService.objects.create(unit=whole_unit, date=date(2023, 10, 20), kind=ServiceKind.CHANGE)
    return whole_unit


def oil(unit: Unit, otherwise: Otherwise) -> tuple[PlanItem, PlanItem]:
    moved = {one.work: one for one in reckon_otherwise(unit, otherwise)}[WorkKind.OIL_CHANGE]
    assert moved.now is not None
    assert moved.then is not None
    return moved.now, moved.then


def far(item: PlanItem) -> float:
    return item.due_distance - item.anchor_distance


def test_nothing_supposed_moves_nothing(
    today: date, whole_unit: Unit, readings: list[Reading], plan
) -> None:
    plan(whole_unit)
    for one in reckon_otherwise(whole_unit, Otherwise()):
        assert one.days == 0, one.work


def test_supposed_is_what_the_plan_says_once_it_is_so(
    today: date, whole_unit: Unit, readings: list[Reading], plan
) -> None:
    plan(whole_unit)
    supposed = Otherwise(filtration=Filtration.FULL_FLOW, sump_volume=2e-3)
    told = {one.work: one.then for one in reckon_otherwise(whole_unit, supposed)}
    row = OilArrangement.objects.get(unit=whole_unit)
    for name in ("beta_ratio", "filter_flow", "dirt_capacity"):
        setattr(row, name, None)
    row.filtration, row.sump_volume = Filtration.FULL_FLOW, 2e-3
    row.save()
    real = plan(whole_unit)
    assert set(real) == set(told)
    for kind, item in real.items():
        then = told[kind]
        assert then is not None
        assert (item.due_distance, item.due_date, item.forecast_date) == (
            then.due_distance,
            then.due_date,
            then.forecast_date,
        ), kind


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    annual=st.floats(1000 * KM, 20_000 * KM),
    more=st.floats(1.2, 3.0),
)
def test_who_drives_more_meets_the_distance_sooner(
    today: date, whole_unit: Unit, readings: list[Reading], annual: float, more: float
) -> None:
    _, less_driven = oil(whole_unit, Otherwise(driven=Driven(annual_distance=annual)))
    _, more_driven = oil(whole_unit, Otherwise(driven=Driven(annual_distance=annual * more)))
    assert more_driven.forecast_date <= less_driven.forecast_date


def test_unmade_roads_and_short_runs_bring_it_sooner(today: date, run_in: Unit) -> None:
    now, rough = oil(run_in, Otherwise(driven=Driven(roads=Roads.UNSEALED)))
    assert far(rough) < far(now)
    _, short = oil(run_in, Otherwise(driven=Driven(short_run_share=0.9)))
    assert short.due_date <= now.due_date


def test_page_shows_the_plan_moved_and_writes_nothing(
    client: Client, today: date, run_in: Unit, owner: Person, plan
) -> None:
    plan(run_in)
    tables = (PlanItem.everything, WorkDone.objects, OilAdvice.objects, OilArrangement.objects)
    before = [list(rows.values()) for rows in tables]
    client.force_login(owner)
    url = reverse("plans:what_if", args=[run_in.pk])
    assert client.get(url).status_code == 200
    answer = client.get(url, {"filtration": "none", "annual": "6000", "annual_unit": "km"})
    assert answer.status_code == 200
    assert "instead of" in answer.content.decode()
    assert "not needed then" in answer.content.decode()  # the filter change
    assert [list(rows.values()) for rows in tables] == before


def moved(now: PlanItem | None, then: PlanItem | None) -> ItemMoved:
    return ItemMoved(WorkKind.OIL_CHANGE, now, then, date(2024, 6, 3))


def item_on(day: date | None, state: DueState = DueState.AHEAD) -> PlanItem:
    return PlanItem(forecast_date=day, state=state)


def test_what_is_due_is_due_today_and_not_on_a_day_gone_by() -> None:
    past, ahead = item_on(date(2024, 4, 2), DueState.LATE), item_on(date(2024, 6, 24))
    assert (moved(past, ahead).days, moved(past, ahead).due_either_way) == (21, False)
    assert (moved(past, past).days, moved(past, past).due_either_way) == (0, True)
    rests = item_on(date(2024, 6, 24), DueState.RESTING)
    assert (moved(rests, ahead).days, moved(rests, rests).days) == (None, None)
    assert not moved(rests, rests).due_either_way
    assert moved(None, ahead).days is None


def test_page_names_no_day_gone_by(
    client: Client, today: date, run_in: Unit, owner: Person, plan
) -> None:
    """Oil that is overdue with and without a filter; a filter that nobody has fitted yet."""
    OilArrangement.objects.filter(unit=run_in).update(filtration=Filtration.NONE)
    OilService.objects.update(date=date(2022, 1, 5))
    plan(run_in)
    client.force_login(owner)
    url = reverse("plans:what_if", args=[run_in.pk])
    page = client.get(url, {"filtration": Filtration.FULL_FLOW})
    rows = page.context["shown"].rows
    told = {row.name: row for row in rows}
    assert (told["Oil change"].now[:5], told["Oil change"].moves) == ("now (", "due either way")
    new = told["Filter change"]
    assert (new.now, new.moves) == ("not needed", "needed then")
    assert "202" not in new.then


def test_page_says_what_is_wrong_and_keeps_what_was_typed(
    client: Client, today: date, whole_unit: Unit, owner: Person
) -> None:
    client.force_login(owner)
    url = reverse("plans:what_if", args=[whole_unit.pk])
    answer = client.get(url, {"sump": "three", "sump_unit": "litre", "filtration": "bypass"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'value="three"' in page
    assert "4.5 litre" in page


def test_stranger_supposes_nothing_of_a_unit(
    client: Client, whole_unit: Unit, stranger: Person
) -> None:
    client.force_login(stranger)
    for name in ("plans:what_if", "api:unit-what-if"):
        assert client.get(reverse(name, args=[whole_unit.pk])).status_code == 404


def test_program_asks_the_same(
    client: Client, today: date, whole_unit: Unit, owner: Person, readings: list[Reading], plan
) -> None:
    plan(whole_unit)
    client.force_login(owner)
    url = reverse("api:unit-what-if", args=[whole_unit.pk])
    answer = client.get(url, {"filtration": "none", "annual_distance": "9000 km"})
    assert answer.status_code == 200
    rows = {row["work"]: row for row in answer.json()}
    _, then = oil(
        whole_unit, Otherwise(filtration="none", driven=Driven(annual_distance=9000 * KM))
    )
    assert rows["oil_change"]["then"]["forecast_date"] == then.forecast_date.isoformat()
    assert rows["filter_change"]["then"] is None
    wrong = client.get(url, {"filtration": "sieve", "sump_volume": "12 inch"})
    assert wrong.status_code == 400
    assert {error["field"] for error in wrong.json()["errors"]} == {"filtration", "sump_volume"}
