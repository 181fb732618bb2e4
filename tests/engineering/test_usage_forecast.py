"""The day on which a distance is reached, against simulations and against what must hold.

The simulated cars are no draws from the model under test: they have trips and tours by the day,
years that differ, winters of uneven length and spells off the road.
"""

import json
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering.errors import OutOfRange
from advisory.engineering.usage_forecast import (
    ASSUMPTIONS,
    DEFAULT_ANNUAL_DISTANCE,
    DEFAULT_FLEET,
    HORIZON,
    Fleet,
    Use,
    Uses,
    annual_distance,
    day_reached,
    days_reached,
    expected_distance,
    lay_up_ends,
    learn_fleet,
    too_wide,
)
from advisory.engineering.usage_forecast.assumptions import DEFAULT_CLUSTERING, YEARS_DIFFER
from tests.benchmarks.forecast_report import banded, foretold, last_stretch, overall
from tests.engineering.driven_cars import CLASSES, ROUGH, Driven, World, drive, score

pytestmark = pytest.mark.one_database

MONTH_SHARES = DEFAULT_FLEET.seasons[0]
ONE_KIND = replace(DEFAULT_FLEET, seasons=(MONTH_SHARES,), shares=(1.0,))
SPRING = date(2024, 4, 1).toordinal()
FIRST_OF_MAY = date(2024, 5, 1).toordinal()


def single(today: int = SPRING, **fields: float) -> Use:
    return Use((today,), (0.0,), today, **fields)  # type: ignore[arg-type]


def slow_exposure(after: int, until: int, lay_ups: tuple[tuple[int, int], ...] = ()) -> float:
    """Add up the season day by day, with nothing but the calendar."""
    total = 0.0
    for ordinal in range(after + 1, until + 1):
        if any(a <= ordinal <= b for a, b in lay_ups):
            continue
        day = date.fromordinal(ordinal)
        month_after = date(day.year + day.month // 12, day.month % 12 + 1, 1)
        total += MONTH_SHARES[day.month - 1] / (month_after - day.replace(day=1)).days
    return total


def test_month_factors_of_the_default_are_one_year_and_mostly_summer() -> None:
    factors = DEFAULT_FLEET.month_factors
    assert sum(factors) == pytest.approx(12.0)
    assert min(factors[4:8]) > 4 * max(factors[11], *factors[:2])


def test_every_assumption_says_where_it_comes_from() -> None:
    assert all(assumption.source for assumption in ASSUMPTIONS)


def test_single_reading_and_a_guess_give_the_guess() -> None:
    assert annual_distance(single(expected_annual=3_200e3)).mean == pytest.approx(3_200e3)


def test_single_reading_without_a_guess_gives_the_default() -> None:
    assert annual_distance(single()).mean == pytest.approx(DEFAULT_ANNUAL_DISTANCE)


def test_expected_distance_follows_the_calendar() -> None:
    use = single(expected_annual=4_000e3)
    for days in (0, 10, 45, 200, 365, 800):
        expected = 4_000e3 * slow_exposure(SPRING, SPRING + days)
        assert expected_distance(use, SPRING + days, ONE_KIND) == pytest.approx(expected)
    with pytest.raises(OutOfRange, match="day"):
        expected_distance(use, SPRING - 1)


def test_lay_up_covers_nothing() -> None:
    away = ((SPRING + 30, SPRING + 120),)
    use = replace(single(expected_annual=4_000e3), lay_ups=away)
    stood = expected_distance(use, SPRING + 120, ONE_KIND)
    assert stood == pytest.approx(expected_distance(use, SPRING + 29, ONE_KIND))
    expected = 4_000e3 * slow_exposure(SPRING, SPRING + 200, away)
    assert expected_distance(use, SPRING + 200, ONE_KIND) == pytest.approx(expected)


def test_open_lay_up_ends_in_spring_and_not_before_today() -> None:
    autumn = date(2024, 11, 3).toordinal()
    spring = date(2025, 4, 1).toordinal()
    assert lay_up_ends(autumn, None, autumn) == spring
    assert lay_up_ends(autumn, None, spring + 20) == spring + 20
    assert lay_up_ends(date(2025, 2, 1).toordinal(), None, autumn) == spring
    assert lay_up_ends(autumn, autumn + 5, spring) == autumn + 5


def test_steady_driver_is_learnt_from_the_readings() -> None:
    days = tuple(FIRST_OF_MAY + 91 * i for i in range(41))
    metres = tuple(2_000e3 * slow_exposure(FIRST_OF_MAY, day) for day in days)
    learnt = annual_distance(Use(days, metres, days[-1]))
    assert learnt.mean == pytest.approx(2_000e3, rel=0.1)
    assert learnt.shape > annual_distance(single()).shape


def test_old_evidence_counts_less_than_new() -> None:
    days = tuple(FIRST_OF_MAY + 365 * i for i in range(9))
    slowing = np.concatenate(([0.0], np.cumsum([4_000e3] * 4 + [1_000e3] * 4)))
    quickening = np.concatenate(([0.0], np.cumsum([1_000e3] * 4 + [4_000e3] * 4)))
    slow = annual_distance(Use(days, tuple(slowing), days[-1]))
    quick = annual_distance(Use(days, tuple(quickening), days[-1]))
    assert slow.mean < 2_500e3 < quick.mean


def test_distance_reached_already_gives_the_last_reading() -> None:
    use = Use((SPRING, SPRING + 60), (0.0, 900e3), SPRING + 90)
    found = day_reached(use, 800e3)
    assert found.p10 == found.p50 == found.p90 == SPRING + 60


def test_distance_beyond_ten_years_is_no_day() -> None:
    found = day_reached(single(expected_annual=100e3), 50_000e3)
    assert found.p50 is None
    assert found.p90 is None


def test_quantiles_agree_with_a_simulation_of_the_same_assumptions() -> None:
    # Independent way: draw a yearly distance, good and bad years, daily gamma increments, and see
    # when each car has come so far; no car goes off the road here, which few would.
    rng = np.random.default_rng(20_240_401)
    use = single(today=FIRST_OF_MAY, expected_annual=3_500e3)
    shape, cars, days, need = annual_distance(use).shape, 1500, 900, 2_000e3
    annual = rng.gamma(shape, 3_500e3 / shape, cars)
    years = rng.gamma(YEARS_DIFFER**-2, YEARS_DIFFER**2, (cars, 3))[:, np.arange(days) // 365]
    exposure = np.diff([slow_exposure(FIRST_OF_MAY, FIRST_OF_MAY + d) for d in range(days + 1)])
    driven = np.cumsum(
        rng.gamma(annual[:, None] * years * exposure / DEFAULT_CLUSTERING, DEFAULT_CLUSTERING),
        axis=1,
    )
    reached = np.where(driven[:, -1] >= need, np.argmax(driven >= need, axis=1) + 1, HORIZON)
    found = day_reached(use, need, ONE_KIND)
    for quantile, day in zip((0.1, 0.5, 0.9), (found.p10, found.p50, found.p90), strict=True):
        assert day is not None
        share = np.mean(reached <= day - FIRST_OF_MAY)
        assert share == pytest.approx(quantile, abs=0.06)


@pytest.fixture(scope="module")
def judged() -> Driven:
    return drive(1_200, 2_001)


@pytest.mark.parametrize("seed", [2_060, 2_061])
def test_forecast_holds_on_cars_that_follow_another_process(judged: Driven, seed: int) -> None:
    """Learnt from 60 cars; the bar is that of a good model on cars of this kind.

    `python -m tests.benchmarks.forecast_report` judges more cars, in more worlds.
    """
    found = foretold(judged, learn_fleet(drive(60, seed).uses))
    assert (found[:, 0] <= found[:, 1]).all()
    assert (found[:, 1] <= found[:, 2]).all()
    whole = score(found, judged)
    assert whole.median_error <= 70
    assert whole.pinball <= 48 + 2 * whole.pinball_error
    assert 0.77 <= whole.holds <= 0.89
    for least, most in CLASSES:
        one = score(found, judged, least, most)
        assert one.cars > 80
        assert 0.74 <= one.holds <= 0.91
    assert score(found, judged, 2, 4).median_error <= 80


def test_forecast_beats_plain_methods_whose_bands_know_the_truth(judged: Driven) -> None:
    found = score(foretold(judged, learn_fleet(drive(60, 2_062).uses)), judged)
    average = score(banded(judged, overall(judged)), judged)
    stretch = score(banded(judged, last_stretch(judged)), judged)
    assert found.median_error < 0.75 * min(average.median_error, stretch.median_error)
    assert found.pinball < 0.9 * min(average.pinball, stretch.pinball)


def test_forecast_stands_a_rougher_world() -> None:
    driven = drive(500, 2_003, ROUGH)
    found = score(foretold(driven, learn_fleet(drive(60, 2_063, ROUGH).uses)), driven)
    assert 0.72 <= found.holds <= 0.89
    assert found.pinball < score(banded(driven, overall(driven)), driven).pinball


def test_lay_ups_that_are_told_help_and_never_mislead() -> None:
    told = drive(500, 2_004, World(tells_lay_ups=1.0))
    silent = replace(told, lay_ups=[])
    fleet = learn_fleet(drive(60, 2_064).uses)
    with_them, without = (score(foretold(one, fleet), one) for one in (told, silent))
    assert with_them.pinball < 1.03 * without.pinball
    assert 0.74 <= with_them.holds <= 0.91


def test_season_is_learnt_by_years_of_watching_and_not_by_distance() -> None:
    # ten cars run far in winter, ninety a little in summer: the fleet is one of summer
    months = np.array([date(2020 + m // 12, m % 12 + 1, 1).toordinal() for m in range(49)])
    winter = np.array([(m % 12) in (0, 1, 11) for m in range(48)], dtype=float)
    summer = np.array([(m % 12) in (5, 6, 7) for m in range(48)], dtype=float)
    rows = [winter * 30_000e3] * 10 + [summer * 700e3] * 90
    shown = [tuple(np.concatenate(([0.0], np.cumsum(row))).tolist()) for row in rows]
    uses = Uses.of([Use(tuple(months.tolist()), metres, int(months[-1])) for metres in shown])
    factors = np.array(learn_fleet(uses).month_factors)
    assert factors[[5, 6, 7]].mean() > 2.5
    assert factors[[0, 1, 11]].mean() < 0.8


def test_fleet_without_two_readings_is_the_stated_default() -> None:
    assert learn_fleet(Uses.of([single(), single()])) is DEFAULT_FLEET


def test_few_cars_are_shrunk_to_the_stated_season_more_than_many() -> None:
    odd = World(laid_up=0.0)
    few, many = (learn_fleet(drive(cars, 2_005, odd).uses) for cars in (6, 150))
    default = np.array(DEFAULT_FLEET.month_factors)
    away = [np.abs(np.array(each.month_factors) - default).sum() for each in (few, many)]
    assert away[0] < away[1]
    assert few.learnt < many.learnt < 1
    assert few.cars <= 6 < many.cars


def test_fleet_is_kept_and_read_back_the_same() -> None:
    fleet = learn_fleet(drive(40, 2_006).uses)
    assert Fleet.from_dict(json.loads(json.dumps(fleet.as_dict()))) == fleet


@pytest.mark.parametrize(
    "bad",
    [{"shares": (0.5, 0.4)}, {"annual_mean": 0.0}, {"clustering": float("nan")},
     {"seasons": ((1.0,), (1.0,))}],
)  # fmt: skip
def test_fleet_that_makes_no_sense_is_refused(bad: dict[str, Any]) -> None:
    with pytest.raises(OutOfRange):
        replace(DEFAULT_FLEET, **bad)


def test_each_car_is_answered_as_if_it_were_alone() -> None:
    driven = drive(60, 2_007, World(tells_lay_ups=0.5))
    uses, fleet = driven.uses, learn_fleet(driven.uses)
    together = days_reached(uses, uses.last_metres + driven.need, fleet)
    for car in range(0, 60, 7):
        alone = uses.those(np.array([car]))
        found = days_reached(alone, alone.last_metres + driven.need[car], fleet)
        np.testing.assert_allclose(found[0], together[car], atol=1)


def test_lay_ups_that_overlap_count_once() -> None:
    use = single(expected_annual=4_000e3)
    one = replace(use, lay_ups=((SPRING + 30, SPRING + 120),))
    two = replace(use, lay_ups=((SPRING + 50, SPRING + 120), (SPRING + 30, SPRING + 90)))
    far = [expected_distance(each, SPRING + 200) for each in (one, two)]
    assert far[0] == pytest.approx(far[1])


def test_announced_lay_up_puts_the_day_off() -> None:
    use = single(today=FIRST_OF_MAY, expected_annual=3_500e3)
    away = replace(use, lay_ups=((FIRST_OF_MAY + 30, FIRST_OF_MAY + 100),))
    plain, later = day_reached(use, 2_000e3), day_reached(away, 2_000e3)
    assert plain.p50 is not None
    assert later.p50 is not None
    assert later.p50 > plain.p50 + 30


def test_car_read_to_stand_all_winter_is_taken_to_stand_the_next() -> None:
    days = [date(year, month, 15).toordinal() for year in (2021, 2022, 2023) for month in (4, 10)]
    metres = [0.0, 3e6, 3e6, 6e6, 6e6, 9e6]
    standing = Use(tuple(days), tuple(metres), days[-1])
    steady = Use(tuple(days), tuple((day - days[0]) / 365.25 * 3e6 for day in days), days[-1])
    spring = date(2024, 3, 1).toordinal()
    assert expected_distance(standing, spring) - 9e6 < 0.35e6
    assert expected_distance(steady, spring) - steady.metres[-1] > 0.6e6


def test_wide_forecast_is_told_from_one_to_plan_by() -> None:
    assert too_wide(100, 200)
    assert not too_wide(100, 100)
    assert not too_wide(400, 300)
    assert too_wide(400, 330)


@settings(deadline=None, max_examples=40)
@given(
    steps=st.lists(st.tuples(st.integers(0, 500), st.floats(0, 5_000e3)), min_size=0, max_size=12),
    need=st.floats(1.0, 20_000e3),
    guess=st.none() | st.floats(1.0, 40_000e3),
    ahead=st.integers(0, 900),
)
def test_days_are_in_order_whatever_was_driven(
    steps: list[tuple[int, float]], need: float, guess: float | None, ahead: int
) -> None:
    days, metres = [SPRING], [0.0]
    for gap, way in steps:
        days.append(days[-1] + gap)
        metres.append(metres[-1] + way)
    use = Use(tuple(days), tuple(metres), days[-1] + ahead, expected_annual=guess)
    found = day_reached(use, metres[-1] + need)
    known = [day if day is not None else days[-1] + HORIZON + 1 for day in
             (found.p10, found.p50, found.p90)]  # fmt: skip
    assert days[-1] < known[0] <= known[1] <= known[2]
    farther = day_reached(use, metres[-1] + 2 * need)
    assert (farther.p50 or HORIZON + days[-1] + 1) >= known[1]


@pytest.mark.parametrize(
    ("days", "metres"),
    [((), ()), ((5, 4), (0.0, 1.0)), ((4, 5), (1.0, 0.0)), ((4, 5), (0.0, float("nan")))],
)
def test_readings_that_make_no_sense_are_refused(
    days: tuple[int, ...], metres: tuple[float, ...]
) -> None:
    with pytest.raises(OutOfRange):
        Use(days, metres, 10)


def test_guess_that_is_no_distance_is_refused() -> None:
    with pytest.raises(OutOfRange, match="expected_annual"):
        single(expected_annual=float("nan"))
