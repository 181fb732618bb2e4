"""Lifetimes: by hand, by nature and by simulation; published values stand in the checks."""

import importlib
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering.checks.lifetime_data import (
    invented_lives,
    nist_weibull_lives,
    treated_lives,
    untreated_lives,
    valve_seat_units,
)
from advisory.engineering.errors import OutOfRange
from advisory.engineering.survival import (
    WatchedUnit,
    kaplan_meier,
    lives,
    log_rank,
    mean_cumulative_count,
    nelson_aalen,
    weibull_fit,
    weibull_fit_and_quantile,
    weibull_quantile_interval,
)

some_lives = st.lists(
    st.tuples(st.integers(1, 30), st.booleans(), st.integers(0, 29)).filter(lambda x: x[2] < x[0]),
    min_size=1,
    max_size=40,
)


def made(drawn):
    return lives(*(list(column) for column in zip(*drawn, strict=True)))


@settings(max_examples=200, deadline=None, derandomize=True)
@given(drawn=some_lives)
def test_curve_falls_within_its_band_and_holds_no_nan(drawn):
    watched = made(drawn)
    curve, hazard = kaplan_meier(watched), nelson_aalen(watched)

    for values in (curve.survival, curve.lower, curve.upper, hazard.cumulative_hazard):
        assert np.isfinite(values).all()
    assert np.isfinite(hazard.standard_error).all()
    assert (np.diff(curve.survival) <= 0).all()
    assert (curve.lower <= curve.survival + 1e-12).all()
    assert (curve.survival <= curve.upper + 1e-12).all()
    assert ((curve.lower >= 0) & (curve.upper <= 1)).all()
    assert (curve.at_risk >= curve.failures).all()
    # The cumulative hazard is at most -ln S, and nearly so while many are watched.
    alive = curve.survival > 0
    assert (hazard.cumulative_hazard[alive] <= -np.log(curve.survival[alive]) + 1e-12).all()


@settings(max_examples=100, deadline=None, derandomize=True)
@given(drawn=some_lives)
def test_curve_is_that_of_a_loop_over_each_life(drawn):
    watched = made(drawn)
    curve = kaplan_meier(watched)
    share = 1.0
    for i, age in enumerate(sorted({d for d, failed, _ in drawn if failed})):
        at_risk = sum(1 for d, _, entry in drawn if entry < age <= d)
        failures = sum(1 for d, failed, _ in drawn if failed and d == age)
        share *= 1 - failures / at_risk
        assert curve.duration[i] == age
        assert curve.survival[i] == pytest.approx(share)


def fitted_or_none(watched):
    try:
        return weibull_fit(watched)
    except OutOfRange:
        return None


def test_without_censoring_the_curve_is_the_plain_share():
    rng = np.random.default_rng(5)
    ages = rng.weibull(1.5, 50)
    curve = kaplan_meier(lives(ages, np.ones(50, dtype=bool)))

    assert curve.survival == pytest.approx(1 - np.arange(1, 51) / 50)
    assert curve.median == pytest.approx(np.sort(ages)[24])


def test_nothing_failed_gives_an_empty_curve_and_no_median():
    curve = kaplan_meier(lives([5.0, 6.0], [False, False]))

    assert curve.survival.size == 0
    assert curve.median is None


def test_wider_level_gives_a_wider_band():
    narrow = kaplan_meier(treated_lives(), level=0.80)
    wide = kaplan_meier(treated_lives(), level=0.99)

    assert (wide.lower < narrow.lower).all()
    assert (wide.upper > narrow.upper).all()


def test_leaving_late_entry_out_bends_the_shape():
    """Simulated: shape 2.0 becomes about 2.6 when units that join late are taken as new."""
    rng = np.random.default_rng(11)
    age = 100 * rng.weibull(2.0, 8000)
    entry = rng.uniform(0, 150, 8000)
    seen = age > entry
    age, entry = age[seen], entry[seen]
    failed = np.ones(age.size, dtype=bool)
    right = weibull_fit(lives(age, failed, entry))
    wrong = weibull_fit(lives(age, failed))

    assert right.shape == pytest.approx(2.0, rel=0.05)
    assert right.scale == pytest.approx(100, rel=0.05)
    assert wrong.shape > 2.4


@pytest.mark.parametrize("watched", [nist_weibull_lives(), treated_lives(), invented_lives()])
def test_weibull_intervals_are_those_of_a_brute_force_profile(watched):
    """A grid over shape and scale: the interval spans all with likelihood above the floor."""
    fit = weibull_fit(watched)

    def log_likelihood(shape, scale):
        t, e = watched.duration[:, None, None], watched.entry[:, None, None]
        f = watched.failed[:, None, None]
        hazard = np.log(shape) - shape * np.log(scale) + (shape - 1) * np.log(t)
        return (f * hazard - (t / scale) ** shape + (e / scale) ** shape).sum(axis=0)

    shapes = np.exp(np.linspace(*np.log([0.4 * fit.shape, 2.2 * fit.shape]), 500))[:, None]
    scales = np.exp(np.linspace(*np.log([0.4 * fit.scale, 3.0 * fit.scale]), 500))[None, :]
    grid = log_likelihood(shapes, scales)
    inside = grid > fit.log_likelihood - 0.5 * 3.841458820694124

    assert grid.max() == pytest.approx(fit.log_likelihood, abs=2e-3)
    assert grid.max() <= fit.log_likelihood + 1e-9
    for values, axis, interval in (
        (shapes, 1, fit.shape_interval),
        (scales, 0, fit.scale_interval),
    ):
        reached = values.ravel()[inside.any(axis=axis)]
        assert interval[0] == pytest.approx(reached[0], rel=0.01)
        assert interval[1] == pytest.approx(reached[-1], rel=0.01)
    hazards = -np.log1p(-0.1)
    b10 = (scales * hazards ** (1 / shapes))[inside]
    _, (low, high) = weibull_quantile_interval(watched, 0.10)
    assert low == pytest.approx(b10.min(), rel=0.02)
    assert high == pytest.approx(b10.max(), rel=0.02)


@pytest.mark.parametrize("watched", [nist_weibull_lives(), treated_lives(), invented_lives()])
def test_weibull_law_and_quantile_in_one_search_are_those_of_two(watched):
    law, age, ends = weibull_fit_and_quantile(watched, 0.10)
    assert law == weibull_fit(watched)
    assert (age, ends) == weibull_quantile_interval(watched, 0.10)


def test_weibull_of_many_finds_the_law_they_came_from():
    rng = np.random.default_rng(3)
    age = 500 * rng.weibull(1.4, 5000)
    fit = weibull_fit(lives(np.minimum(age, 400), age < 400))

    assert fit.shape_interval[0] < 1.4 < fit.shape_interval[1]
    assert fit.scale_interval[0] < 500 < fit.scale_interval[1]
    assert fit.quantile(0.1) == pytest.approx(500 * (-math.log(0.9)) ** (1 / 1.4), rel=0.08)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(drawn=some_lives, unit=st.floats(1e-3, 1e6))
def test_weibull_does_not_depend_on_the_unit_of_age(drawn, unit):
    watched = made(drawn)
    scaled = lives(watched.duration * unit, watched.failed, watched.entry * unit)
    fit = fitted_or_none(watched)
    if fit is None:
        with pytest.raises(OutOfRange):
            weibull_fit(scaled)
        return
    other = weibull_fit(scaled)

    assert other.shape == pytest.approx(fit.shape, rel=1e-6)
    assert other.scale == pytest.approx(fit.scale * unit, rel=1e-6)
    assert not any(math.isnan(end) for end in (*fit.shape_interval, *fit.scale_interval))
    assert fit.shape_interval[0] <= fit.shape <= fit.shape_interval[1]
    assert fit.scale_interval[0] <= fit.scale * (1 + 1e-9)
    assert fit.scale <= fit.scale_interval[1] * (1 + 1e-9)


@pytest.mark.parametrize(
    "failed", [[False] * 4, [True, False, False, False], [True, True, False, False]]
)
def test_weibull_of_too_few_failures_is_refused(failed):
    with pytest.raises(OutOfRange) as refused:
        weibull_fit(lives([5.0, 5.0, 8.0, 9.0], failed))

    assert refused.value.argument == "failed"


def test_log_rank_gives_both_arms_their_failures():
    test = log_rank([treated_lives(), untreated_lives()])

    assert test.observed == (9.0, 21.0)
    assert sum(test.expected) == pytest.approx(30.0)
    assert test.n == (21, 21)
    assert test.permutation_p_value is None
    # One variance stands for both: (O - E)^2 / V.
    assert (9 - test.expected[0]) ** 2 / test.chi_square == pytest.approx(6.2570, abs=1e-4)


def test_log_rank_of_the_same_lives_finds_nothing():
    test = log_rank([treated_lives(), treated_lives(), treated_lives()])

    assert test.chi_square == pytest.approx(0.0, abs=1e-9)
    assert test.degrees_of_freedom == 2
    assert test.p_value == pytest.approx(1.0)


def test_log_rank_of_two_groups_is_that_of_scipy():
    from scipy.stats import CensoredData, logrank

    a, b = treated_lives(), untreated_lives()
    theirs = logrank(
        CensoredData(uncensored=a.duration[a.failed], right=a.duration[~a.failed]),
        CensoredData(uncensored=b.duration[b.failed], right=b.duration[~b.failed]),
    )
    ours = log_rank([a, b])

    assert ours.chi_square == pytest.approx(theirs.statistic**2)
    assert ours.p_value == pytest.approx(theirs.pvalue)


def test_small_groups_have_a_permutation_p_value_beside():
    soon = lives([2.0, 3.0, 4.0, 5.0, 6.0], [True] * 5)
    late = lives([12.0, 13.0, 14.0, 15.0, 16.0], [True] * 5)
    test = log_rank([soon, late])

    # Of the 252 ways to deal ten lives to two fives, the two wholly parted ones lie farthest.
    assert test.permutation_p_value == pytest.approx(2 / 252, rel=1e-12)
    assert test.p_value < test.permutation_p_value
    assert log_rank([soon, late]).permutation_p_value == test.permutation_p_value


def test_deals_drawn_by_lot_come_near_all_there_are(monkeypatch):
    module = importlib.import_module("advisory.engineering.survival.log_rank")
    rng = np.random.default_rng(23)
    groups = [
        lives(np.ceil(factor * rng.weibull(1.5, 6)), rng.random(6) < 0.8) for factor in (10, 17)
    ]
    every = log_rank(groups).permutation_p_value
    monkeypatch.setattr(module, "_every_deal", lambda group: None)
    drawn = log_rank(groups).permutation_p_value

    # 4999 drawn of 924: a standard error of 0.007 at the most.
    assert drawn != every
    assert drawn == pytest.approx(every, abs=0.02)


def test_three_small_groups_have_a_permutation_p_value_too():
    groups = [lives([2.0, 3.0, 4.0], [True] * 3), lives([3.0, 8.0], [True, False])]
    groups.append(lives([5.0, 9.0, 9.0, 12.0], [True, True, True, False], [0.0, 0.0, 4.0, 0.0]))
    test = log_rank(groups)

    assert test.degrees_of_freedom == 2
    assert test.permutation_p_value is not None
    assert 0.0 < test.permutation_p_value <= 1.0
    assert test.permutation_p_value == pytest.approx(test.p_value, abs=0.1)


def test_log_rank_with_late_entry_leaves_out_who_had_not_joined():
    # Group b joins after a has failed: at no age are both watched.
    a = lives([1.0, 2.0], [True, True])
    b = lives([8.0, 9.0], [True, True], [5.0, 5.0])

    with pytest.raises(OutOfRange) as refused:
        log_rank([a, b])

    assert refused.value.argument == "group"


@pytest.mark.parametrize(
    ("groups", "argument"),
    [
        ([lives([5.0], [True])], "group"),
        ([lives([5.0], [False]), lives([6.0], [False])], "failed"),
    ],
)
def test_log_rank_without_two_groups_or_a_failure_is_refused(groups, argument):
    with pytest.raises(OutOfRange) as refused:
        log_rank(groups)

    assert refused.value.argument == argument


@pytest.mark.parametrize(
    ("arguments", "argument"),
    [
        (([], []), "duration"),
        (([0.0], [True]), "duration"),
        (([-1.0], [True]), "duration"),
        (([float("nan")], [True]), "duration"),
        (([1.0, 2.0], [True]), "failed"),
        (([1.0], [True], [1.0]), "entry"),
        (([1.0], [True], [-0.5]), "entry"),
        (([1.0, 2.0], [True, True], [0.0]), "entry"),
    ],
)
def test_bad_lives_are_refused_by_name(arguments, argument):
    with pytest.raises(OutOfRange) as refused:
        lives(*arguments)

    assert refused.value.argument == argument


@pytest.mark.parametrize("level", [0.0, 1.0, float("nan")])
def test_level_must_be_a_level(level):
    with pytest.raises(OutOfRange):
        kaplan_meier(treated_lives(), level=level)
    with pytest.raises(OutOfRange):
        weibull_fit(treated_lives(), level=level)


def test_mean_count_of_one_finding_each_is_the_cumulative_hazard_of_all_watched():
    """With units that stay watched after a finding, M is the plain share that had one."""
    units = [WatchedUnit(100.0, (float(age),)) for age in range(10, 60, 10)]
    count = mean_cumulative_count(units)

    assert count.count.tolist() == pytest.approx([0.2, 0.4, 0.6, 0.8, 1.0])
    assert count.standard_error[-1] == pytest.approx(0.0, abs=1e-12)


def test_robust_error_is_that_of_the_bootstrap():
    rng = np.random.default_rng(17)
    units = valve_seat_units()
    place = list(mean_cumulative_count(units).age).index(604.0)
    drawn = []
    for _ in range(1500):
        some = [units[i] for i in rng.integers(0, len(units), len(units))]
        count = mean_cumulative_count(some)
        before = count.count[count.age <= 604.0]
        drawn.append(before[-1])
    error = mean_cumulative_count(units).standard_error[place]

    assert np.std(drawn) == pytest.approx(error, rel=0.1)


def test_unit_that_joined_late_is_not_at_risk_before():
    units = [WatchedUnit(10.0, (3.0,)), WatchedUnit(10.0, (8.0,), entry=5.0)]
    count = mean_cumulative_count(units)

    assert count.at_risk.tolist() == [1.0, 2.0]
    assert count.count.tolist() == [1.0, 1.5]


@pytest.mark.parametrize(
    ("units", "argument"),
    [
        ([], "units"),
        ([WatchedUnit(0.0)], "end"),
        ([WatchedUnit(5.0, (6.0,))], "findings"),
        ([WatchedUnit(5.0, (1.0,), entry=2.0)], "findings"),
        ([WatchedUnit(5.0, entry=5.0)], "entry"),
        ([WatchedUnit(5.0, (float("nan"),))], "findings"),
    ],
)
def test_bad_units_are_refused_by_name(units, argument):
    with pytest.raises(OutOfRange) as refused:
        mean_cumulative_count(units)

    assert refused.value.argument == argument


def test_no_finding_gives_an_empty_count():
    assert mean_cumulative_count([WatchedUnit(5.0)]).count.size == 0
