"""Wear toward a limit: against simulation, least squares, and what must hold by nature."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import linregress

from advisory.engineering.errors import OutOfRange
from advisory.engineering.wear import (
    ASSUMPTIONS,
    FARTHEST,
    USUAL_UNCERTAINTY,
    Measured,
    contradiction_in,
    next_measuring,
    own_line,
    wear_of,
)
from advisory.engineering.wear.contradiction import without_fallen
from tests.benchmarks.wear_report import Case, judge

pytestmark = pytest.mark.one_database

MM, KM = 1e-3, 1e3
LIMIT = 0.12 * MM


def told(km: list[float], mm: list[float], gauge: float = 0.004) -> Measured:
    return Measured(np.array(km) * KM, np.array(mm) * MM, np.full(len(km), gauge * MM))


ONE = told([0, 9_000, 18_000], [0.050, 0.062, 0.071])


def test_interval_holds_on_designs_whose_rates_scatter_by_another_law() -> None:
    # 60 units: two standard errors are 10 %; `python -m tests.benchmarks.wear_report` judges more
    judged = judge(60, 41, Case())
    assert 0.65 <= judged.holds <= 0.98
    assert judged.misses <= judged.misses_of_own_line


def test_own_line_is_least_squares() -> None:
    rng = np.random.default_rng(42)
    x, y = rng.uniform(0, 3e7, 9), rng.uniform(4e-5, 9e-5, 9)
    ours, theirs = own_line(x, y), linregress(x, y)
    assert ours.slope == pytest.approx(theirs.slope, rel=1e-12)
    assert ours.intercept == pytest.approx(theirs.intercept, rel=1e-12)


def test_line_s_interval_holds_in_simulation() -> None:
    rng = np.random.default_rng(43)
    x = np.array([0.0, 8e6, 15.5e6, 24e6, 31e6])
    held = []
    for _ in range(2_000):
        met = own_line(x, 4.5e-5 + 1.2e-12 * x + 1.5e-6 * rng.standard_normal(5)).meets(1e-4)
        assert met.lower is not None
        assert met.upper is not None
        held.append(met.lower <= 5.5e-5 / 1.2e-12 <= met.upper)
    assert np.mean(held) == pytest.approx(0.8, abs=0.03)


def test_line_that_does_not_rise_meets_no_limit() -> None:
    assert own_line([0, 1, 2], [3, 2, 1]).meets(5).at is None
    rough = own_line([0, 1, 2], [1.0, 3.0, 1.2]).meets(5)
    assert rough.at is not None
    assert rough.lower is rough.upper is None


def test_limit_that_is_passed_is_said() -> None:
    found = wear_of(told([0, 20_000], [0.05, 0.14]), LIMIT)
    assert found.chance_passed(0.0) > 0.95
    assert found.distance_at(0.5) == 0.0
    assert found.next_inspection(at_least=5_000e3) == 0.0


def test_unit_that_does_not_wear_has_no_limit_in_sight() -> None:
    found = wear_of(
        told([0, 100_000, 200_000, 300_000], [0.05, 0.05, 0.05, 0.05], 0.0005), 1.0 * MM
    )
    assert found.distance_at(0.5) is None
    assert found.next_inspection(at_most=20_000e3) == 20_000e3


def test_single_measurement_is_answered_and_other_units_sharpen_it() -> None:
    lonely = told([10_000], [0.06])
    fleet = [told([0, 25_000], [0.049 + 0.001 * n, 0.079 + 0.001 * n]) for n in range(6)]
    alone, among = wear_of(lonely, LIMIT), wear_of(lonely, LIMIT, fleet)
    width = [np.log(found.rate_interval[1] / found.rate_interval[0]) for found in (alone, among)]
    assert width[1] < 0.5 * width[0]
    assert among.median_rate * 1e12 == pytest.approx(1.2, rel=0.15)
    assert (alone.alike, among.alike) == (0, 6)


def test_unit_is_shrunk_toward_its_fleet_the_less_it_was_measured() -> None:
    fleet = [told([0, 30_000], [0.05, 0.08]) for _ in range(8)]  # 1.0 um per 1000 km
    short, long = told([0, 5_000], [0.05, 0.06]), told([0, 5_000, 40_000], [0.05, 0.06, 0.13])
    own = 2.0
    drawn = [wear_of(unit, LIMIT, fleet).median_rate * 1e12 for unit in (short, long)]
    assert 1.0 < drawn[0] < drawn[1] <= own + 0.1


def test_next_inspection_keeps_to_chance_and_bounds() -> None:
    found = wear_of(ONE, LIMIT)
    free = found.next_inspection(0.05)
    assert free is not None
    assert found.chance_passed(free) == pytest.approx(0.05, abs=0.002)
    assert found.next_inspection(0.05, at_most=free / 2) == free / 2
    assert found.next_inspection(0.05, at_least=free * 2) == free * 2
    stricter = found.next_inspection(0.01)
    assert stricter is not None
    assert stricter < free


# Figures that contradict one another --------------------------------------------------------------


@pytest.mark.parametrize("km", [[0, 5_000], [5_000, 5_000]])
def test_figures_that_contradict_tell_no_distance(km: list[float]) -> None:
    found = wear_of(told(km, [9 * 0.0254, 4 * 0.0254]), 16 * 0.0254 * MM)
    assert found.contradiction is not None
    assert found.contradiction.same_distance == (km[0] == km[1])
    assert [found.distance_at(chance) for chance in (0.05, 0.5, 0.9)] == [None] * 3
    assert found.next_inspection(at_least=5_000e3, at_most=9_000e3) == 0.0


def test_same_distance_contradicts_in_either_order() -> None:
    for mm in ([0.1, 0.2], [0.2, 0.1]):
        assert contradiction_in(told([5_000, 5_000], mm)) is not None


def test_two_figures_may_fall_by_two_combined_standard_uncertainties() -> None:
    # GUM 6.2, coverage factor 2: 2 * sqrt(0.003^2 + 0.004^2) = 0.010 mm, by hand
    def fallen(by: float) -> Measured:
        return Measured(
            np.array([0.0, 9e6]), np.array([0.1, 0.1 - by]) * MM, np.array([0.003, 0.004]) * MM
        )

    assert contradiction_in(fallen(0.0099)) is None
    assert contradiction_in(fallen(0.0101)) is not None


def test_what_wears_not_at_all_seldom_contradicts_itself_however_often_measured() -> None:
    # two figures fall by two standard uncertainties 2.3 times in a hundred: normal distribution
    rng = np.random.default_rng(44)
    for n in (2, 3, 6, 12):
        found = [
            contradiction_in(told(list(range(n)), list(1 + 0.004 * rng.standard_normal(n))))
            for _ in range(2_000)
        ]
        seldom = np.mean([one is not None for one in found])
        assert 0.008 < seldom < 0.034


def test_later_figure_that_agrees_settles_what_fell_between() -> None:
    # built, measured too small, measured again on the spot: the last agrees with the build
    again = told([0, 9_000, 9_000], [0.150, 0.100, 0.165])
    assert contradiction_in(again).settled
    assert list(without_fallen(again).value / MM) == pytest.approx([0.150, 0.165])
    limit = 0.4 * MM
    assert next_measuring(again, limit) == pytest.approx(
        wear_of(told([0, 9_000], [0.150, 0.165]), limit).next_inspection()
    )
    # and still no distance is told from all three
    assert wear_of(again, limit).distance_at(0.5) is None


@pytest.mark.parametrize(
    ("km", "mm"),
    [
        ([0, 9_000], [0.15, 0.10]),
        ([9_000, 9_000], [0.10, 0.15]),
        # it says the same again: it may have moved, and running on settles nothing
        ([0, 9_000, 9_000, 9_500], [0.15, 0.10, 0.10, 0.10]),
    ],
)
def test_what_nothing_settles_is_measured_again_at_once(km: list[float], mm: list[float]) -> None:
    assert next_measuring(told(km, mm), 0.4 * MM) == 0.0


def test_unit_that_contradicts_itself_tells_nothing_of_others() -> None:
    fleet = [told([0, 25_000], [0.05, 0.08]) for _ in range(3)]
    fallen = told([0, 25_000], [0.09, 0.05])
    with_it, without = (wear_of(ONE, LIMIT, those) for those in ([*fleet, fallen], fleet))
    assert (with_it.alike, with_it.left_out, without.left_out) == (3, 1, 0)
    assert with_it.distance_at(0.5) == without.distance_at(0.5)


@settings(max_examples=60)
@given(
    mm=st.lists(st.floats(0.02, 0.4), min_size=1, max_size=6),
    step=st.floats(0, 60_000),
)
def test_what_only_grows_never_contradicts_itself(mm: list[float], step: float) -> None:
    if step > 0:
        assert contradiction_in(told([n * step for n in range(len(mm))], sorted(mm))) is None
    unit = told([n * step for n in range(len(mm))], mm)
    # the order in which measurements are given changes nothing of whether they contradict
    turned = Measured(unit.distance[::-1], unit.value[::-1], unit.uncertainty[::-1])
    assert (contradiction_in(unit) is None) == (contradiction_in(turned) is None)
    assert unit.value.max() in without_fallen(unit).value


@settings(max_examples=15)
@given(
    mm=st.lists(st.floats(0.02, 0.2), min_size=1, max_size=4),
    step=st.floats(500, 60_000),
    limit=st.floats(0.03, 0.5),
)
def test_days_of_wear_are_in_order_whatever_was_measured(
    mm: list[float], step: float, limit: float
) -> None:
    found = wear_of(told([n * step for n in range(len(mm))], mm), limit * MM)
    far = [found.distance_at(chance) for chance in (0.05, 0.1, 0.5, 0.9)]
    numbers = [FARTHEST + 1 if one is None else one for one in far]
    assert numbers == sorted(numbers)
    assert (np.diff(found.chance_passed(np.linspace(0, 1e8, 20))) >= -1e-12).all()
    fan = found.levels(np.linspace(0, 3e7, 4))
    assert (np.diff(fan, axis=1) >= 0).all()
    assert (np.diff(fan, axis=0) >= -1e-12).all()
    assert 0 < found.rate_interval[0] <= found.median_rate <= found.rate_interval[1]


def test_every_assumption_says_where_it_comes_from() -> None:
    assert all(assumption.source for assumption in ASSUMPTIONS)
    assert pytest.approx(0.005 * MM) == USUAL_UNCERTAINTY


@pytest.mark.parametrize(
    ("km", "mm", "gauge"),
    [([], [], 0.004), ([-1.0], [0.05], 0.004), ([1.0], [-0.05], 0.004), ([1.0], [0.05], 0.0),
     ([float("nan")], [0.05], 0.004)],
)  # fmt: skip
def test_measurements_that_make_no_sense_are_refused(
    km: list[float], mm: list[float], gauge: float
) -> None:
    with pytest.raises(OutOfRange):
        told(km, mm, gauge)
    with pytest.raises(OutOfRange, match="limit"):
        wear_of(ONE, 0.0)
