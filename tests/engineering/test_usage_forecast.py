"""The day on which a distance is reached, against simulations and against what must hold.

The simulated cars are no draws from the model under test: they have trips and tours by the day,
years that differ, winters of uneven length and spells off the road.
"""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering.errors import OutOfRange
from advisory.engineering.usage_forecast import (
    ASSUMPTIONS,
    CLUSTERING,
    DEFAULT_ANNUAL_DISTANCE,
    HORIZON,
    MONTH_SHARES,
    Use,
    annual_distance,
    day_reached,
    expected_distance,
    lay_up_ends,
)

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


def test_month_shares_are_one_year() -> None:
    assert sum(MONTH_SHARES) == pytest.approx(1.0)
    assert len(MONTH_SHARES) == 12


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
        assert expected_distance(use, SPRING + days) == pytest.approx(expected)
    with pytest.raises(OutOfRange, match="day"):
        expected_distance(use, SPRING - 1)


def test_lay_up_covers_nothing() -> None:
    away = ((SPRING + 30, SPRING + 120),)
    use = replace(single(expected_annual=4_000e3), lay_ups=away)
    assert expected_distance(use, SPRING + 120) == expected_distance(use, SPRING + 29)
    expected = 4_000e3 * slow_exposure(SPRING, SPRING + 200, away)
    assert expected_distance(use, SPRING + 200) == pytest.approx(expected)


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
    assert learnt.mean == pytest.approx(2_000e3, rel=0.15)
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
    # Independent way: draw a yearly distance, then daily gamma increments, and see when it passes.
    rng = np.random.default_rng(20_240_401)
    use = single(today=FIRST_OF_MAY, expected_annual=3_500e3)
    shape, cars, days, need = annual_distance(use).shape, 4000, 900, 2_000e3
    annual = rng.gamma(shape, 3_500e3 / shape, cars)
    exposure = np.diff([slow_exposure(FIRST_OF_MAY, FIRST_OF_MAY + d) for d in range(days + 1)])
    driven = np.cumsum(
        rng.gamma(annual[:, None] * exposure[None, :] / CLUSTERING, CLUSTERING), axis=1
    )
    reached = np.where(driven[:, -1] >= need, np.argmax(driven >= need, axis=1) + 1, HORIZON)
    found = day_reached(use, need)
    for quantile, day in zip((0.1, 0.5, 0.9), (found.p10, found.p50, found.p90), strict=True):
        assert day is not None
        share = np.mean(reached <= day - FIRST_OF_MAY)
        assert share == pytest.approx(quantile, abs=0.06)


def simulated_car(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray, int]:
    """Drive a car by the day for eight years; a trip now and then, a tour, winters, bad years."""
    start, years = date(2015, 1, 1).toordinal(), 8
    count = years * 365
    dates = np.datetime64("2015-01-01") + np.arange(count)
    use = rng.lognormal(0.0, 0.35, years + 1)[dates.astype("datetime64[Y]").astype(int) - 45]
    if rng.random() < 0.8:
        for year in range(years + 1):
            away = (year * 365 - 73) + rng.integers(-20, 25)
            back = (year * 365 + 95) + rng.integers(-15, 25)
            use[max(away, 0) : max(back, 0)] = 0.0
    if rng.random() < 0.3:
        off = rng.integers(0, count - 400)
        use[off : off + rng.integers(150, 400)] = 0.0
    metres = rng.gamma(1.2, 1.0, count) * (rng.random(count) < use * rng.uniform(0.03, 0.15))
    for begin in np.flatnonzero(rng.random(count) < use * 0.003):
        metres[begin : begin + 7] += rng.gamma(2.0, 1.2, min(7, count - begin))
    yearly = rng.lognormal(np.log(2_600e3), 0.7)
    return start + np.arange(count), np.cumsum(metres) * yearly * years / metres.sum(), count


@pytest.mark.parametrize("seed", [1, 2])
def test_forecast_holds_on_cars_that_follow_another_process(seed: int) -> None:
    rng = np.random.default_rng(seed)
    errors, naive, held = [], [], []
    for _ in range(600):
        days, metres, count = simulated_car(rng)
        last = int(rng.integers(900, 1900))
        readings = min(2 + rng.poisson(rng.gamma(1.3, 4.0)), 60)
        places = np.sort(rng.choice(np.arange(last - 800, last), readings, replace=False))
        places[-1] = last
        need = float(rng.choice([1_500e3, 2_500e3, 4_000e3]))
        truth = min(int(np.searchsorted(metres, metres[last] + need)), count - 1, last + 1095)
        use = Use(tuple(days[places].tolist()), tuple(metres[places].tolist()), int(days[last]))
        found = day_reached(use, float(metres[last]) + need)
        low, middle, high = (
            min((day or HORIZON + use.today) - use.today, 1095)
            for day in (found.p10, found.p50, found.p90)
        )
        true_days = truth - last
        pace = (metres[last] - metres[places[0]]) / (last - places[0])
        naive.append(abs(min(need / max(pace, 1.0), 1095) - true_days))
        errors.append(abs(middle - true_days))
        held.append(low <= true_days <= high)
    assert 0.72 <= np.mean(held) <= 0.93
    assert np.median(errors) < 0.95 * np.median(naive)


@settings(deadline=None)
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
