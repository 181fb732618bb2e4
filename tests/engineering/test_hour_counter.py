"""Running time from what an hour counter showed: additivity, changes of counter, mean speed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisory.engineering.hour_counter import CounterShown, counter_trace, mean_speed

HOUR = 3600.0
shown = st.lists(
    st.tuples(st.integers(1, 4000), st.floats(0, 500 * HOUR)), min_size=2, max_size=12
)  # fmt: skip


@given(shown)
def test_run_adds_up_to_what_one_counter_came_to(rows: list[tuple[int, float]]) -> None:
    days, numbers = sorted({day for day, _ in rows}), sorted(number for _, number in rows)
    pairs = list(zip(days, numbers, strict=False))
    trace = counter_trace([CounterShown(day, number) for day, number in reversed(pairs)])
    assert trace.last is not None
    assert trace.last.run == pytest.approx(pairs[-1][1] - pairs[0][1])
    for day, number in pairs:
        since = trace.since(day)
        assert since == pytest.approx(pairs[-1][1] - number, abs=1e-6)


def test_number_that_goes_back_is_left_out() -> None:
    trace = counter_trace(
        [CounterShown(1, 10 * HOUR), CounterShown(5, 2 * HOUR), CounterShown(9, 14 * HOUR)]
    )
    assert [mark.day for mark in trace.marks] == [1, 9]
    assert trace.last is not None
    assert trace.last.run == 4 * HOUR


def test_nothing_is_known_across_another_counter() -> None:
    trace = counter_trace(
        [
            CounterShown(1, 100 * HOUR),
            CounterShown(11, 110 * HOUR),
            CounterShown(21, 0.0, anew=True),
            CounterShown(31, 6 * HOUR),
        ]
    )
    assert trace.at(6) is not None
    assert trace.at(6).run == 5 * HOUR
    assert trace.at(16) is None
    assert trace.since(11) is None
    assert trace.since(26) == pytest.approx(3 * HOUR)
    assert trace.first_of_last is not None
    assert trace.first_of_last.day == 21


def test_nothing_is_known_before_the_first_and_after_the_last() -> None:
    trace = counter_trace([CounterShown(5, HOUR), CounterShown(9, 2 * HOUR)])
    assert trace.at(4) is None
    assert trace.at(10) is None
    assert counter_trace([]).since(3) is None


def test_mean_speed_is_told_only_where_it_can_be() -> None:
    assert mean_speed(500e3, 10 * HOUR) == pytest.approx(50 / 3.6)
    assert mean_speed(500e3, 4 * HOUR) is None  # one outing
    assert mean_speed(20e3, 10 * HOUR) is None  # slower than a walk
    assert mean_speed(2000e3, 10 * HOUR) is None  # faster than it goes
