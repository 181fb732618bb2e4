"""The estimates of a fleet: against published values, second ways, and fleets of known truth."""

import numpy as np
import pytest
from scipy import stats

from advisory.engineering.checks import lifetime_data as data
from advisory.engineering.errors import OutOfRange
from advisory.engineering.survival import (
    difference_within,
    lives,
    log_rank,
    log_rank_within,
    mean_by_owner,
    mean_count_at,
    mean_cumulative_count,
    share_by_owner,
    survival_at,
    weibull_fit,
    weibull_fit_many,
    weibull_quantile_interval,
    weighted_difference,
)
from tests.engineering.simulated_fleets import SIMULATIONS, a_fleet_of_lives


def test_curve_at_stated_ages_nist_printed_values() -> None:
    """NIST/SEMATECH e-Handbook 8.2.1.5."""
    points = survival_at(data.nist_lives(), [10, 60, 122, 199])
    assert points.survival == pytest.approx([0.95, 0.8471, 0.7374, 0.6704], abs=5.1e-5)


def test_curve_at_stated_ages_band_of_the_trial() -> None:
    """Freireich's trial, 6-MP arm: .8571 (.6197-.9516) at six weeks."""
    points = survival_at(data.treated_lives(), [6])
    assert (points.lower[0], points.upper[0]) == pytest.approx((0.6197, 0.9516), abs=5.1e-5)


def test_none_failed_yet_is_not_certain() -> None:
    """None of 30: the one-sided limit is 0.05^(1/30)."""
    points = survival_at(lives([9.0] * 30, [False] * 30), [5.0, 20.0])
    assert points.lower[0] == pytest.approx(0.05 ** (1 / 30))
    assert points.survival[0] == points.upper[0] == 1.0
    assert np.isnan(points.survival[1])


def test_difference_of_shares_newcombes_printed_example() -> None:
    """R. G. Newcombe 1998, table II (a), method 10: 56/70 less 48/80 is .0524 to .3339."""
    one = survival_at(lives([9.0] * 70, [True] * 14 + [False] * 56), [9.0])
    other = survival_at(lives([9.0] * 80, [True] * 32 + [False] * 48), [9.0])
    difference = weighted_difference(one, other)
    assert (difference.lower, difference.upper) == pytest.approx((0.0524, 0.3339), abs=5.1e-5)
    turned = weighted_difference(other, one)
    assert (turned.lower, turned.upper) == pytest.approx((-difference.upper, -difference.lower))


def test_difference_of_shares_none_of_ten_and_none_of_twenty() -> None:
    """Newcombe's table II (h), method 10: 0/10 less 0/20 is -.1611 to .2775."""
    one = survival_at(lives([9.0] * 10, [True] * 10), [8.0])
    other = survival_at(lives([9.0] * 20, [True] * 20), [8.0])
    found = weighted_difference(other, one)  # none failed by then: whole shares, the same law
    assert (found.lower, found.upper) == pytest.approx((-0.1611, 0.2775), abs=5.1e-5)


def test_log_rank_in_one_stratum_is_that_of_the_trial() -> None:
    """Freireich's trial: chi-square 16.792941, expected 19.2505, variance 6.2570."""
    found = log_rank_within([(data.treated_lives(), data.untreated_lives())])
    assert found.chi_square == pytest.approx(16.792941, abs=1e-6)
    assert (found.observed, found.expected) == pytest.approx((9, 19.2505), abs=5.1e-5)
    assert found.variance == pytest.approx(6.2570, abs=5.1e-5)
    assert found.p_value == pytest.approx(4.17e-5, rel=2e-3)


def test_log_rank_within_sums_over_strata() -> None:
    """Against a second way: the plain test's parts of each stratum, added up."""
    rng = np.random.default_rng(7)
    strata = [(a_fleet_of_lives(rng, 40), a_fleet_of_lives(rng, 30, 20_000.0)) for _ in range(3)]
    plain = [log_rank(list(pair)) for pair in strata]
    parts = np.array([[p.observed[0], p.expected[0]] for p in plain]).sum(axis=0)
    variance = sum((p.observed[0] - p.expected[0]) ** 2 / p.chi_square for p in plain)
    found = log_rank_within(strata)
    assert (found.observed, found.expected) == pytest.approx(tuple(parts))
    assert found.variance == pytest.approx(variance)
    assert found.strata == 3


def test_strata_take_away_what_only_the_mixture_made() -> None:
    """One design lasts long and is mostly filtered: raw the filter seems to pay, within not."""
    rng = np.random.default_rng(11)
    good = a_fleet_of_lives(rng, 900, 60_000.0), a_fleet_of_lives(rng, 100, 60_000.0)
    poor = a_fleet_of_lives(rng, 100, 15_000.0), a_fleet_of_lives(rng, 900, 15_000.0)
    raw = difference_within(
        [
            tuple(  # type: ignore[list-item]
                lives(*(np.concatenate([getattr(g[i], f) for g in (good, poor)])
                        for f in ("duration", "failed", "entry")))
                for i in (0, 1)
            )
        ],
        15_000.0,
    )  # fmt: skip
    within = difference_within([good, poor], 15_000.0)
    assert raw is not None
    assert within is not None
    assert raw.lower > 0.3
    assert within.lower < 0.0 < within.upper


def test_no_stratum_with_both_is_said() -> None:
    never = lives([5.0], [False]), lives([6.0], [False])
    with pytest.raises(OutOfRange):
        log_rank_within([never])
    assert difference_within([never], 20.0) is None


def test_findings_a_unit_nelsons_valve_seats() -> None:
    """M(404) = .6835, M(604) = 1.0597, M(653) = 1.5427 with robust standard error .3117."""
    units = data.valve_seat_units()
    on = np.repeat(np.arange(len(units)), [len(u.findings) for u in units])
    at = [t for u in units for t in u.findings]
    found = mean_count_at(
        [0.0] * len(units), [u.end for u in units], np.arange(len(units)), at, on, [404, 604, 653]
    )
    assert found.count == pytest.approx([0.6835, 1.0597, 1.5427], abs=5.1e-5)
    assert found.standard_error[-1] == pytest.approx(0.3117, abs=5.1e-5)


def test_findings_a_unit_as_the_table_of_units_by_ages_has_them() -> None:
    """Against the second way, with late entry, at every age at which anything was found."""
    from advisory.engineering.survival import WatchedUnit

    rng = np.random.default_rng(5)
    entry = rng.uniform(0.0, 5.0, 60)
    end = entry + rng.uniform(1.0, 9.0, 60)
    number = rng.poisson(1.3, 60)
    on = np.repeat(np.arange(60), number)
    at = np.round(entry[on] + (end - entry)[on] * rng.uniform(0.05, 1.0, on.size), 1)
    at = np.clip(at, entry[on] + 1e-6, end[on])
    units = [
        WatchedUnit(float(e), tuple(at[on == i]), float(b))
        for i, (b, e) in enumerate(zip(entry, end, strict=True))
    ]
    table = mean_cumulative_count(units)
    found = mean_count_at(entry, end, np.arange(60), at, on, table.age)
    assert found.count == pytest.approx(table.count)
    assert found.standard_error == pytest.approx(table.standard_error)


def test_nothing_found_has_an_upper_end() -> None:
    found = mean_count_at([0.0] * 10, [9.0] * 10, np.arange(10), [], [], [5.0])
    assert (found.count[0], found.lower[0]) == (0.0, 0.0)
    assert found.upper[0] == pytest.approx(-np.log(0.025) / 10)


def test_share_of_owners_with_one_each_is_wilsons() -> None:
    """Against scipy's Wilson interval; with Student's quantile a little wider."""
    part = [1] * 30 + [0] * 10
    found = share_by_owner(part, [1] * 40)
    theirs = stats.binomtest(30, 40).proportion_ci(method="wilson")
    assert found.value == 0.75
    assert theirs.low - 0.01 < found.lower <= theirs.low
    assert theirs.high <= found.upper < theirs.high + 0.01


def test_all_in_time_is_not_certain_and_owners_count() -> None:
    found = share_by_owner([20] * 5, [20] * 5)
    assert found.upper == 1.0
    assert found.lower < 0.5


def test_mean_with_one_unit_an_owner_is_students() -> None:
    values = np.random.default_rng(3).normal(5.0, 2.0, 12)
    found = mean_by_owner(values, np.arange(12))
    theirs = stats.ttest_1samp(values, 0.0).confidence_interval()
    assert (found.lower, found.upper) == pytest.approx((theirs.low, theirs.high))
    assert found.spread == pytest.approx(values.std(ddof=1))


def test_mean_of_one_owner_has_no_ends() -> None:
    assert mean_by_owner([1.0, 2.0], [4, 4]).upper == np.inf


@pytest.mark.parametrize("name", SIMULATIONS)
def test_bands_cover_the_truth(name: str) -> None:
    """The short run of tests/benchmarks: 300 fleets, and room for chance."""
    assert 0.915 <= SIMULATIONS[name].coverage(20, 300) <= 0.985


def test_law_of_many_lives_is_that_of_their_likelihood() -> None:
    """Against the exact fit with profile intervals, with late entry and censoring."""
    watched = a_fleet_of_lives(np.random.default_rng(4), 1500)
    exact = weibull_fit(watched)
    age, ends = weibull_quantile_interval(watched, 0.10)
    fit, many_age, many_ends = weibull_fit_many(watched, 0.10)
    assert fit.shape == pytest.approx(exact.shape, rel=1e-4)
    assert fit.scale == pytest.approx(exact.scale, rel=1e-4)
    assert fit.log_likelihood == pytest.approx(exact.log_likelihood, rel=1e-5)
    assert many_age == pytest.approx(age, rel=1e-4)
    assert many_ends == pytest.approx(ends, rel=5e-3)
    assert fit.shape_interval == pytest.approx(exact.shape_interval, rel=5e-3)
    assert fit.scale_interval == pytest.approx(exact.scale_interval, rel=5e-3)


def test_law_of_too_few_failures_is_refused() -> None:
    with pytest.raises(OutOfRange):
        weibull_fit_many(data.nist_weibull_lives())
