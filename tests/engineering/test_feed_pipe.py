"""Feed pipes: round and squashed flow against a duct solved by brute force, and its limits."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering.errors import OutOfRange
from advisory.engineering.feed_pipe import feed_pipe_flow, squashed_half_width
from tests.engineering import duct

PIPE = {"bore": 0.006, "length": 0.8, "pressure_difference": 1e5, "viscosity": 0.1}


@pytest.mark.parametrize("height", [1.0, 0.9, 0.75, 0.5, 0.33, 0.25, 0.1])
def test_flow_is_that_of_the_duct_solved_by_brute_force(height):
    a = float(squashed_half_width(0.006, 0.006 * height))
    b = 0.003 * height
    brute = duct.extrapolated(a, b) * 1e5 / (0.1 * 0.8)
    pipe = feed_pipe_flow(**PIPE, flattened_to=0.006 * height)

    assert float(pipe.flow) == pytest.approx(brute, rel=2e-4)


@pytest.mark.parametrize("height", [1.0, 0.99, 0.6, 0.3, 0.05])
def test_squashing_keeps_the_wall(height):
    a = float(squashed_half_width(0.006, 0.006 * height))

    assert duct.perimeter(a, 0.003 * height) == pytest.approx(np.pi * 0.006, rel=1e-8)


def test_round_pipe_is_poiseuille_s():
    pipe = feed_pipe_flow(**PIPE)

    assert float(pipe.flow) == pytest.approx(np.pi * 0.003**4 * 1e5 / (8 * 0.1 * 0.8))
    assert float(pipe.flow_ratio) == 1.0
    assert pipe.filling_time is None
    # Re = rho u d/mu with the mean speed u.
    mean = float(pipe.flow) / (np.pi * 0.003**2)
    assert float(pipe.reynolds_number) == pytest.approx(880.0 * mean * 0.006 / 0.1)


def test_squashed_to_the_bore_is_round():
    assert float(feed_pipe_flow(**PIPE, flattened_to=0.006).flow_ratio) == pytest.approx(1.0)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    bore=st.floats(0.001, 0.03),
    height=st.floats(0.02, 1.0),
    lower=st.floats(0.5, 0.999),
)
def test_more_squashing_lets_less_through(bore, height, lower):
    arguments = PIPE | {"bore": bore, "viscosity": 100.0}
    more = feed_pipe_flow(**arguments, flattened_to=bore * height * lower)
    less = feed_pipe_flow(**arguments, flattened_to=bore * height)

    assert 0 < more.flow < less.flow <= less.flow_round * (1 + 1e-9)


@settings(max_examples=50, deadline=None, derandomize=True)
@given(share=st.floats(0.01, 1.0), height=st.floats(0.05, 0.99))
def test_a_shorter_squash_lets_more_through(share, height):
    arguments = PIPE | {"flattened_to": 0.006 * height}
    part = feed_pipe_flow(**arguments, flattened_length=0.8 * share)
    whole = feed_pipe_flow(**arguments)

    assert float(whole.flow) * (1 - 1e-9) <= float(part.flow) <= float(whole.flow_round)


def test_filling_time_is_volume_over_flow():
    pipe = feed_pipe_flow(**PIPE, flattened_to=0.003, volume_to_fill=2e-5)

    assert float(pipe.filling_time) == pytest.approx(2e-5 / float(pipe.flow))


def test_thick_cold_oil_takes_longer_than_thin():
    pipe = feed_pipe_flow(
        **(PIPE | {"viscosity": np.array([0.01, 0.1, 1.0, 10.0]), "pressure_difference": 1e3}),
        volume_to_fill=1e-5,
    )
    assert pipe.laminar.all()
    assert (np.diff(pipe.filling_time) > 0).all()


def test_flow_that_would_not_be_laminar_is_refused_with_its_reynolds_number():
    pipe = feed_pipe_flow(
        **(PIPE | {"viscosity": 0.005, "pressure_difference": 3e5}), volume_to_fill=1e-4
    )
    assert float(pipe.reynolds_number) > 2000
    assert not pipe.laminar
    assert np.isnan(pipe.flow)
    assert np.isnan(pipe.filling_time)
    assert np.isnan(pipe.flow_ratio)


def test_squashed_pipe_may_be_laminar_where_the_round_one_was_not():
    arguments = PIPE | {"viscosity": 0.005, "pressure_difference": 3e5}
    pipe = feed_pipe_flow(**arguments, flattened_to=0.001)

    assert pipe.laminar
    assert np.isfinite(pipe.flow)
    assert np.isnan(pipe.flow_round)


@pytest.mark.parametrize(
    ("changes", "argument"),
    [
        ({"bore": 0.0}, "bore"),
        ({"length": -1.0}, "length"),
        ({"pressure_difference": 0.0}, "pressure_difference"),
        ({"viscosity": float("nan")}, "viscosity"),
        ({"density": 0.0}, "density"),
        ({"flattened_to": 0.007}, "flattened_to"),
        ({"flattened_to": 0.0}, "flattened_to"),
        ({"flattened_to": 0.003, "flattened_length": 0.9}, "flattened_length"),
        ({"flattened_length": 0.1}, "flattened_length"),
        ({"volume_to_fill": -1.0}, "volume_to_fill"),
    ],
)
def test_bad_argument_is_refused_by_name(changes, argument):
    with pytest.raises(OutOfRange) as refused:
        feed_pipe_flow(**(PIPE | changes))

    assert refused.value.argument == argument
