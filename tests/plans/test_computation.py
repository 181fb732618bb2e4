"""Dates, distances and states, against cases that go wrong and against a slow, obvious way."""

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisory.plans.computation import (
    Anchor,
    Due,
    Limits,
    Spell,
    Standing,
    add_months,
    after_standing,
    due_of,
    first_day,
    is_late,
    next_season,
    state_of,
    was_in_time,
)
from advisory.plans.enums import CountedFrom, DueState

TODAY = date(2026, 5, 12)


def standing(distance: float | None = 0.0, *, still: bool = False) -> Standing:
    return Standing(TODAY, distance, still)


def anchor(day: date = TODAY, distance: float | None = 0.0) -> Anchor:
    return Anchor(day, distance, CountedFrom.DONE)


@pytest.mark.parametrize(
    ("start", "months", "expected"),
    [
        # months count from the anchor, not from the last result
        (date(2025, 1, 31), 1, date(2025, 2, 28)),
        (date(2025, 1, 31), 2, date(2025, 3, 31)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2024, 8, 31), 6, date(2025, 2, 28)),
        (date(2023, 8, 31), 6, date(2024, 2, 29)),
        (date(2025, 12, 31), 1, date(2026, 1, 31)),
        (date(2025, 11, 30), 3, date(2026, 2, 28)),
        (date(2025, 5, 12), 0, date(2025, 5, 12)),
    ],
)
def test_months_count_from_the_anchor(start: date, months: int, expected: date) -> None:
    assert add_months(start, months) == expected


@given(st.dates(date(1900, 1, 1), date(2200, 1, 1)), st.integers(0, 600))
def test_months_keep_the_day_or_end_the_month(start: date, months: int) -> None:
    result = add_months(start, months)
    assert (result.year - start.year) * 12 + result.month - start.month == months
    assert result.day == start.day or (
        result.day < start.day and (result + timedelta(days=1)).day == 1
    )


def test_next_season_is_never_the_day_itself() -> None:
    assert next_season(date(2025, 10, 14), 10, 15) == date(2025, 10, 15)
    assert next_season(date(2025, 10, 15), 10, 15) == date(2026, 10, 15)
    assert next_season(date(2025, 12, 31), 10, 15) == date(2026, 10, 15)


def test_due_by_distance_and_date_whichever_first() -> None:
    due = due_of(Limits(distance=1500e3, months=12), anchor(date(2025, 5, 31), 200e3))
    assert due == Due(distance=1700e3, date=date(2026, 5, 31), interval=1500e3)
    assert first_day(due, date(2026, 3, 1)) == date(2026, 3, 1)
    assert first_day(due, date(2026, 9, 1)) == date(2026, 5, 31)
    assert first_day(due, None) == date(2026, 5, 31)


def test_due_on_the_earlier_of_season_and_months() -> None:
    limits = Limits(months=12, on=date(2025, 10, 25))
    assert due_of(limits, anchor(date(2025, 5, 31))).date == date(2025, 10, 25)


def test_unknown_distance_leaves_the_calendar_going() -> None:
    due = due_of(Limits(distance=1500e3, months=12), anchor(date(2025, 5, 12), None))
    assert due.distance is None
    assert due.date == date(2026, 5, 12)


def test_due_day_within_a_lay_up_moves_to_its_end() -> None:
    winter = Spell(date(2025, 10, 28), date(2026, 4, 6))
    assert after_standing(date(2026, 1, 10), [winter]) == date(2026, 4, 6)
    assert after_standing(date(2026, 4, 7), [winter]) == date(2026, 4, 7)
    assert after_standing(date(2025, 10, 27), [winter]) == date(2025, 10, 27)


def test_due_day_is_not_moved_while_the_lay_up_lasts() -> None:
    assert after_standing(date(2026, 1, 10), [Spell(date(2025, 10, 28))]) == date(2026, 1, 10)


def test_due_day_moves_through_two_spells_on_end() -> None:
    spells = [
        Spell(date(2026, 2, 1), date(2026, 5, 1)),
        Spell(date(2025, 12, 1), date(2026, 2, 1)),
    ]
    assert after_standing(date(2025, 12, 24), spells) == date(2026, 5, 1)


@pytest.mark.parametrize(
    ("days_left", "expected"),
    [
        (60, DueState.AHEAD),
        (22, DueState.AHEAD),
        (21, DueState.NEAR),
        (1, DueState.NEAR),
        (0, DueState.DUE),
        (-14, DueState.DUE),
        (-15, DueState.LATE),
    ],
)
def test_state_by_the_calendar(days_left: int, expected: DueState) -> None:
    day = TODAY + timedelta(days=days_left)
    assert state_of(Due(None, day, None), day, standing()) == expected


@pytest.mark.parametrize(
    ("driven", "expected"),
    [
        (899e3, DueState.AHEAD),
        (900e3, DueState.NEAR),
        (999e3, DueState.NEAR),
        (1000e3, DueState.DUE),
        (1100e3, DueState.DUE),
        (1101e3, DueState.LATE),
    ],
)
def test_state_by_distance_needs_no_forecast(driven: float, expected: DueState) -> None:
    assert state_of(Due(1000e3, None, 1000e3), None, standing(driven)) == expected


def test_forecast_alone_never_makes_overdue() -> None:
    long_ago = TODAY - timedelta(days=200)
    assert state_of(Due(1000e3, None, 1000e3), long_ago, standing(500e3)) == DueState.DUE


def test_everything_rests_while_standing_still() -> None:
    due = Due(1000e3, TODAY - timedelta(days=100), 1000e3)
    assert state_of(due, due.date, standing(2000e3, still=True)) == DueState.RESTING


def test_item_without_any_limit_rests() -> None:
    assert state_of(Due(None, None, None), None, standing(None)) == DueState.RESTING


def test_forecast_that_shakes_by_five_days_changes_nothing() -> None:
    lead = timedelta(days=21)
    state: DueState | None = None
    seen = []
    for night in range(30):
        shake = (5, -4, 0, 3, -5)[night % 5]
        expected = TODAY + lead + timedelta(days=1 + shake)
        state = state_of(
            Due(1000e3, None, 1000e3), expected, standing(100e3), lead=lead, before=state
        )
        seen.append(state)
    changes = sum(a != b for a, b in pairwise(seen))
    assert changes == 1
    assert seen[-1] == DueState.NEAR


def test_state_is_taken_back_when_the_forecast_moves_away() -> None:
    due = Due(1000e3, None, 1000e3)
    near = TODAY + timedelta(days=35)
    assert state_of(due, near, standing(), before=DueState.NEAR) == DueState.NEAR
    away = TODAY + timedelta(days=36)
    assert state_of(due, away, standing(), before=DueState.NEAR) == DueState.AHEAD


def test_long_lead_is_taken_back_by_a_quarter_of_it() -> None:
    due, lead = Due(None, None, None), timedelta(days=100)
    kept = TODAY + timedelta(days=125)
    assert state_of(due, kept, standing(), lead=lead, before=DueState.NEAR) == DueState.NEAR
    away = kept + timedelta(days=1)
    assert state_of(due, away, standing(), lead=lead, before=DueState.NEAR) == DueState.AHEAD


def test_in_time_with_grace_and_unknowns() -> None:
    due = Due(1000e3, TODAY, 1000e3)
    assert was_in_time(due, TODAY, 1000e3) is True
    assert was_in_time(due, TODAY + timedelta(days=14), 1100e3) is True
    assert was_in_time(due, TODAY + timedelta(days=15), 900e3) is False
    assert was_in_time(due, TODAY, 1101e3) is False
    assert was_in_time(due, TODAY, None) is True
    assert was_in_time(Due(1000e3, None, 1000e3), TODAY, None) is None
    assert was_in_time(Due(None, None, None), TODAY, 5.0) is None


@given(
    due_distance=st.none() | st.floats(0, 1e7),
    interval=st.floats(1e3, 1e7),
    due_in=st.none() | st.integers(-400, 400),
    driven=st.none() | st.floats(0, 2e7),
    forecast_in=st.none() | st.integers(-400, 400),
    before=st.none() | st.sampled_from(list(DueState)),
)
def test_late_is_told_exactly_when_the_due_point_lies_back(
    due_distance: float | None,
    interval: float,
    due_in: int | None,
    driven: float | None,
    forecast_in: int | None,
    before: DueState | None,
) -> None:
    day = None if due_in is None else TODAY + timedelta(days=due_in)
    forecast = None if forecast_in is None else TODAY + timedelta(days=forecast_in)
    due = Due(due_distance, day, interval)
    state = state_of(due, first_day(due, forecast), standing(driven), before=before)
    assert (state == DueState.LATE) == is_late(due, TODAY, driven)
    if due_in is not None and 0 <= -due_in <= 14:
        assert state in {DueState.DUE, DueState.LATE}
