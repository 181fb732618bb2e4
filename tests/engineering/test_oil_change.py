"""The oil-change interval: common practice, a simulated unit, and what must hold by nature."""

import random
import time
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from advisory.engineering.assumption import PRACTICE, SET_BY_US
from advisory.engineering.errors import OutOfRange
from advisory.engineering.oil_change import (
    ASSUMPTIONS,
    FILTRATIONS,
    ROADS,
    OilChangeCase,
    ageing_life,
    assumed,
    oil_change_interval,
    oil_change_intervals,
)

KM = 1e3
LITRE = 1e-3
KMH = 1 / 3.6
HOUR = 3600.0
YEAR_KM = KM

#: Common practice, no source: km for straight oil on sealed roads, by kind of filter.
BANDS = {"none": (800, 1600), "strainer": (800, 1600), "bypass": (2000, 4000),
         "full-flow": (3000, 5000)}  # fmt: skip


def unit(filtration="none", *, litres=4.0, kmh=50.0, **more) -> OilChangeCase:
    return OilChangeCase(
        filtration=filtration, sump_volume=litres * LITRE, mean_speed=kmh * KMH, **more
    )


def km(case: OilChangeCase) -> float:
    return oil_change_interval(case).distance / KM


@st.composite
def cases(draw: st.DrawFn, filtrations=FILTRATIONS) -> OilChangeCase:
    def maybe(strategy):
        return draw(st.none() | strategy)

    return OilChangeCase(
        filtration=draw(st.sampled_from(filtrations)),
        sump_volume=draw(st.floats(1e-4, 2e-2)),
        mean_speed=draw(st.floats(1.0, 40.0)),
        efficiency=maybe(st.floats(0.0, 1.0)),
        filter_flow=maybe(st.floats(0.0, 1e-3)),
        dirt_capacity=maybe(st.floats(0.0, 0.1)),
        residue_fraction=draw(st.floats(0.0, 0.9)),
        roads=draw(st.sampled_from(ROADS)),
        breather_filtered=draw(st.booleans()),
        sump_temperature_c=draw(st.floats(0.0, 150.0)),
        short_run_share=draw(st.floats(0.0, 1.0)),
        distance_since_rebuild=maybe(st.floats(0.0, 5e6)),
        annual_distance=maybe(st.floats(0.0, 5e7)),
        workshop_distance=maybe(st.floats(1e3, 1e7)),
        workshop_months=maybe(st.floats(0.5, 60.0)),
        service_class=draw(st.sampled_from(["engine", "small-unit", "gearbox"])),
    )


@pytest.mark.parametrize("litres", [2.0, 3.2, 4.5, 6.0, 8.0])
@pytest.mark.parametrize("kmh", [30.0, 50.0, 70.0])
@pytest.mark.parametrize("filtration", FILTRATIONS)
def test_interval_is_that_of_common_practice(filtration, kmh, litres):
    low, high = BANDS[filtration]

    assert low <= km(unit(filtration, kmh=kmh, litres=litres)) <= high


@pytest.mark.parametrize("litres", [0.5, 0.9, 1.2])
@pytest.mark.parametrize("filtration", FILTRATIONS)
def test_small_unit_with_oil_of_its_own_is_given_the_interval_of_an_engine(filtration, litres):
    low, high = BANDS[filtration]

    assert low <= km(unit(filtration, litres=litres, service_class="small-unit")) <= high


@pytest.mark.parametrize("hard", [{"roads": "unsealed"}, {"short_run_share": 2 / 3}])
@pytest.mark.parametrize("filtration", FILTRATIONS)
def test_hard_use_halves_distance_and_months(filtration, hard):
    usual, harder = (oil_change_interval(unit(filtration, **use)) for use in ({}, hard))

    assert harder.distance / usual.distance == pytest.approx(0.5, abs=0.05)
    assert harder.months == usual.months / 2


@pytest.mark.parametrize("litres", [0.8, 1.5, 3.0])
def test_gearbox_interval_is_that_of_common_practice(litres):
    result = oil_change_interval(unit(litres=litres, service_class="gearbox",
                                      sump_temperature_c=60.0))  # fmt: skip

    assert 8000 <= result.distance / KM <= 20_000
    assert 24 <= result.months <= 60


def test_gearbox_does_not_mind_short_runs():
    gearbox = unit(service_class="gearbox", sump_temperature_c=60.0)
    dirt, dirt_short = (
        oil_change_interval(case).limits["dirt"]
        for case in (gearbox, replace(gearbox, short_run_share=0.8))
    )

    assert dirt == dirt_short


def simulated_end_mass(case: OilChangeCase, distance: float) -> float:
    """Drive a unit through many fills of a distance by an integrator; dirt afloat at the end [kg].

    Two kinds of dirt: fines, which no filter takes, and coarse, which it takes until it is full.
    A new element goes in with each fill.
    """
    fines = {"none": 1.0, "strainer": 1.0, "bypass": assumed("fines_share_bypass"),
             "full-flow": assumed("fines_share_full_flow")}[case.filtration]  # fmt: skip
    ingress = assumed("ingress_per_distance")
    duration = distance / case.mean_speed
    full = np.inf if case.dirt_capacity is None else case.dirt_capacity
    coarse = fine = 0.0
    for _ in range(60):
        fine = case.residue_fraction * fine + fines * ingress * distance

        def rate(t: float, y: list[float]) -> list[float]:
            caught = case.filter_flow * case.efficiency * y[0] / case.sump_volume
            return [(1 - fines) * ingress * case.mean_speed - caught, caught]

        def is_full(t: float, y: list[float]) -> float:
            return y[1] - full

        is_full.terminal = True
        path = solve_ivp(rate, (0.0, duration), [case.residue_fraction * coarse, 0.0],
                         events=is_full if np.isfinite(full) else None, method="LSODA",
                         rtol=1e-9, atol=1e-15)  # fmt: skip
        coarse = float(path.y[0, -1])
        coarse += (1 - fines) * ingress * case.mean_speed * (duration - float(path.t[-1]))
    return coarse + fine


@pytest.mark.parametrize(
    "case",
    [
        unit("none", residue_fraction=0.0),
        unit("none", residue_fraction=0.3),
        unit("bypass", filter_flow=1e-8, efficiency=0.5),
        unit("bypass", filter_flow=1e-5, efficiency=0.9, residue_fraction=0.2),
        unit("full-flow", filter_flow=1e-4, efficiency=0.5),
    ],
)
def test_simulated_unit_carries_the_permitted_dirt_at_its_interval(case):
    case = replace(case, filter_flow=case.filter_flow or 0.0, efficiency=case.efficiency or 0.0)
    result = oil_change_interval(case)
    permitted = result.permitted_concentration * case.sump_volume

    assert simulated_end_mass(case, result.limits["dirt"].distance) == pytest.approx(
        permitted, rel=1e-5
    )


@pytest.mark.parametrize("grams", [0.3, 1.0, 2.5])
def test_simulated_unit_with_a_small_element_carries_the_permitted_dirt(grams):
    case = unit("full-flow", filter_flow=1e-4, efficiency=0.5, dirt_capacity=grams * 1e-3)
    result = oil_change_interval(case)
    permitted = result.permitted_concentration * case.sump_volume

    assert result.filter_change_distance < result.distance
    assert simulated_end_mass(case, result.distance) == pytest.approx(permitted, rel=1e-4)


@given(cases(), st.floats(1.0, 20.0))
def test_more_sump_is_never_a_shorter_interval(case, factor):
    assume(case.sump_volume * factor <= 0.5)

    larger = oil_change_interval(replace(case, sump_volume=case.sump_volume * factor))

    assert larger.distance >= oil_change_interval(case).distance * (1 - 1e-9)


@given(cases())
def test_strainer_is_the_same_as_no_filter(case):
    none, strainer = (
        oil_change_interval(replace(case, filtration=kind)) for kind in ("none", "strainer")
    )

    assert strainer.limits == none.limits
    assert strainer.distance == none.distance
    assert strainer.filter_change_distance is None


@given(cases(["bypass", "full-flow"]))
def test_used_up_filter_is_the_same_as_none(case):
    case = replace(case, efficiency=0.5, filter_flow=1e-5)
    used_up = oil_change_interval(replace(case, dirt_capacity=0.0))

    assert used_up.distance == oil_change_interval(replace(case, filtration="none")).distance
    assert used_up.filter_change_distance == 0.0


@given(cases(["bypass", "full-flow"]))
def test_filter_that_takes_nothing_is_the_same_as_none(case):
    none = oil_change_interval(replace(case, filtration="none")).limits["dirt"].distance

    for nothing in ({"efficiency": 0.0}, {"filter_flow": 0.0}):
        result = oil_change_interval(replace(case, **nothing))
        assert result.limits["dirt"].distance == pytest.approx(none, rel=1e-12)
        assert result.filter_change_distance is None


@given(cases(["bypass", "full-flow"]), st.floats(0.0, 1.0))
def test_better_filter_is_never_a_shorter_interval(case, efficiency):
    case = replace(case, dirt_capacity=None, filter_flow=case.filter_flow or 1e-6)
    low, high = sorted((efficiency, case.efficiency or 0.5))

    assert km(replace(case, efficiency=high)) >= km(replace(case, efficiency=low)) * (1 - 1e-9)


@given(cases(["bypass", "full-flow"]), st.floats(0.0, 0.1))
def test_larger_element_is_never_a_shorter_interval(case, capacity):
    low, high = sorted((capacity, case.dirt_capacity or 0.0))

    assert km(replace(case, dirt_capacity=high)) >= km(replace(case, dirt_capacity=low)) * (
        1 - 1e-9
    )


@given(cases())
def test_filter_is_never_worse_than_none(case):
    assert km(case) >= km(replace(case, filtration="none")) * (1 - 1e-9)


@given(cases())
def test_fines_bound_the_interval_of_every_filter(case):
    none = oil_change_interval(replace(case, filtration="none")).limits["dirt"].distance
    dirt = oil_change_interval(case).limits["dirt"].distance

    assert dirt <= none / assumed("fines_share_full_flow") * (1 + 1e-9)


@given(cases(), st.floats(0.0, 1.0), st.floats(0.0, 60.0))
def test_harder_use_is_never_a_longer_interval(case, more_short, hotter):
    usual = oil_change_interval(case)
    harder = {
        "short_run_share": max(case.short_run_share, more_short),
        "sump_temperature_c": min(case.sump_temperature_c + hotter, 150.0),
        "roads": "unsealed",
        "breather_filtered": False,
    }
    for name, value in harder.items():
        result = oil_change_interval(replace(case, **{name: value}))
        assert result.distance <= usual.distance * (1 + 1e-9)
        assert result.months <= usual.months


@given(cases())
def test_workshop_may_be_shortened_and_is_never_lengthened(case):
    case = replace(
        case,
        workshop_distance=case.workshop_distance or 1000 * KM,
        workshop_months=case.workshop_months or 6.0,
    )
    result = oil_change_interval(case)
    without = oil_change_interval(replace(case, workshop_distance=None, workshop_months=None))

    assert result.distance == min(case.workshop_distance, without.distance)
    assert result.months == min(case.workshop_months, without.months)


@given(cases())
def test_interval_is_the_least_of_its_limits(case):
    result = oil_change_interval(case)
    limits = [limit for limit in result.limits.values() if limit is not None]

    assert result.distance == min(x.distance for x in limits if x.distance is not None)
    assert result.months == min(x.months for x in limits if x.months is not None)
    assert result.running_time == pytest.approx(result.distance / case.mean_speed, rel=1e-12)
    assert result.limits[result.limited_by] is not None


@given(cases())
def test_comparison_holds_the_unit_itself(case):
    result = oil_change_interval(case)
    own = next(other for other in result.compare if other.filtration == case.filtration)

    assert [other.filtration for other in result.compare] == list(FILTRATIONS)
    assert own.distance == result.distance
    assert own.limited_by == result.limited_by


@given(st.lists(cases(), min_size=1, max_size=6))
def test_fleet_is_computed_as_its_units_are(several):
    for together, alone in zip(
        oil_change_intervals(several), map(oil_change_interval, several), strict=True
    ):
        assert together.case == alone.case
        assert together.distance == pytest.approx(alone.distance, rel=1e-12)
        assert together.months == alone.months
        assert together.limited_by == alone.limited_by


def test_no_cases_have_no_intervals():
    assert oil_change_intervals([]) == []


@pytest.mark.parametrize(
    ("since_km", "expected_km"),
    [(0, 250), (100, 150), (250, 400), (199, 51), (201, 449), (650, 650)],
)
def test_running_in_has_its_own_early_changes(since_km, expected_km):
    result = oil_change_interval(unit("full-flow", distance_since_rebuild=since_km * KM))

    assert result.limited_by == "running-in"
    assert result.distance / KM == pytest.approx(expected_km)


@pytest.mark.parametrize("since_km", [None, 1040, 1300, 50_000])
def test_unit_that_is_run_in_has_no_running_in_limit(since_km):
    since = None if since_km is None else since_km * KM
    result = oil_change_interval(unit("full-flow", distance_since_rebuild=since))

    assert result.limits["running-in"] is None
    assert result.limited_by == "dirt"


@pytest.mark.parametrize(
    ("circumstances", "limited_by"),
    [
        ({}, "dirt"),
        ({"annual_distance": 500 * YEAR_KM}, "calendar"),
        ({"annual_distance": 0.0}, "calendar"),
        ({"annual_distance": 6000 * YEAR_KM}, "dirt"),
        ({"sump_temperature_c": 110.0, "filtration": "full-flow"}, "ageing"),
        ({"workshop_distance": 500 * KM}, "workshop"),
        ({"workshop_distance": 5000 * KM}, "dirt"),
        ({"workshop_months": 3.0}, "workshop"),
        ({"workshop_months": 3.0, "annual_distance": 20_000 * YEAR_KM}, "dirt"),
        ({"workshop_months": 3.0, "annual_distance": 2000 * YEAR_KM}, "workshop"),
        ({"workshop_months": 60.0}, "dirt"),
        ({"distance_since_rebuild": 0.0, "workshop_months": 3.0}, "running-in"),
    ],
)
def test_limit_that_comes_first_is_named(circumstances, limited_by):
    case = unit(**circumstances)

    assert oil_change_interval(case).limited_by == limited_by


def test_annual_distance_names_a_limit_and_moves_none():
    seldom, often = (
        oil_change_interval(unit("full-flow", annual_distance=far * YEAR_KM)) for far in (300, 9000)
    )

    assert seldom.distance == often.distance
    assert seldom.months == often.months


@given(st.floats(0.0, 150.0), st.floats(0.0, 1.0))
def test_profile_of_one_temperature_is_that_temperature(t, short):
    alone = float(ageing_life(t, 1.0, short))
    split = float(ageing_life(np.array([t, t, t]), np.array([0.2, 0.3, 0.5]), short))

    assert split == pytest.approx(alone, rel=1e-12)


def test_shares_of_life_add_up():
    # half the time at 60 degC (1000 h), half at 80 degC (250 h): 1/(0.5/1000 + 0.5/250) = 400 h
    life = ageing_life(np.array([60.0, 80.0]), np.array([0.5, 0.5]))

    assert float(life) / HOUR == pytest.approx(400.0, rel=1e-12)


def test_profile_whose_shares_do_not_add_up_is_refused():
    with pytest.raises(OutOfRange, match="time_shares"):
        ageing_life(np.array([60.0, 80.0]), np.array([0.5, 0.4]))


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("sump_volume", 0.0),
        ("sump_volume", 0.6),
        ("mean_speed", 0.0),
        ("mean_speed", float("nan")),
        ("efficiency", 1.1),
        ("filter_flow", -1.0),
        ("dirt_capacity", -1e-3),
        ("residue_fraction", 0.95),
        ("sump_temperature_c", 151.0),
        ("short_run_share", -0.1),
        ("distance_since_rebuild", -1.0),
        ("annual_distance", float("inf")),
        ("workshop_distance", 0.0),
        ("workshop_months", 0.0),
        ("filtration", "paper"),
        ("roads", "gravel"),
        ("service_class", "axle"),
    ],
)
def test_circumstance_out_of_range_is_refused_by_name(name, value):
    with pytest.raises(OutOfRange) as refusal:
        oil_change_interval(replace(unit("bypass"), **{name: value}))

    assert refusal.value.argument == name


def test_every_assumption_says_where_it_comes_from():
    assert len({row.name for row in ASSUMPTIONS}) == len(ASSUMPTIONS)
    for row in ASSUMPTIONS:
        assert row.source in {PRACTICE, SET_BY_US}
        assert len(row.meaning) > 20
        assert assumed(row.name) == row.value * row.factor


def test_fleet_of_20_000_units_is_quick():
    dice = random.Random(1)
    fleet = [
        unit(dice.choice(FILTRATIONS), litres=dice.uniform(0.3, 9), kmh=dice.uniform(20, 80),
             dirt_capacity=dice.choice([None, 0.005, 0.02]))
        for _ in range(20_000)
    ]  # fmt: skip
    began = time.process_time()

    oil_change_intervals(fleet)

    # 0.5 s here; one by one it would be 20 s
    assert time.process_time() - began < 8.0
