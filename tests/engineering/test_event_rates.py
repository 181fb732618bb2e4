"""Rates of what happens: published intervals, scipy's own tests, and coverage."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from advisory.engineering.errors import OutOfRange
from advisory.engineering.event_rates import adjusted_for_many, event_rate, rate_ratio, stands_out

# F. Garwood's method with worked figures, as statistics packages publish them in their help: 25
# events at three levels, and none seen (epitools, pois.exact, rdocumentation.org). Read.
PUBLISHED = [
    (25, 0.90, 17.38, 34.92),
    (25, 0.95, 16.18, 36.90),
    (25, 0.99, 14.00, 41.00),
    (0, 0.95, 0.0, 3.689),
]


# Poisson limits at 95 % as printed in tables after E. S. Pearson, H. O. Hartley, Biometrika Tables
# for Statisticians, vol. 1, table 40. From memory.
TABLE = [
    (1, 0.95, 0.025, 5.572),
    (2, 0.95, 0.242, 7.225),
    (3, 0.95, 0.619, 8.767),
    (5, 0.95, 1.623, 11.668),
    (10, 0.95, 4.795, 18.390),
    (20, 0.95, 12.217, 30.888),
    (50, 0.95, 37.111, 65.919),
]


@pytest.mark.parametrize(("count", "level", "lower", "upper"), PUBLISHED + TABLE)
def test_interval_is_the_published_one(count, level, lower, upper):
    found = event_rate(count, 1.0, level=level)

    assert float(found.lower) == pytest.approx(lower, abs=0.006)
    assert float(found.upper) == pytest.approx(upper, abs=0.006)


def test_comparison_is_the_published_one():
    # M. P. Fay, Testing the Ratio of Two Poisson Rates, 2022, section 1: 2 in 17 877 against 9 in
    # 16 660. Read.
    found = rate_ratio(2, 17_877.0, 9, 16_660.0)

    assert float(found.ratio) == pytest.approx(0.2070941557, rel=1e-9)
    assert float(found.p_value) == pytest.approx(0.05011, abs=5e-6)
    assert float(found.lower) == pytest.approx(0.02177406, abs=5e-9)
    assert float(found.upper) == pytest.approx(1.00054910, abs=5e-9)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(count=st.integers(0, 400), exposure=st.floats(1e-3, 1e6), level=st.floats(0.5, 0.999))
def test_interval_is_that_of_chi_square(count, exposure, level):
    found = event_rate(count, exposure, level=level)
    tail = (1 - level) / 2

    lower = stats.chi2.ppf(tail, 2 * count) / 2 if count else 0.0
    assert float(found.lower) * exposure == pytest.approx(lower, rel=1e-9, abs=1e-12)
    assert float(found.upper) * exposure == pytest.approx(
        stats.chi2.isf(tail, 2 * count + 2) / 2, rel=1e-9
    )
    assert found.lower <= found.rate <= found.upper


@settings(max_examples=60, deadline=None, derandomize=True)
@given(n=st.integers(0, 60), m=st.integers(0, 60), t=st.floats(0.1, 1e4), u=st.floats(0.1, 1e4))
def test_comparison_is_that_of_the_binomial_test(n, m, t, u):
    found = rate_ratio(n, t, m, u)
    back = rate_ratio(m, u, n, t)

    if n + m:
        share = t / (t + u)
        tails = [
            stats.binomtest(n, n + m, share, alternative=side).pvalue
            for side in ("less", "greater")
        ]
        assert float(found.p_value) == pytest.approx(min(1.0, 2 * min(tails)), rel=1e-7)
        interval = stats.binomtest(n, n + m, share).proportion_ci(0.95)
        if m and n:
            assert float(found.lower) == pytest.approx(
                interval.low / (1 - interval.low) * u / t, rel=1e-6
            )
    assert float(found.p_value) == pytest.approx(float(back.p_value), rel=1e-9)
    if n and m:
        assert float(found.lower) == pytest.approx(1 / float(back.upper), rel=1e-6)
    # the interval leaves out 1 exactly where the p-value is below 5 %
    outside = bool(found.lower > 1.0 or found.upper < 1.0)
    assert outside == bool(found.p_value < 0.05)


def test_interval_covers_at_least_what_it_says():
    rng = np.random.default_rng(7)
    for true in (0.4, 2.0, 9.0):
        found = event_rate(rng.poisson(true, 4000), 1.0)
        covered = np.mean((found.lower <= true) & (true <= found.upper))
        assert 0.945 <= covered <= 1.0


def test_nothing_seen_says_nothing_of_a_ratio():
    found = rate_ratio([0, 3, 0], 10.0, [0, 0, 3], 10.0)

    assert np.isnan(found.ratio[0])
    assert found.ratio[1:].tolist() == [np.inf, 0.0]
    assert found.p_value[0] == 1.0
    assert found.lower[0] == 0.0
    assert np.isinf(found.upper[[0, 1]]).all()


def test_adjusted_is_that_of_scipy():
    rng = np.random.default_rng(3)
    values = rng.random(40) ** 3
    assert adjusted_for_many(values) == pytest.approx(stats.false_discovery_control(values))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(values=st.lists(st.floats(0, 1), min_size=1, max_size=30))
def test_adjusting_never_helps_and_keeps_the_order(values):
    found = adjusted_for_many(values)

    assert (found >= np.array(values) - 1e-15).all()
    assert (found <= 1.0).all()
    order = np.argsort(values)
    assert (np.diff(found[order]) >= 0.0).all()
    # one more that shows nothing takes nothing into the list
    assert (adjusted_for_many([*values, 1.0])[:-1] >= found - 1e-15).all()


def grouped(rng, groups, counts, years):
    """Events, units that had any, and years, of each group and of the others."""
    of = rng.integers(0, groups, counts.size)
    events, exposure = (np.bincount(of, each, groups) for each in (counts, years))
    units = np.bincount(of, counts > 0, groups)
    rest = [each.sum() - each for each in (events, units, exposure)]
    return [events, units, exposure, *rest]


def test_nothing_stands_out_by_chance_in_more_than_a_twentieth():
    # the same units cut in five ways, as a report cuts them, and some of them troubled by nature:
    # no group differs, so whatever is named is false
    rng = np.random.default_rng(11)
    named = 0
    trials = 600
    for _ in range(trials):
        years = rng.uniform(0.5, 6.0, 300)
        counts = rng.poisson(0.08 * rng.gamma(0.4, 2.5, 300) * years)
        cuts = [grouped(rng, groups, counts, years) for groups in (3, 5, 8, 12, 20)]
        found = stands_out(*(np.concatenate(each) for each in zip(*cuts, strict=True)))
        named += bool((found.more_often | found.less_often).any())
    assert named / trials <= 0.05


def test_what_does_differ_is_named():
    rng = np.random.default_rng(12)
    hits = 0
    for _ in range(50):
        years = rng.uniform(1.0, 5.0, 400)
        bad = np.arange(400) < 40
        counts = rng.poisson(np.where(bad, 0.25, 0.04) * years)
        whole = [
            np.array([each[side].sum() for side in (bad, ~bad)])
            for each in (counts, counts > 0, years)
        ]
        found = stands_out(*whole, *(each[::-1] for each in whole))
        hits += bool(found.more_often[0]) and bool(found.less_often[1])
    assert hits >= 45


def test_one_troubled_unit_and_single_cases_are_not_named():
    found = stands_out([12, 4, 0], [1, 4, 0], [40.0, 0.5, 0.0], 20, 18, 400.0)

    assert not found.more_often.any()
    assert found.adjusted[2] == 1.0  # nothing was watched, so nothing is compared


def test_more_units_than_events_are_refused():
    with pytest.raises(OutOfRange, match=r"^units must be"):
        stands_out(1, 2, 1.0, 1, 1, 1.0)


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        ({"count": -1}, "count"),
        ({"count": 1.5}, "count"),
        ({"count": np.nan}, "count"),
        ({"exposure": 0.0}, "exposure"),
        ({"level": 1.0}, "level"),
    ],
)
def test_what_is_no_count_is_refused_by_name(arguments, named):
    with pytest.raises(OutOfRange, match=f"^{named} must be"):
        event_rate(**({"count": 1, "exposure": 1.0} | arguments))
