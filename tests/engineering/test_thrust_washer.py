"""Thrust washers: pressure, speed, their product and what they are allowed."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering.errors import OutOfRange
from advisory.engineering.metals import BearingMaterial
from advisory.engineering.thrust_washer import thrust_washer_checks, thrust_washer_duty

WASHER = {"inner_diameter": 0.03, "outer_diameter": 0.05, "load": 300.0, "speed": 50.0}


def test_duty_is_that_worked_by_hand():
    duty = thrust_washer_duty(**WASHER, floating=False)

    # Ring 1256.64 mm2; mean diameter 40 mm at 50 rev/s.
    assert float(duty.pressure) == pytest.approx(300.0 / 1256.637e-6, rel=1e-6)
    assert float(duty.sliding_speed) == pytest.approx(6.28319, rel=1e-6)
    assert float(duty.pressure_velocity) == pytest.approx(1.5e6, rel=1e-5)


def test_floating_washer_sees_half_the_speed_at_each_face():
    fixed = thrust_washer_duty(**WASHER, floating=False)
    floating = thrust_washer_duty(**WASHER)

    assert float(floating.sliding_speed) == pytest.approx(float(fixed.sliding_speed) / 2)
    assert float(floating.pressure) == float(fixed.pressure)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    inner=st.floats(0.005, 0.2),
    width=st.floats(1.05, 4.0),
    load=st.floats(1.0, 1e5),
    speed=st.floats(0.01, 500.0),
)
def test_pressure_gives_the_load_back(inner, width, load, speed):
    duty = thrust_washer_duty(
        inner_diameter=inner, outer_diameter=inner * width, load=load, speed=speed
    )
    # Brute force: the ring summed up in thin rings.
    edges = np.linspace(inner / 2, inner * width / 2, 20_001)
    area = (2 * np.pi * 0.5 * (edges[1:] + edges[:-1]) * np.diff(edges)).sum()

    assert float(duty.pressure) * area == pytest.approx(load, rel=1e-8)
    assert np.isfinite(float(duty.pressure_velocity))


def test_bronze_is_held_to_its_pressure_velocity():
    # 50 000 psi ft/min = 1.75 MPa m/s (from memory).
    assert pytest.approx(1.75e6, rel=2e-3) == 50_000 * 6894.757 * 0.3048 / 60
    passing = thrust_washer_checks(
        thrust_washer_duty(**WASHER, floating=False), material=BearingMaterial.BRONZE
    )
    failing = thrust_washer_checks(
        thrust_washer_duty(**(WASHER | {"speed": 70.0}), floating=False),
        material=BearingMaterial.BRONZE,
    )
    assert [c.passed for c in passing] == [True, True]
    assert [c.passed for c in failing] == [True, False]


def test_white_metal_is_held_to_its_pressure_and_pressure_velocity():
    duty = thrust_washer_duty(**(WASHER | {"load": 700.0}))
    checks = thrust_washer_checks(duty, material=BearingMaterial.TIN_WHITE_METAL)

    # 0.557 MPa against 0.382 (grooved, oiled) and 0.52 (flat white-metal face); 1.75 MPa m/s
    # against 30 000 psi ft/min (R. L. Mott, table 16-1).
    assert [c.passed for c in checks] == [False, False, False]
    assert [round(c.limit / 1e6, 2) for c in checks] == [0.38, 0.52, 1.05]
    assert all(c.source for c in checks)


def test_one_of_many_washers_is_checked():
    duty = thrust_washer_duty(**(WASHER | {"load": np.array([100.0, 5000.0])}))

    assert thrust_washer_checks(duty, (0,))[0].passed
    assert not thrust_washer_checks(duty, (1,))[0].passed


@pytest.mark.parametrize(
    ("changes", "argument"),
    [
        ({"inner_diameter": 0.0}, "inner_diameter"),
        ({"inner_diameter": 0.05}, "inner_diameter"),
        ({"outer_diameter": -0.05}, "outer_diameter"),
        ({"load": 0.0}, "load"),
        ({"speed": float("nan")}, "speed"),
    ],
)
def test_bad_argument_is_refused_by_name(changes, argument):
    with pytest.raises(OutOfRange) as refused:
        thrust_washer_duty(**(WASHER | changes))

    assert refused.value.argument == argument
