"""The oil-change interval, from rows to advice that is kept.

The bands are those of practice (common practice, no source): no filter or a strainer 800-1600 km,
a bypass 2000-4000, a full-flow filter 3000-5000, hard use about half.
"""

from dataclasses import replace
from datetime import date

import pytest
from django.utils import timezone

from advisory.common.quantities import Preferences
from advisory.lubrication.actions import record_oil_service
from advisory.lubrication.adapters import IntervalAdvice, advise
from advisory.lubrication.advice import advise_many, keep_advice, latest_advice
from advisory.lubrication.enums import Feed, Filtration, ServiceKind
from advisory.lubrication.explain import explain
from advisory.lubrication.models import OilAdvice, OilArrangement, OilService
from advisory.lubrication.queries import oil_of
from advisory.lubrication.situation import Situation
from advisory.people.models import Person
from advisory.register.enums import BuildState, Roads, UnitKind, WorkKind
from advisory.register.models import Build, Car, MaintenanceInstruction, Unit
from advisory.usage.models import Reading
from tests.cast import make_arrangement, make_build, make_unit

pytestmark = pytest.mark.django_db

KM = 1e3
BANDS = {
    Filtration.NONE: (800, 1600),
    Filtration.STRAINER: (800, 1600),
    Filtration.BYPASS: (2000, 4000),
    Filtration.FULL_FLOW: (3000, 5000),
}


@pytest.fixture
def engine(unit: Unit, readings: list[Reading], today: date) -> Unit:
    """An ordinary engine: 4.5 litres, in use on sealed roads, run in long ago."""
    unit.design.kind = UnitKind.ENGINE
    unit.design.sump_volume = None
    unit.design.save()
    return unit


def arrange(unit: Unit, filtration: Filtration, **figures: object) -> OilArrangement:
    row = make_arrangement(unit, filtration, date(2023, 4, 1))
    row.sump_volume, row.dirt_capacity = 4.5e-3, None
    row.filter_flow = row.beta_ratio = None
    for name, value in figures.items():
        setattr(row, name, value)
    row.save()
    return row


def advice(unit: Unit) -> IntervalAdvice:
    return advise_many([unit])[unit.pk]


@pytest.mark.parametrize("filtration", BANDS)
def test_interval_lies_in_the_band_of_its_filter(engine: Unit, filtration: Filtration) -> None:
    arrange(engine, filtration)
    least, most = BANDS[filtration]
    assert least * KM <= advice(engine).distance <= most * KM


@pytest.mark.parametrize("filtration", BANDS)
def test_supercharger_with_oil_of_its_own_lies_in_the_same_band(
    unit: Unit, readings: list[Reading], today: date, filtration: Filtration
) -> None:
    row = make_arrangement(unit, filtration)  # 1.2 litres in its own sump
    least, most = BANDS[filtration]
    assert least * KM <= advice(unit).distance <= most * KM
    row.feed = Feed.UNKNOWN
    row.save()
    assert advice(unit).distance < least * KM or filtration not in (
        Filtration.NONE,
        Filtration.STRAINER,
    )


@pytest.mark.parametrize("filtration", BANDS)
def test_hard_use_about_halves_it(engine: Unit, car: Car, filtration: Filtration) -> None:
    arrange(engine, filtration)
    usual = advice(engine).distance
    car.roads = Roads.UNSEALED
    car.save()
    assert advice(engine).distance == pytest.approx(usual / 2, rel=0.15)
    car.roads, car.short_run_share = Roads.SEALED, 2 / 3
    car.save()
    assert advice(engine).distance == pytest.approx(usual / 2, rel=0.15)


def test_strainer_means_the_same_as_no_filter(engine: Unit) -> None:
    row = arrange(engine, Filtration.NONE)
    without = advice(engine)
    row.filtration = Filtration.STRAINER
    row.save()
    assert advice(engine).distance == without.distance


def test_more_sump_never_means_less(engine: Unit) -> None:
    row = arrange(engine, Filtration.NONE)
    distances = []
    for litres in (0.5, 1.0, 2.0, 4.0, 8.0):
        row.sump_volume = litres * 1e-3
        row.save()
        distances.append(advice(engine).distance)
    assert distances == sorted(distances)


def test_filter_that_is_used_up_means_the_same_as_none(engine: Unit) -> None:
    row = arrange(engine, Filtration.NONE)
    without = advice(engine).distance
    row.filtration, row.dirt_capacity = Filtration.FULL_FLOW, 0.0
    row.save()
    assert advice(engine).distance == pytest.approx(without)


def test_unknown_takes_the_careful_side_and_says_so(unit: Unit, today: date) -> None:
    unit.design.sump_volume = None
    unit.design.save()
    nothing = advice(unit)
    assert set(nothing.assumed) == {
        "filtration", "sump_volume", "sump_temperature", "lubricant", "annual_distance",
    }  # fmt: skip
    assert nothing.inputs["filtration"] == "none"
    row = make_arrangement(unit, Filtration.NONE)
    for filtration in (Filtration.NONE, Filtration.BYPASS, Filtration.FULL_FLOW):
        row.filtration = filtration
        row.save()
        assert nothing.distance <= advice(unit).distance
    assert "filtration" not in advice(unit).assumed


def test_unit_in_no_car_is_advised_all_the_same(owner: Person, unit: Unit, today: date) -> None:
    loose = make_unit(owner, unit.design, serial="on the shelf")
    assert "car" in advice(loose).assumed


def test_workshops_instruction_stands_above(engine: Unit) -> None:
    arrange(engine, Filtration.FULL_FLOW)
    free = advice(engine)
    instruction = MaintenanceInstruction.objects.create(
        design=engine.design, work=WorkKind.OIL_CHANGE, distance=1000 * KM, months=6
    )
    told = advice(engine)
    assert (told.distance, told.months, told.limited_by) == (1000 * KM, 6, "workshop")
    # it never makes it longer than the computation
    instruction.distance, instruction.months = 50_000 * KM, 60
    instruction.save()
    assert (advice(engine).distance, advice(engine).months) == (free.distance, free.months)
    assert "workshop_distance_shortened" in {reason["code"] for reason in advice(engine).reasons}


def test_another_designs_instruction_is_not_heard(engine: Unit, starter_design) -> None:
    arrange(engine, Filtration.FULL_FLOW)
    free = advice(engine)
    MaintenanceInstruction.objects.create(
        design=starter_design, work=WorkKind.OIL_CHANGE, distance=100 * KM
    )
    assert advice(engine) == free


def test_new_white_metal_is_run_in_first(engine: Unit, fitter: Person) -> None:
    arrange(engine, Filtration.FULL_FLOW)
    make_build(engine, fitter, date(2024, 5, 20))
    young = advice(engine)
    assert young.limited_by == "running-in"
    # first change within 50-400 km (common practice, no source)
    assert 50 * KM <= young.distance <= 400 * KM


def test_running_in_is_counted_to_the_day_the_oil_went_in(
    engine: Unit, fitter: Person, owner: Person
) -> None:
    arrange(engine, Filtration.FULL_FLOW)
    make_build(engine, fitter, date(2023, 3, 1))
    # 1800 miles were driven by then: all early changes lie behind
    OilService.objects.create(unit=engine, date=date(2023, 10, 20), kind=ServiceKind.CHANGE)
    assert advice(engine).limited_by != "running-in"


def test_old_white_metal_is_not_run_in(engine: Unit, fitter: Person) -> None:
    arrange(engine, Filtration.FULL_FLOW)
    assert engine.workshop is not None
    Build.objects.create(
        unit=engine,
        workshop=engine.workshop,
        built_on=date(2024, 5, 20),
        new_white_metal=False,
        state=BuildState.SIGNED,
        signed_by=fitter,
        signed_at=timezone.now(),
    )
    assert advice(engine).limited_by != "running-in"


def test_running_in_goes_by_the_number_of_changes_where_distance_is_unknown(
    unit: Unit, fitter: Person, owner: Person, today: date
) -> None:
    make_build(unit, fitter, date(2023, 3, 1))
    unit.fittings.all().delete()  # no car, so no distance
    reached = []
    for day in (None, date(2023, 5, 1), date(2023, 7, 1), date(2023, 9, 1)):
        if day is not None:
            record_oil_service(unit=unit, date=day, kind=ServiceKind.CHANGE, by=owner)
        given = advice(unit)
        reached.append((given.inputs["distance_since_rebuild"], given.limited_by == "running-in"))
    assert reached == [(0.0, True), (250 * KM, True), (650 * KM, True), (None, False)]


def test_advice_is_kept_when_it_changes_and_only_then(engine: Unit) -> None:
    row = arrange(engine, Filtration.BYPASS)
    assert keep_advice(advise_many([engine])) == 1
    assert keep_advice(advise_many([engine])) == 0
    first = latest_advice(engine)
    row.filtration = Filtration.NONE
    row.save()
    assert keep_advice(advise_many([engine])) == 1
    row.filtration = Filtration.BYPASS
    row.save()
    assert keep_advice(advise_many([engine])) == 1
    assert OilAdvice.objects.count() == 3
    again = latest_advice(engine)
    assert (again.digest, again.result) == (first.digest, first.result)
    assert again.method == "oil-change"


def test_kept_advice_can_be_computed_again_from_its_inputs(engine: Unit) -> None:
    from advisory.engineering.oil_change import OilChangeCase, oil_change_interval

    arrange(engine, Filtration.BYPASS, beta_ratio=10.0, dirt_capacity=8e-3)
    keep_advice(advise_many([engine]))
    kept = latest_advice(engine)
    again = oil_change_interval(OilChangeCase(**kept.inputs))
    assert again.distance == kept.result["distance"]
    assert again.limited_by == kept.result["limited_by"]


def test_estimate_that_drifts_makes_no_new_advice(engine: Unit) -> None:
    situation = Situation(engine.pk, UnitKind.ENGINE, oil_of(engine), in_car=True)
    drifting = advise(
        [
            replace(situation, annual_distance=metres, distance_since_rebuild=since)
            for metres, since in ((3_412e3, 900_210.0), (3_371e3, 899_790.0), (3_371e3, 901_900.0))
        ]
    )
    assert [keep_advice({engine.pk: advice}) for advice in drifting] == [1, 0, 0]


def test_explained_advice_names_the_limit_and_the_filters(engine: Unit) -> None:
    arrange(engine, Filtration.BYPASS, beta_ratio=10.0, sump_volume=2.5e-3)
    keep_advice(advise_many([engine]))
    kept = latest_advice(engine)
    said = explain(kept, Preferences(distance="km"))
    assert "km or" in said.answer
    assert [limit.name for limit in said.limits if limit.sets] == ["Dirt in the oil"]
    rows = {row.label: row for row in said.comparison.rows}
    assert list(rows) == ["No filter", "Strainer only", "Bypass filter", "Full-flow filter"]
    assert [label for label, row in rows.items() if row.current] == ["Bypass filter"]
    assert rows["Bypass filter"].amount == kept.result["distance"]
    assert rows["No filter"].amount < rows["Bypass filter"].amount
    assert any("dirt" in reason.lower() for reason in said.reasons)
    assert [str(one.taken) for one in said.assumed][-1] == "that the filter is changed with the oil"


def test_advice_on_many_costs_no_more_queries(
    engine: Unit, owner: Person, django_assert_max_num_queries
) -> None:
    arrange(engine, Filtration.BYPASS)
    units = [engine, *(make_unit(owner, engine.design, serial=str(n)) for n in range(2))]
    loaded = list(Unit.objects.select_related("owner").order_by("pk"))
    assert len(loaded) == len(units)
    with django_assert_max_num_queries(14) as one:
        advise_many(loaded[:1])
    with django_assert_max_num_queries(14) as three:
        advise_many(loaded)
    assert len(one.captured_queries) == len(three.captured_queries)
