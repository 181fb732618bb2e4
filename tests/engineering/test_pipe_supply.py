"""What a squashed pipe brings against what a bearing loses."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering.errors import OutOfRange
from advisory.engineering.feed_pipe import squashed_half_width
from advisory.engineering.journal_bearing import load_solution
from advisory.engineering.oil_choice import ChoicePipe, not_in_doubt, pipe_supply, share_left
from tests.engineering.test_oil_choice import BEARING, CASE, SAE_40, _by_hand, _density, _walther

pytestmark = pytest.mark.one_database

PIPE = ChoicePipe(bore=0.0048, length=0.42, pressure=1e5)


def supply(**changes):
    asked = {"state": "built", "oil": SAE_40, "pipe": PIPE, "temperatures_c": (0.0, 80.0)}
    return pipe_supply(CASE, **asked | changes)


# Height over bore, flow over that of the round pipe: exact ellipse with the wall kept, computed
# twice apart (see the feed pipe's checks).
@pytest.mark.parametrize(
    ("height", "share"), [(0.9, 0.953), (0.75, 0.749), (0.5, 0.309), (0.25, 0.046), (0.1, 0.0031)]
)
def test_share_left_is_the_ellipse_s(height, share):
    left = float(share_left(bore=0.0048, length=0.42, flattened_to=0.0048 * height))
    assert left == pytest.approx(share, abs=6e-4)


# A crush of 20 mm in 1 m: lengths in series, computed by hand apart.
@pytest.mark.parametrize(("height", "share"), [(0.5, 0.957), (0.25, 0.707), (0.1, 0.135)])
def test_short_crush_counts_in_series(height, share):
    left = float(
        share_left(bore=0.006, length=1.0, flattened_to=0.006 * height, flattened_length=0.02)
    )
    assert left == pytest.approx(share, abs=1e-3)


def test_supply_and_need_by_hand():
    found = supply(flattened_to=0.0024)
    mu = _walther(148.0, 14.5, 80.0) * 1e-6 * _density(890.0, 80.0)
    a = float(squashed_half_width(0.0048, 0.0024))
    b = 0.0012
    squashed = math.pi * a**3 * b**3 * 1e5 / (4 * mu * 0.42 * (a * a + b * b))
    assert found.flow[1] == pytest.approx(squashed, rel=1e-6)
    # the film's side flow, with the film's viscosity found by plain iteration apart
    _film, _power, film_c = _by_hand(43e-6, 80.0)
    film_mu = _walther(148.0, 14.5, film_c) * 1e-6 * _density(890.0, film_c)
    done = load_solution(
        diameter=BEARING.diameter, length=BEARING.length, running_clearance=43e-6,
        speed=BEARING.speed, load=BEARING.load, viscosity=film_mu,
    )  # fmt: skip
    assert found.need[1, 0] == pytest.approx(float(done.flow * done.side_flow_ratio), rel=5e-3)
    assert found.margin[1, 0] == pytest.approx(squashed / found.need[1, 0], rel=1e-6)


@settings(max_examples=25)
@given(st.floats(0.05, 0.95), st.floats(0.01, 0.049))
def test_more_squash_never_lets_more_through(height, less):
    left = share_left(
        bore=0.005, length=0.5, flattened_to=np.array([height, height - less]) * 0.005
    )
    assert 0.0 < left[1] <= left[0] <= 1.0
    part = share_left(bore=0.005, length=0.5, flattened_to=0.005 * height, flattened_length=0.1)
    assert left[0] <= float(part) <= 1.0


def test_wider_clearance_loses_more():
    assert (supply(state="limit").need[1] > supply().need[1]).all()


def test_fast_flow_is_no_number_and_counts_as_half_of_the_laminar_end():
    found = supply(pipe=ChoicePipe(bore=0.02, length=0.3, pressure=3e5))
    assert np.isnan(found.flow[1])
    assert found.at_least[1] > 100 * found.need[1, 0]
    assert found.share_left == 1.0


def test_oil_that_stands_brings_nothing():
    stiff = replace(SAE_40, kinematic_viscosity_40=4e-3, kinematic_viscosity_100=5e-5)
    found = supply(oil=stiff, temperatures_c=(-40.0, 80.0))
    assert found.flow[0] == 0.0
    assert found.at_least[0] == 0.0


def test_light_load_is_told_from_no_film():
    light = replace(CASE, bearings=(replace(BEARING, load=1.0),))
    found = pipe_supply(light, state="built", oil=SAE_40, pipe=PIPE, temperatures_c=(0.0, 80.0))
    assert not_in_doubt(found.outcome).all()
    assert np.isnan(found.need).all()


def test_without_pressure_or_clearance_it_is_refused():
    with pytest.raises(OutOfRange, match="pressure"):
        supply(pipe=ChoicePipe(bore=0.005, length=0.5, pressure=None))
    with pytest.raises(OutOfRange, match="clearance"):
        supply(state="now")
