"""Viscosity and density with temperature: a second way, and what must hold by nature.

The published values stand in advisory/engineering/checks/viscosity.py.
"""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from advisory.engineering.errors import OutOfRange
from advisory.engineering.viscosity import (
    Oil,
    density,
    dynamic_viscosity,
    kinematic_viscosity,
    viscosity_line,
    viscosity_on_line,
)

KELVIN = 273.15
temperatures = st.floats(-40.0, 150.0)


def oil(viscosity_40: float, viscosity_100: float, density_15: float = 880.0) -> Oil:
    return Oil(
        kinematic_viscosity_40=viscosity_40 * 1e-6,
        kinematic_viscosity_100=viscosity_100 * 1e-6,
        density_15=density_15,
    )


@st.composite
def oils(draw: st.DrawFn) -> Oil:
    hot = draw(st.floats(1.0, 60.0))
    cold = draw(st.floats(2.2, 20.0)) * hot
    return oil(cold, hot, draw(st.floats(810.0, 1100.0)))


def by_root_of_the_forward_relation(nu_1, t_1, nu_2, t_2, t):
    """Solve the printed forward relation for the viscosity, with none of our inverse."""

    def zed(nu: float) -> float:
        thin = math.exp(-1.47 - 1.84 * nu - 0.51 * nu**2) if nu < 2.0 else 0.0
        return nu + 0.7 + thin

    y_1, y_2 = (math.log10(math.log10(zed(nu))) for nu in (nu_1, nu_2))
    x_1, x_2, x = (math.log10(c + KELVIN) for c in (t_1, t_2, t))
    wanted = y_1 + (y_2 - y_1) * (x - x_1) / (x_2 - x_1)
    return brentq(lambda nu: math.log10(math.log10(zed(nu))) - wanted, 0.21, 1e8, xtol=1e-13)


@pytest.mark.parametrize(
    ("cold", "hot", "temperature"),
    [(32.0, 5.4, 80.0), (100.0, 11.2, 10.0), (3.6, 1.3, 120.0), (1.8, 0.8, 60.0), (460, 30, 150)],
)
def test_viscosity_equals_the_root_of_the_forward_relation(cold, hot, temperature):
    expected = by_root_of_the_forward_relation(cold, 40.0, hot, 100.0, temperature)

    computed = float(kinematic_viscosity(oil(cold, hot), temperature)) * 1e6

    assert computed == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("nu", [0.25, 0.5, 0.9, 1.3, 1.7, 1.95])
def test_thin_branch_is_within_a_thousandth_of_the_printed_inverse(nu):
    # D341-09, equation 3, as printed; ours is polished to be the exact inverse of equation 2.
    z = nu + math.exp(-1.47 - 1.84 * nu - 0.51 * nu**2)
    printed = z - math.exp(-0.7487 - 3.295 * z + 0.6119 * z**2 - 0.3193 * z**3)
    line = viscosity_line(nu * 1e-6, 100.0, 5e-6, 20.0)

    ours = float(viscosity_on_line(line, 100.0)) * 1e6

    assert ours == pytest.approx(nu, rel=1e-9)
    assert printed == pytest.approx(nu, rel=4e-3)


@given(oils())
def test_line_goes_through_both_of_its_points(o):
    nu = kinematic_viscosity(o, np.array([40.0, 100.0]))

    assert float(nu[0]) == pytest.approx(float(o.kinematic_viscosity_40), rel=1e-9)
    # where the branches meet, at 2 mm2/s, the standard's relation jumps by 0.04 %
    assert float(nu[1]) == pytest.approx(float(o.kinematic_viscosity_100), rel=4e-4)


@given(oils(), temperatures, temperatures)
def test_viscosity_never_grows_with_temperature(o, one, other):
    assume(abs(one - other) > 1e-3)
    colder, hotter = sorted((one, other))
    try:
        thick, thin = kinematic_viscosity(o, np.array([colder, hotter]))
    except OutOfRange:
        assume(False)  # far below 0 degC a thick oil is refused, as it should be

    assert thin < thick


@given(oils(), st.lists(st.floats(0.0, 150.0), min_size=1, max_size=5))
def test_array_gives_what_single_temperatures_give(o, several):
    together = dynamic_viscosity(o, np.array(several))

    # numpy may take another way through a long array: the last bit is not promised
    singly = [float(dynamic_viscosity(o, t)) for t in several]
    assert together.tolist() == pytest.approx(singly, rel=1e-13)


def test_many_oils_are_computed_at_once():
    many = Oil(
        kinematic_viscosity_40=np.array([32e-6, 100e-6]),
        kinematic_viscosity_100=np.array([5.4e-6, 11.2e-6]),
        density_15=np.array([868.0, 886.0]),
    )

    assert kinematic_viscosity(many, 80.0).tolist() == [
        float(kinematic_viscosity(one, 80.0)) for one in (oil(32, 5.4), oil(100, 11.2))
    ]
    assert density(many, np.array([[20.0], [80.0]])).shape == (2, 2)


@pytest.mark.parametrize("temperature", [-40.1, 150.1, 400.0, float("nan"), float("inf")])
def test_temperature_where_the_relation_does_not_hold_is_refused(temperature):
    with pytest.raises(OutOfRange) as refusal:
        kinematic_viscosity(oil(100, 11.2), temperature)

    assert refusal.value.argument == "temperature_c"
    assert "-40" in refusal.value.limit
    assert "150" in refusal.value.limit


def test_viscosity_beyond_the_relation_is_refused():
    with pytest.raises(OutOfRange, match="thicker"):
        kinematic_viscosity(oil(20_000, 60), -40.0)


@pytest.mark.parametrize(
    ("figures", "argument"),
    [
        ({"kinematic_viscosity_40": 0.0}, "kinematic_viscosity_40"),
        ({"kinematic_viscosity_40": float("nan")}, "kinematic_viscosity_40"),
        ({"kinematic_viscosity_100": -1e-6}, "kinematic_viscosity_100"),
        ({"kinematic_viscosity_100": 100e-6}, "kinematic_viscosity_100"),
        ({"density_15": 0.88}, "density_15"),
        ({"density_15": 1200.0}, "density_15"),
    ],
)
def test_oil_that_cannot_be_is_refused(figures, argument):
    sound = {"kinematic_viscosity_40": 100e-6, "kinematic_viscosity_100": 11.2e-6}

    with pytest.raises(OutOfRange) as refusal:
        Oil(**(sound | figures))

    assert refusal.value.argument == argument


@pytest.mark.parametrize("rho_15", [810.0, 880.0, 1100.0])
@pytest.mark.parametrize("temperature", [-30.0, 60.0, 140.0])
def test_density_equals_the_integral_of_its_expansion(rho_15, temperature):
    # d ln rho / dt = -a (1 + 1.6 a (t - 15)) is the differential form of API MPMS 11.1
    a = 0.6278 / rho_15
    path = solve_ivp(
        lambda t, rho: -a * (1.0 + 1.6 * a * (t - 15.0)) * rho,
        (15.0, temperature), [rho_15], rtol=1e-10, atol=1e-10,
    )  # fmt: skip

    computed = float(density(oil(100, 11.2, rho_15), temperature))

    assert computed == pytest.approx(float(path.y[0, -1]), rel=1e-6)


@given(oils())
def test_density_at_its_own_temperature_is_itself(o):
    assert float(density(o, 15.0)) == pytest.approx(float(o.density_15), rel=1e-12)


@given(oils(), temperatures, temperatures)
def test_density_falls_with_temperature(o, one, other):
    assume(abs(one - other) > 1e-6)
    colder, hotter = sorted((one, other))

    assert float(density(o, hotter)) < float(density(o, colder))


@given(oils(), st.floats(0.0, 150.0))
def test_dynamic_viscosity_is_kinematic_times_density(o, t):
    expected = float(kinematic_viscosity(o, t)) * float(density(o, t))

    assert float(dynamic_viscosity(o, t)) == pytest.approx(expected, rel=1e-14)


def test_line_through_two_viscosities_at_one_temperature_is_refused():
    with pytest.raises(OutOfRange, match="temperature_2_c"):
        viscosity_line(32e-6, 40.0, 5.4e-6, 40.0)
