"""The load solution: what it gives, what it refuses, and what must hold by nature."""

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering.errors import OutOfRange
from advisory.engineering.journal_bearing import FilmOutcome, load_solution

BEARING = {
    "diameter": 0.05,
    "length": 0.04,
    "running_clearance": 0.00006,
    "speed": 25.0,
    "load": 2000.0,
    "viscosity": 0.02,
}
FIGURES = (
    "sommerfeld_number",
    "eccentricity_ratio",
    "minimum_film_thickness",
    "attitude_angle",
    "friction_coefficient",
    "friction_variable",
    "friction_power",
    "flow",
    "flow_variable",
    "side_flow_ratio",
    "maximum_pressure",
    "pressure_ratio",
    "dynamic_viscosity",
)

bearings = st.fixed_dictionaries(
    {
        "diameter": st.floats(0.01, 0.2),
        "length": st.floats(0.1, 2.0),  # diameters
        "running_clearance": st.floats(2e-4, 5e-3),  # of the diameter
        "speed": st.floats(0.1, 400.0),
        "load": st.floats(1.0, 1e5),
        "viscosity": st.floats(0.001, 5.0),
    }
)


def bearing_of(drawn, **changes):
    values = drawn | {
        "length": drawn["length"] * drawn["diameter"],
        "running_clearance": drawn["running_clearance"] * drawn["diameter"],
    }
    return load_solution(**(values | changes))


def test_figures_follow_from_one_another():
    bearing = load_solution(**BEARING)
    case = bearing.case
    clearance, radius = case.radial_clearance, case.diameter / 2

    assert case.radial_clearance == pytest.approx(0.00003)
    assert bearing.unit_load == pytest.approx(1e6)
    assert bearing.sommerfeld_number == pytest.approx(
        (radius / clearance) ** 2 * 0.02 * 25.0 / 1e6, rel=1e-9
    )
    assert bearing.minimum_film_thickness == pytest.approx(
        clearance * (1 - bearing.eccentricity_ratio)
    )
    assert bearing.friction_variable == pytest.approx(
        bearing.friction_coefficient * radius / clearance
    )
    assert bearing.friction_power == pytest.approx(
        bearing.friction_coefficient * 2000.0 * np.pi * 0.05 * 25.0
    )
    assert bearing.flow == pytest.approx(bearing.flow_variable * radius * clearance * 25.0 * 0.04)
    assert bearing.maximum_pressure == pytest.approx(1e6 / bearing.pressure_ratio)
    assert bearing.film_temperature_c is None
    assert bearing.reason() == ""


@settings(max_examples=200, deadline=None, derandomize=True)
@given(drawn=bearings)
def test_there_is_a_film_and_every_figure_or_a_reason_and_none(drawn):
    bearing = bearing_of(drawn)
    values = np.array([float(getattr(bearing, name)) for name in FIGURES])

    if bearing.carried:
        assert np.isfinite(values).all()
        assert (values > 0).all()
        assert 0.01 <= bearing.eccentricity_ratio <= 0.99
        assert bearing.reason() == ""
    else:
        assert np.isnan(values).all()
        assert len(bearing.reason()) > 40
    assert bearing.unit_load > 0


@settings(max_examples=100, deadline=None, derandomize=True)
@given(drawn=bearings, more=st.floats(1.001, 3.0))
def test_more_load_thins_the_film(drawn, more):
    light = bearing_of(drawn)
    heavy = bearing_of(drawn, load=drawn["load"] * more)

    if light.carried and heavy.carried:
        assert heavy.minimum_film_thickness < light.minimum_film_thickness
        assert heavy.maximum_pressure > light.maximum_pressure
    if not light.carried and light.outcome == FilmOutcome.METAL_CONTACT:
        assert heavy.outcome == FilmOutcome.METAL_CONTACT


@settings(max_examples=100, deadline=None, derandomize=True)
@given(drawn=bearings, thinner=st.floats(0.3, 0.999))
def test_thinner_oil_thins_the_film(drawn, thinner):
    thick = bearing_of(drawn)
    thin = bearing_of(drawn, viscosity=drawn["viscosity"] * thinner)

    if thick.carried and thin.carried:
        assert thin.minimum_film_thickness < thick.minimum_film_thickness


@settings(max_examples=100, deadline=None, derandomize=True)
@given(drawn=bearings, size=st.floats(0.01, 100.0))
def test_the_same_bearing_in_another_unit_of_length_is_the_same(drawn, size):
    # Lengths and sqrt(load) alike, viscosity kept: every dimensionless figure stays.
    one = bearing_of(drawn)
    other = bearing_of(
        drawn | {"diameter": drawn["diameter"] * size, "load": drawn["load"] * size**2}
    )
    if one.carried and other.carried:
        for name in ("eccentricity_ratio", "friction_variable", "flow_variable", "pressure_ratio"):
            assert float(getattr(other, name)) == pytest.approx(float(getattr(one, name)), rel=1e-9)
        assert float(other.minimum_film_thickness) == pytest.approx(
            float(one.minimum_film_thickness) * size, rel=1e-9
        )


def test_inches_and_millimetres_give_the_same_film():
    # 1.5 inch, 3 thou, 500 lbf, 4 microreyn: each factor exact by definition.
    inch, pound = 0.0254, 4.4482216152605
    in_inches = load_solution(
        diameter=1.5 * inch,
        length=1.5 * inch,
        running_clearance=0.003 * inch,
        speed=1800 / 60,
        load=500 * pound,
        viscosity=4e-6 * pound / inch**2,
    )
    in_millimetres = load_solution(
        diameter=38.1e-3,
        length=38.1e-3,
        running_clearance=76.2e-6,
        speed=30.0,
        load=2224.11080763025,
        viscosity=0.0275790291726,
    )
    for name in FIGURES:
        assert float(getattr(in_inches, name)) == pytest.approx(
            float(getattr(in_millimetres, name)), rel=1e-9
        )


def test_array_in_array_out_and_each_as_if_alone():
    loads = np.array([[100.0, 2000.0, 8000.0], [500.0, 1e7, 1e-3]])
    together = load_solution(**(BEARING | {"load": loads}))

    assert together.minimum_film_thickness.shape == (2, 3)
    for index in np.ndindex(2, 3):
        alone = load_solution(**(BEARING | {"load": float(loads[index])}))
        assert together.outcome[index] == alone.outcome
        for name in FIGURES:
            np.testing.assert_allclose(
                getattr(together, name)[index], getattr(alone, name), rtol=1e-7
            )


def test_many_parts_are_joined_in_order():
    loads = np.geomspace(200.0, 5000.0, 20_001)
    film = load_solution(**(BEARING | {"load": loads})).minimum_film_thickness

    assert (np.diff(film) < 0).all()


def test_too_heavy_a_load_is_metal_contact_and_no_number():
    bearing = load_solution(**(BEARING | {"load": 1e7}))

    assert bearing.outcome == FilmOutcome.METAL_CONTACT
    assert FilmOutcome(int(bearing.outcome)).code == "metal_contact"
    assert np.isnan(bearing.minimum_film_thickness)
    assert "touch" in bearing.reason()


def test_too_light_a_load_is_said_and_no_number():
    bearing = load_solution(**(BEARING | {"load": 1e-3}))

    assert bearing.outcome == FilmOutcome.LIGHTLY_LOADED
    assert np.isnan(bearing.friction_power)
    assert "too light" in bearing.reason()


@pytest.mark.parametrize("argument", list(BEARING))
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_bad_argument_is_refused_by_name(argument, value):
    with pytest.raises(OutOfRange) as refused:
        load_solution(**(BEARING | {argument: value}))

    assert refused.value.argument == argument


@pytest.mark.parametrize("length", [0.0049, 0.1001])
def test_length_beyond_the_table_is_refused_with_its_limit(length):
    with pytest.raises(OutOfRange) as refused:
        load_solution(**(BEARING | {"length": length}))

    assert refused.value.argument == "length"
    assert refused.value.limit == "0.1 to 2 times the diameter"
    assert refused.value.value == length


def test_length_of_just_two_diameters_passes_in_inches():
    load_solution(**(BEARING | {"diameter": 1.5 * 0.0254, "length": 3.0 * 0.0254}))
    load_solution(**(BEARING | {"diameter": 0.3 / 3, "length": 0.2}))


def test_clearance_that_is_none_of_this_diameter_is_refused():
    with pytest.raises(OutOfRange) as refused:
        load_solution(**(BEARING | {"running_clearance": 0.06}))

    assert refused.value.argument == "running_clearance"


def test_importing_the_computation_brings_no_scipy_with_it():
    """What makes the import slow is scipy; it is brought in where a relation needs it."""
    script = (
        "import sys, advisory.engineering, advisory.engineering.journal_bearing as b;"
        "b.film_figures(0.5, 1.0); print('scipy' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "False"
