"""The film's temperature: closed balances, a second way of finding it, and what must hold."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from advisory.engineering.checks import raimondi_boyd
from advisory.engineering.errors import OutOfRange
from advisory.engineering.journal_bearing import (
    FilmOutcome,
    film_figures,
    housing_balance,
    load_solution,
    oil_flow_balance,
    specific_heat,
)
from advisory.engineering.viscosity import Oil, density, dynamic_viscosity

SAE_30 = Oil(kinematic_viscosity_40=100e-6, kinematic_viscosity_100=11.2e-6, density_15=886.0)
VG_32 = Oil(kinematic_viscosity_40=32e-6, kinematic_viscosity_100=5.4e-6, density_15=868.0)
BEARING = {
    "diameter": 0.05,
    "length": 0.03,
    "running_clearance": 0.00005,
    "speed": 50.0,
    "load": 1500.0,
}
HOUSING = {"ambient_temperature_c": 30.0, "housing_area": 0.03}

bearings = st.fixed_dictionaries(
    {
        "diameter": st.floats(0.02, 0.1),
        "length": st.floats(0.3, 1.5),  # diameters
        "running_clearance": st.floats(5e-4, 3e-3),  # of the diameter
        "speed": st.floats(1.0, 150.0),
        "load": st.floats(50.0, 2e4),
    }
)
supplies = st.floats(20.0, 110.0)


def scaled(drawn):
    return drawn | {
        "length": drawn["length"] * drawn["diameter"],
        "running_clearance": drawn["running_clearance"] * drawn["diameter"],
    }


def oil_flow_by_hand(bearing, oil, supply):
    """Film temperature by a root over temperature, with the load solution inside [degC]."""

    def excess(film_temperature):
        found = load_solution(**bearing, viscosity=float(dynamic_viscosity(oil, film_temperature)))
        capacity = float(density(oil, film_temperature)) * float(
            specific_heat(film_temperature, oil.density_15)
        )
        leaving = found.flow * (1 - found.side_flow_ratio / 2)
        return supply + float(found.friction_power / (capacity * leaving)) / 2 - film_temperature

    return brentq(excess, supply + 1e-6, 149.0, xtol=1e-9)


@pytest.mark.parametrize("oil", [SAE_30, VG_32])
@pytest.mark.parametrize("supply", [40.0, 60.0, 90.0])
@pytest.mark.parametrize("load", [500.0, 1500.0, 4000.0])
def test_oil_flow_balance_is_that_of_a_root_over_temperature(oil, supply, load):
    bearing = BEARING | {"load": load}
    found = oil_flow_balance(**bearing, oil=oil, supply_temperature_c=supply)

    by_hand = oil_flow_by_hand(bearing, oil, supply)

    assert float(found.film_temperature_c) == pytest.approx(by_hand, abs=0.01)
    assert float(found.dynamic_viscosity) == pytest.approx(
        float(dynamic_viscosity(oil, by_hand)), rel=5e-4
    )


def test_housing_balance_is_that_of_a_root_over_temperature():
    bearing = BEARING | {"speed": 10.0}
    found = housing_balance(**bearing, oil=SAE_30, **HOUSING)

    def excess(temperature):
        viscosity = float(dynamic_viscosity(SAE_30, temperature))
        power = float(load_solution(**bearing, viscosity=viscosity).friction_power)
        return 30.0 + power / (20.0 * 0.03) - temperature

    assert float(found.film_temperature_c) == pytest.approx(brentq(excess, 30.1, 149.0), abs=0.01)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(drawn=bearings, supply=supplies)
def test_all_friction_leaves_with_the_oil(drawn, supply):
    found = oil_flow_balance(**scaled(drawn), oil=SAE_30, supply_temperature_c=supply)

    if found.carried:
        film = float(found.film_temperature_c)
        capacity = float(density(SAE_30, film)) * float(specific_heat(film, 886.0))
        leaving = float(found.flow * (1 - found.side_flow_ratio / 2))
        assert capacity * leaving * float(found.temperature_rise) == pytest.approx(
            float(found.friction_power), rel=1e-4
        )
        assert film == pytest.approx(supply + float(found.temperature_rise) / 2)
        assert supply < film <= 150.0
        assert float(found.dynamic_viscosity) == pytest.approx(
            float(dynamic_viscosity(SAE_30, film)), rel=1e-3
        )
    else:
        assert np.isnan(float(found.film_temperature_c))
        assert np.isnan(float(found.temperature_rise))
        assert len(found.reason()) > 40


@settings(max_examples=100, deadline=None, derandomize=True)
@given(drawn=bearings, ambient=st.floats(-10.0, 50.0), area=st.floats(0.005, 1.0))
def test_all_friction_leaves_through_the_housing(drawn, ambient, area):
    found = housing_balance(
        **scaled(drawn), oil=SAE_30, ambient_temperature_c=ambient, housing_area=area
    )
    if found.carried:
        assert 20.0 * area * float(found.temperature_rise) == pytest.approx(
            float(found.friction_power), rel=1e-9
        )
        assert float(found.film_temperature_c) <= 150.0


@settings(max_examples=60, deadline=None, derandomize=True)
@given(drawn=bearings, supply=st.floats(20.0, 90.0), hotter=st.floats(0.5, 20.0))
def test_hotter_oil_thins_the_film(drawn, supply, hotter):
    cool = oil_flow_balance(**scaled(drawn), oil=SAE_30, supply_temperature_c=supply)
    hot = oil_flow_balance(**scaled(drawn), oil=SAE_30, supply_temperature_c=supply + hotter)

    if cool.carried and hot.carried:
        assert hot.minimum_film_thickness < cool.minimum_film_thickness
        assert hot.film_temperature_c > cool.film_temperature_c


@settings(max_examples=60, deadline=None, derandomize=True)
@given(drawn=bearings, supply=supplies, more=st.floats(1.01, 2.0))
def test_more_load_thins_the_film_with_its_heat(drawn, supply, more):
    bearing = scaled(drawn)
    light = oil_flow_balance(**bearing, oil=SAE_30, supply_temperature_c=supply)
    heavy = oil_flow_balance(
        **(bearing | {"load": bearing["load"] * more}), oil=SAE_30, supply_temperature_c=supply
    )
    if light.carried and heavy.carried:
        assert heavy.minimum_film_thickness < light.minimum_film_thickness


def test_wear_lowers_the_film_hot():
    """At the load of a working bearing a wider clearance thins the film; hot oil does not help."""
    clearance = np.linspace(0.00005, 0.00015, 21)
    found = oil_flow_balance(
        **(BEARING | {"running_clearance": clearance, "load": 3000.0, "speed": 25.0}),
        oil=VG_32,
        supply_temperature_c=90.0,
    )
    assert found.carried.all()
    assert (np.diff(found.minimum_film_thickness) < 0).all()


@settings(max_examples=80, deadline=None, derandomize=True)
@given(
    diameter=st.floats(0.02, 0.1),
    ratio=st.floats(0.3, 1.5),
    clearance=st.floats(8e-4, 3e-3),  # of the diameter
    eccentricity=st.floats(0.87, 0.97),
    speed=st.floats(1.0, 20.0),
    supply=st.floats(80.0, 110.0),
    wear=st.floats(1.02, 1.8),
)
def test_more_wear_lowers_the_film_of_a_loaded_bearing_hot(
    diameter, ratio, clearance, eccentricity, speed, supply, wear
):
    """Where the sump's heat and not the film's own sets the viscosity: a rise of 5 K at most.

    Below an eccentricity of about 0.7 (a short bearing's) a wider clearance may thicken the film,
    and where the film heats itself its greater flow may: that is so, and is not forbidden here.
    """
    number = float(film_figures(eccentricity, ratio).sommerfeld_number)
    viscosity = float(dynamic_viscosity(SAE_30, supply))
    bearing = {
        "diameter": diameter,
        "length": ratio * diameter,
        "speed": speed,
        "load": viscosity * speed * ratio * diameter**2 / (clearance**2 * number),
    }
    built, worn = (
        oil_flow_balance(
            **bearing,
            running_clearance=running_clearance,
            oil=SAE_30,
            supply_temperature_c=supply,
        )
        for running_clearance in (clearance * diameter, wear * clearance * diameter)
    )
    assume(built.carried and worn.carried and built.temperature_rise <= 5.0)

    assert worn.minimum_film_thickness < built.minimum_film_thickness


def test_given_heat_capacity_is_the_textbook_s():
    # 8.3e-6 K/Pa of metric textbooks: rho c_p 1.514 MJ/m3/K.
    found = oil_flow_balance(
        **BEARING, oil=SAE_30, supply_temperature_c=60.0, heat_capacity=1.514e6
    )
    variable = found.friction_variable / (found.flow_variable * (1 - found.side_flow_ratio / 2))

    assert float(found.temperature_rise) == pytest.approx(
        8.3e-6 * float(found.unit_load * variable), rel=1e-3
    )


@pytest.mark.parametrize("length", [0.25, 0.5, 1.0])
@pytest.mark.parametrize(("load", "speed"), [(1500.0, 20.0), (1500.0, 50.0), (4000.0, 50.0)])
def test_film_temperature_is_that_of_the_textbook_procedure(length, load, speed):
    """By chart and trial, as Shigley's chapter on lubrication has it: nothing of ours but the oil.

    Raimondi and Boyd's table, read between its rows; the temperature rise of 8.30e-6 K/Pa;
    the viscosity of SAE 30 by A. Seireg and S. Dandage, 0.0141 exp(1360/(T + 95)) microreyn, T in
    degF, through which the oil's line is laid.
    """
    bearing = BEARING | {"length": length * 0.05, "load": load, "speed": speed}

    def viscosity(t):
        return 6894.757 * 0.0141e-6 * np.exp(1360.0 / (1.8 * t + 32.0 + 95.0))

    rows = np.array([row for row in raimondi_boyd.ROWS if row[0] == length])[::-1]
    number, friction, flow, side = np.log(rows[:, 2]), rows[:, 4], rows[:, 5], rows[:, 6]
    pressure = load / (0.05 * bearing["length"])

    def excess(t):
        at = np.log((0.025 / 0.000025) ** 2 * viscosity(t) * speed / pressure)
        variable = np.exp(np.interp(at, number, np.log(friction)))
        q, share = np.interp(at, number, flow), np.interp(at, number, side)
        return 60.0 + 8.30e-6 * pressure * variable / (q * (1 - share / 2)) / 2 - t

    thin, thick = (viscosity(t) / (870.0 * (1 - 0.00072 * (t - 15.0))) for t in (100.0, 40.0))
    found = oil_flow_balance(
        **bearing,
        oil=Oil(kinematic_viscosity_40=thick, kinematic_viscosity_100=thin, density_15=870.0),
        supply_temperature_c=60.0,
        heat_capacity=4 * np.pi / 8.30e-6,
    )
    by_chart = brentq(excess, 60.01, 149.0)

    assert float(found.temperature_rise) == pytest.approx(2 * (by_chart - 60.0), rel=0.04)


def test_multigrade_factor_thins_the_film():
    straight = oil_flow_balance(**BEARING, oil=SAE_30, supply_temperature_c=70.0)
    sheared = oil_flow_balance(
        **BEARING, oil=SAE_30, supply_temperature_c=70.0, viscosity_factor=0.9
    )
    assert sheared.minimum_film_thickness < straight.minimum_film_thickness
    assert float(sheared.dynamic_viscosity) == pytest.approx(
        0.9 * float(dynamic_viscosity(SAE_30, float(sheared.film_temperature_c))), rel=1e-4
    )


def test_film_that_heats_itself_beyond_the_oil_is_runaway_and_no_number():
    found = housing_balance(
        **(BEARING | {"speed": 200.0}),
        oil=SAE_30,
        ambient_temperature_c=30.0,
        housing_area=0.002,
    )
    assert found.outcome == FilmOutcome.TEMPERATURE_RUNAWAY
    assert np.isnan(found.film_temperature_c)
    assert "150 degC" in found.reason()


@pytest.mark.parametrize("load", [1e5, 1e6])
def test_load_beyond_the_film_is_metal_contact_and_no_number(load):
    found = oil_flow_balance(
        **(BEARING | {"load": load, "speed": 0.2}), oil=SAE_30, supply_temperature_c=60.0
    )
    assert found.outcome == FilmOutcome.METAL_CONTACT
    assert np.isnan(found.film_temperature_c)


def test_light_load_is_said_and_no_number():
    found = oil_flow_balance(
        **(BEARING | {"load": 0.01, "speed": 1.0}), oil=SAE_30, supply_temperature_c=20.0
    )
    assert found.outcome == FilmOutcome.LIGHTLY_LOADED
    assert np.isnan(found.film_temperature_c)


def test_many_bearings_with_many_oils_are_each_as_if_alone():
    rng = np.random.default_rng(7)
    n = 40
    many = {
        "diameter": rng.uniform(0.02, 0.08, n),
        "length": rng.uniform(0.02, 0.035, n),
        "running_clearance": rng.uniform(3e-5, 1e-4, n),
        "speed": rng.uniform(0.5, 100, n),
        "load": np.exp(rng.uniform(np.log(1.0), np.log(3e5), n)),
    }
    kv40 = np.exp(rng.uniform(np.log(2.5e-6), np.log(400e-6), n))
    kv100 = np.minimum(kv40 * 0.5, 0.65e-6 * (kv40 * 1e6) ** 0.62)
    oils = Oil(kinematic_viscosity_40=kv40, kinematic_viscosity_100=kv100)
    supply = rng.uniform(-10.0, 60.0, n)
    together = oil_flow_balance(**many, oil=oils, supply_temperature_c=supply)

    assert set(together.outcome.tolist()) >= {0, 1}
    for i in range(n):
        alone = oil_flow_balance(
            **{name: float(value[i]) for name, value in many.items()},
            oil=Oil(kinematic_viscosity_40=float(kv40[i]), kinematic_viscosity_100=float(kv100[i])),
            supply_temperature_c=float(supply[i]),
        )
        assert together.outcome[i] == alone.outcome
        np.testing.assert_allclose(
            together.film_temperature_c[i], alone.film_temperature_c, rtol=1e-6
        )


@pytest.mark.parametrize(
    ("argument", "value"),
    [
        ("supply_temperature_c", 151.0),
        ("supply_temperature_c", float("nan")),
        ("viscosity_factor", 0.0),
        ("viscosity_factor", 1.1),
        ("heat_capacity", -1.0),
        ("load", 0.0),
    ],
)
def test_bad_argument_is_refused_by_name(argument, value):
    arguments = BEARING | {"oil": SAE_30, "supply_temperature_c": 60.0} | {argument: value}
    with pytest.raises(OutOfRange) as refused:
        oil_flow_balance(**arguments)

    assert refused.value.argument == argument


@pytest.mark.parametrize("argument", ["housing_area", "heat_transfer_coefficient"])
def test_housing_without_a_way_for_heat_is_refused(argument):
    with pytest.raises(OutOfRange) as refused:
        housing_balance(**(BEARING | HOUSING | {"oil": SAE_30, argument: 0.0}))

    assert refused.value.argument == argument


def test_specific_heat_of_oil_is_about_two_kilojoules():
    # 1.67 to 2.1 kJ/kg/K for mineral oils at 0 to 100 degC: lubrication handbooks (from memory).
    values = specific_heat(np.linspace(0.0, 100.0, 11), 880.0)

    assert (np.diff(values) > 0).all()
    assert values.min() > 1670.0
    assert values.max() < 2250.0
