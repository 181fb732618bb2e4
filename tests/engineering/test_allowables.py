"""Allowables of bearings and bearing metals, each with its source."""

import numpy as np
import pytest

from advisory.engineering.errors import OutOfRange
from advisory.engineering.journal_bearing import (
    bearing_checks,
    film_ratio,
    load_solution,
    oil_flow_balance,
)
from advisory.engineering.journal_bearing.allowables import film_limit_iso, film_limit_trumpler
from advisory.engineering.limit_check import LimitCheck
from advisory.engineering.metals import (
    ALLOWABLES,
    WHITE_METALS,
    BearingMaterial,
    bearing_material,
    yield_point,
)
from advisory.engineering.viscosity import Oil

BEARING = {
    "diameter": 0.05,
    "length": 0.05,
    "running_clearance": 0.0001,
    "speed": 1490 / 60,
    "load": 3200.0,
}
OIL = Oil(kinematic_viscosity_40=100e-6, kinematic_viscosity_100=11.2e-6)


def by_name(checks):
    return {check.name: check for check in checks}


def test_trumpler_s_film_is_that_of_the_inch_rule():
    # h0 >= 0.00020 + 0.00004 D, inches.
    for inches in (1.0, 2.0, 4.0):
        assert float(film_limit_trumpler(inches * 0.0254)) / 0.0254 == pytest.approx(
            0.00020 + 0.00004 * inches
        )


@pytest.mark.parametrize(
    ("millimetres", "speed", "micrometres"),
    [  # ISO 7902-3 / DIN 31652-3 (from memory)
        (24, 0.5, 3), (50, 1.0, 3), (50, 1.1, 4), (63, 10, 5), (64, 10, 7),
        (100, 30, 9), (100, 31, 12), (160, 2, 5), (161, 2, 7), (400, 99, 14),
    ],
)  # fmt: skip
def test_iso_film_is_that_of_its_table(millimetres, speed, micrometres):
    assert float(film_limit_iso(millimetres / 1000, speed)) * 1e6 == pytest.approx(micrometres)


@pytest.mark.parametrize("diameter", [0.02, 0.41])
def test_iso_film_says_nothing_beyond_its_table(diameter):
    assert np.isnan(film_limit_iso(diameter, 5.0))
    bearing = load_solution(
        diameter=diameter,
        length=diameter,
        running_clearance=diameter / 1000,
        speed=20.0,
        load=1e6 * diameter**2,
        viscosity=0.02,
    )
    assert "minimum film thickness (ISO 7902-3)" not in by_name(bearing_checks(bearing))


def test_every_check_carries_value_limit_and_source():
    bearing = oil_flow_balance(**BEARING, oil=OIL, supply_temperature_c=60.0)
    checks = bearing_checks(
        bearing,
        surface_roughness=0.8e-6,
        material=BearingMaterial.TIN_WHITE_METAL,
        density=870.0,
    )
    names = [check.name for check in checks]

    assert names == [
        "minimum film thickness (Trumpler)",
        "minimum film thickness (ISO 7902-3)",
        "film ratio",
        "film temperature",
        "outlet temperature",
        "Reynolds number of the film",
        "unit load",
        "running clearance over diameter",
        "running clearance over diameter",
    ]
    assert all(check.value is not None and check.source for check in checks)
    values = by_name(checks)
    assert values["film ratio"].value == pytest.approx(
        float(bearing.minimum_film_thickness) / 0.8e-6
    )
    assert values["outlet temperature"].value == pytest.approx(
        60.0 + float(bearing.temperature_rise)
    )
    assert values["unit load"].limit == 5e6
    # Radius 25 mm, radial clearance 50 um: R/c 500.
    assert values["Reynolds number of the film"].limit == pytest.approx(41.2 * np.sqrt(500))


def test_metal_contact_fails_the_checks_of_the_film_without_a_number():
    bearing = load_solution(**(BEARING | {"load": 1e7}), viscosity=0.02)
    checks = by_name(
        bearing_checks(bearing, surface_roughness=1e-6, material=BearingMaterial.BRONZE)
    )
    assert checks["film ratio"].value is None
    assert not checks["film ratio"].passed
    assert not checks["minimum film thickness (Trumpler)"].passed
    assert not checks["unit load"].passed
    assert checks["unit load"].value == pytest.approx(1e7 / 0.0025)


def test_light_load_leaves_the_film_s_checks_out():
    bearing = load_solution(**(BEARING | {"load": 1e-4}), viscosity=0.02)
    checks = bearing_checks(
        bearing, surface_roughness=1e-6, material=BearingMaterial.LEAD_WHITE_METAL
    )
    assert [c.name for c in checks] == ["unit load"] + ["running clearance over diameter"] * 2


def test_unforced_oil_is_allowed_less_heat():
    bearing = oil_flow_balance(**BEARING, oil=OIL, supply_temperature_c=60.0)
    forced = by_name(bearing_checks(bearing, forced_oil=True))["outlet temperature"]
    unforced = by_name(bearing_checks(bearing, forced_oil=False))["bearing temperature"]

    assert (forced.limit, unforced.limit) == (100.0, 90.0)


def test_one_of_many_bearings_is_checked():
    bearings = load_solution(**(BEARING | {"load": np.array([1000.0, 6000.0])}), viscosity=0.02)
    light, heavy = (
        by_name(bearing_checks(bearings, (i,)))["minimum film thickness (Trumpler)"].value
        for i in (0, 1)
    )
    assert heavy < light


def test_film_ratio_wants_a_roughness():
    with pytest.raises(OutOfRange) as refused:
        film_ratio(5e-6, 0.0)

    assert refused.value.argument == "surface_roughness"


@pytest.mark.parametrize(
    ("value", "kind", "passed"),
    [
        (1.0, "at least", True), (1.0, "at most", True), (1.0 - 1e-12, "at least", True),
        (0.99, "at least", False), (1.01, "at most", False), (None, "at most", False),
        (float("nan"), "at least", False),
    ],
)  # fmt: skip
def test_limit_is_kept_or_not(value, kind, passed):
    assert LimitCheck("thing", value, 1.0, kind, "", "a test").passed is passed


def test_white_metals_are_those_of_the_standard():
    # ASTM B23 (read in a reproduction): alloy 2 loses about half its yield point to 100 degC.
    assert set(WHITE_METALS) == {"1", "2", "3", "7", "8", "11", "13", "15"}
    assert yield_point("2", 20.0) == 42.0e6
    assert yield_point("2", 100.0) == 20.6e6
    for metal in WHITE_METALS.values():
        base = metal.tin if metal.base is BearingMaterial.TIN_WHITE_METAL else metal.lead
        assert base is None or base[0] > 80
        if metal.solidus_c and metal.liquidus_c:
            assert metal.solidus_c < metal.liquidus_c
        if metal.pouring_c and metal.liquidus_c:
            assert metal.pouring_c > metal.liquidus_c
        if metal.yield_20 and metal.yield_100:
            assert metal.yield_100 < metal.yield_20


@pytest.mark.parametrize(
    ("alloy", "temperature", "argument"),
    [("2", 101.0, "temperature_c"), ("2", float("nan"), "temperature_c"), ("13", 50.0, "alloy")],
)
def test_yield_point_is_not_guessed(alloy, temperature, argument):
    with pytest.raises(OutOfRange) as refused:
        yield_point(alloy, temperature)

    assert refused.value.argument == argument


def test_unknown_material_is_refused_with_those_known():
    with pytest.raises(OutOfRange) as refused:
        bearing_material("cheese")

    assert refused.value.argument == "material"
    assert '"tin white metal"' in refused.value.limit


def test_allowable_loads_stand_for_every_material():
    assert set(ALLOWABLES) == set(BearingMaterial)
    for allowable in ALLOWABLES.values():
        assert allowable.unit_load < allowable.exceptional_unit_load
