"""Press fits: Lame's cylinders against an elastic ring solved by brute force."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import solve_banded

from advisory.engineering.errors import OutOfRange
from advisory.engineering.press_fit import (
    METALS,
    PressFitMaterial,
    press_fit,
    press_fit_checks,
    press_fit_material,
)

STEEL, BRONZE = PressFitMaterial.STEEL, PressFitMaterial.BRONZE
FIT = {
    "interface_diameter": 0.05,
    "sleeve_outer_diameter": 0.08,
    "length": 0.04,
    "interference": 40e-6,
    "sleeve_material": STEEL,
    "shaft_material": STEEL,
}


def ring_growth(inner, outer, metal, inner_pressure, outer_pressure, cells=4000):
    """Radial growth of both faces of a thick ring, plane stress, by finite differences.

    u'' + u'/r - u/r2 = 0 with the radial stress given at both faces; nothing of Lame's is used.
    """
    e, nu = metal.youngs_modulus, metal.poisson_ratio
    r = np.linspace(inner, outer, cells + 1)
    h = r[1] - r[0]
    band = np.zeros((3, cells + 1))
    right = np.zeros(cells + 1)
    band[0, 1:] = 1 / h**2 + 1 / (2 * r[:-1] * h)
    band[1] = -2 / h**2 - 1 / r**2
    band[2, :-1] = 1 / h**2 - 1 / (2 * r[1:] * h)
    # Ghost nodes beyond the faces carry the stress there: u' + nu u/r = -p (1 - nu2)/E.
    slope = -np.array([inner_pressure, outer_pressure]) * (1 - nu**2) / e
    inward = (1 / h**2 - 1 / (2 * r[0] * h)) * 2 * h
    outward = (1 / h**2 + 1 / (2 * r[-1] * h)) * 2 * h
    band[0, 1] = band[2, -2] = 2 / h**2
    band[1, 0] += inward * nu / r[0]
    band[1, -1] -= outward * nu / r[-1]
    right[0] = inward * slope[0]
    right[-1] = -outward * slope[1]
    u = solve_banded((1, 1), band, right)
    return u[0], u[-1]


@pytest.mark.parametrize("shaft_inner", [0.02, 0.035])
@pytest.mark.parametrize("materials", [(STEEL, STEEL), (BRONZE, STEEL)])
def test_growth_of_both_rings_takes_up_the_interference(shaft_inner, materials):
    sleeve, shaft = materials
    grip = press_fit(
        **(
            FIT
            | {
                "sleeve_material": sleeve,
                "shaft_material": shaft,
                "shaft_inner_diameter": shaft_inner,
            }
        )
    )
    p = float(grip.pressure)
    bore, _ = ring_growth(0.025, 0.04, METALS[sleeve], p, 0.0)
    _, journal = ring_growth(shaft_inner / 2, 0.025, METALS[shaft], 0.0, p)

    assert 2 * (bore - journal) == pytest.approx(40e-6, rel=1e-4)


def test_hoop_stress_of_a_thin_sleeve_is_that_of_a_hoop():
    grip = press_fit(**(FIT | {"sleeve_outer_diameter": 0.0502}))

    # p d/(2 t), t = 0.1 mm, over the mean radius.
    thin = float(grip.pressure) * 0.0501 / (2 * 0.0001)
    assert float(grip.sleeve_hoop_stress) == pytest.approx(thin, rel=2e-3)


def test_solid_shaft_bears_the_pressure_all_round():
    grip = press_fit(**FIT)

    assert float(grip.shaft_hoop_stress) == pytest.approx(-float(grip.pressure))


def test_assembly_temperature_opens_interference_and_clearance():
    grip = press_fit(**(FIT | {"assembly_clearance": 20e-6}))

    assert float(grip.assembly_temperature_rise) == pytest.approx(60e-6 / (11.5e-6 * 0.05))


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    d=st.floats(0.005, 0.3),
    wall=st.floats(1.02, 3.0),
    hollow=st.floats(0.0, 0.95),
    delta=st.floats(1e-5, 2e-3),
    more=st.floats(1.01, 2.0),
    materials=st.tuples(
        st.sampled_from(list(PressFitMaterial)), st.sampled_from(list(PressFitMaterial))
    ),
)
def test_more_interference_grips_more_and_a_hollow_shaft_less(
    d, wall, hollow, delta, more, materials
):
    def grip(interference, inner):
        return press_fit(
            interface_diameter=d,
            sleeve_outer_diameter=d * wall,
            length=d,
            interference=interference,
            shaft_inner_diameter=inner,
            sleeve_material=materials[0],
            shaft_material=materials[1],
        )

    base = grip(delta * d, hollow * d)
    values = [float(value) for value in vars(base).values()]

    assert np.isfinite(values).all()
    assert grip(delta * d * more, hollow * d).pressure > base.pressure
    assert base.pressure <= grip(delta * d, 0.0).pressure * (1 + 1e-12)
    assert base.sleeve_hoop_stress > base.pressure


def test_no_interference_grips_with_nothing():
    grip = press_fit(**(FIT | {"interference": 0.0}))

    assert float(grip.pressure) == 0.0
    assert float(grip.torque) == 0.0


def test_hot_assembly_near_white_metal_and_hardened_sleeves_is_warned_of():
    grip = press_fit(**(FIT | {"interference": 100e-6, "assembly_clearance": 50e-6}))
    checks = {
        check.name: check
        for check in press_fit_checks(grip, sleeve_material=STEEL, shaft_material=STEEL)
    }
    # 150 um over 50 mm of steel: 261 K above 20 degC.
    assert not checks["temperature of a hardened sleeve for assembly"].passed
    assert not checks["temperature near white metal for assembly"].passed
    assert not checks["stress at the sleeve's bore (Tresca)"].passed
    assert all(check.source for check in checks.values())


def test_hollow_shaft_is_judged_at_its_own_bore():
    grip = press_fit(**(FIT | {"shaft_inner_diameter": 0.03}))
    checks = press_fit_checks(grip, sleeve_material=STEEL, shaft_material=STEEL)
    # 2 p d2/(d2 - di2) at the bore.
    assert checks[1].value == pytest.approx(
        2 * float(grip.pressure) * 0.05**2 / (0.05**2 - 0.03**2)
    )


@pytest.mark.parametrize(
    ("changes", "argument"),
    [
        ({"interface_diameter": 0.0}, "interface_diameter"),
        ({"sleeve_outer_diameter": 0.05}, "sleeve_outer_diameter"),
        ({"shaft_inner_diameter": 0.05}, "shaft_inner_diameter"),
        ({"interference": -1e-6}, "interference"),
        ({"interference": 0.001}, "interference"),
        ({"length": float("nan")}, "length"),
        ({"friction_coefficient": 0.0}, "friction_coefficient"),
        ({"friction_coefficient": 1.5}, "friction_coefficient"),
        ({"assembly_clearance": -1e-6}, "assembly_clearance"),
    ],
)
def test_bad_argument_is_refused_by_name(changes, argument):
    with pytest.raises(OutOfRange) as refused:
        press_fit(**(FIT | changes))

    assert refused.value.argument == argument


def test_unknown_metal_is_refused_for_its_part():
    with pytest.raises(OutOfRange) as refused:
        press_fit_material("cheese", "shaft_material")

    assert refused.value.argument == "shaft_material"
    assert '"cast iron"' in refused.value.limit
