"""Flatness against a brute-force search over all planes that could bound the points."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering.errors import OutOfRange
from advisory.engineering.flatness import flatness, grid_points
from advisory.engineering.run_out import run_out

pytestmark = pytest.mark.one_database


def narrowest_by_trying_all(points):
    """The narrowest slab: one of its faces holds three points, or each of them holds two.

    So every normal that can be the one is the cross product of two lines between points.
    """
    lines = [b - a for a, b in combinations(points, 2)]
    normals = np.array([np.cross(a, b) for a, b in combinations(lines, 2)])
    sizes = np.linalg.norm(normals, axis=1)
    normals = normals[sizes > 1e-18] / sizes[sizes > 1e-18][:, None]
    # a face lies in the hand: slabs that stand on edge bound the plate, not its face
    normals = normals[np.abs(normals[:, 2]) > 0.5]
    heights = normals @ points.T
    return float(np.ptp(heights, axis=1).min())


heights = st.lists(st.integers(-60, 60), min_size=6, max_size=8)


@given(heights=heights, seed=st.integers(0, 10_000), tilt=st.floats(-0.02, 0.02))
@settings(max_examples=60, deadline=None)
def test_minimum_zone_is_the_narrowest_of_all(heights, seed, tilt):
    place = np.random.default_rng(seed)
    across = place.uniform(0, 0.15, (len(heights), 2))
    z = np.array(heights) * 1e-6 + tilt * across[:, 0] - 0.5 * tilt * across[:, 1]
    points = np.column_stack((across, z))
    found = flatness(points)
    assert found.minimum_zone == pytest.approx(narrowest_by_trying_all(points), abs=1e-9)
    assert found.minimum_zone <= found.least_squares + 1e-12


# Four corners, one of them high by h: the least squares plane leaves +-h/4, so h/2 from peak to
# valley, and no plane does better (computed by hand).
def test_one_high_corner_of_four():
    points = np.array([[0, 0, 0], [0.1, 0, 0], [0, 0.2, 0], [0.1, 0.2, 40e-6]])
    found = flatness(points)
    assert found.least_squares == pytest.approx(20e-6, rel=1e-6)
    assert found.minimum_zone == pytest.approx(20e-6, rel=1e-6)
    assert found.root_mean_square == pytest.approx(10e-6, rel=1e-6)
    assert sorted(np.round(found.local_deviations * 1e6, 3)) == [-10, -10, 10, 10]


def test_a_plane_is_flat_however_it_lies():
    x, y = np.meshgrid(np.linspace(0, 0.2, 5), np.linspace(0, 0.1, 4))
    tilted = np.column_stack((x.ravel(), y.ravel(), 0.3 * x.ravel() - 0.1 * y.ravel()))
    assert flatness(tilted).least_squares == pytest.approx(0.0, abs=1e-12)
    assert flatness(tilted).minimum_zone == pytest.approx(0.0, abs=1e-12)


def test_dish_is_as_deep_as_it_is():
    x, y = np.meshgrid(np.linspace(-1, 1, 9), np.linspace(-1, 1, 9))
    points = np.column_stack(
        (x.ravel() * 0.05, y.ravel() * 0.05, 30e-6 * (x**2 + y**2).ravel() / 2)
    )
    assert flatness(points).minimum_zone == pytest.approx(30e-6, rel=1e-6)


@pytest.mark.parametrize(
    "points",
    [
        np.zeros((3, 3)),
        np.zeros((5, 2)),
        np.column_stack((np.arange(5.0), np.zeros(5), np.zeros(5))),
        np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, np.nan]]),
    ],
)
def test_points_that_bound_no_face_are_refused(points):
    with pytest.raises(OutOfRange):
        flatness(points)


def test_grid_leaves_out_what_was_not_read():
    points = grid_points(np.array([[1e-6, np.nan, 3e-6], [4e-6, 5e-6, 6e-6]]), 0.04, 0.02)
    assert points.shape == (5, 3)
    assert list(points[1]) == [0.0, 0.04, 3e-6]
    assert list(points[-1]) == [0.04, 0.04, 6e-6]
    with pytest.raises(OutOfRange):
        grid_points(np.zeros((2, 2)), 0.0, 0.02)


# Run-out ----------------------------------------------------------------------------------------


@given(
    off=st.floats(0, 1e-4), phase=st.floats(0, 6.28), oval=st.floats(0, 1e-4),
    count=st.integers(6, 24), datum=st.floats(-1e-3, 1e-3),
)  # fmt: skip
@settings(max_examples=50, deadline=None)
def test_once_a_turn_is_split_from_the_shape(off, phase, oval, count, datum):
    turn = 2 * np.pi * np.arange(count) / count
    shape = oval * np.cos(2 * turn)
    found = run_out(datum + off * np.cos(turn - phase) + shape)
    assert found.off_centre == pytest.approx(off, abs=1e-12)
    assert found.form == pytest.approx(np.ptp(shape), abs=1e-12)
    assert found.total <= 2 * off + 2 * oval + 1e-12


def test_few_readings_give_the_total_only():
    found = run_out([0.0, 2e-5, 1e-5])
    assert found.total == pytest.approx(2e-5)
    assert (found.off_centre, found.form) == (None, None)
    assert found.high_at == pytest.approx(2 * np.pi / 3)
    for bad in ([1e-6, 2e-6], [1.0, np.nan, 2.0], np.zeros((3, 3))):
        with pytest.raises(OutOfRange):
            run_out(bad)
