"""The dimension line of a plan item: where its marks stand, and what it says of little."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisory.common.drawing import Compared, Comparison, Gauge, nice_step

LENGTHS = st.floats(min_value=0.0, max_value=1e9, allow_nan=False)


def test_gauge_before_due_puts_the_pointer_at_its_share_of_the_way() -> None:
    gauge = Gauge(done=41_200, now=42_160, due=42_800)
    assert gauge.state == "in-hand"
    assert gauge.now_x == "60.00%"
    assert gauge.due_x == "100.00%"


def test_gauge_past_due_ends_at_today_and_shows_the_stretch_over() -> None:
    gauge = Gauge(done=0, now=1250, due=1000)
    assert gauge.state == "over"
    assert (gauge.now_x, gauge.due_x, gauge.over_width) == ("100.00%", "80.00%", "20.00%")


def test_gauge_long_past_due_keeps_room_for_the_way_to_the_due_mark() -> None:
    gauge = Gauge(done=0, now=50_000, due=1000)
    assert gauge.due_share == pytest.approx(30.0)
    assert gauge.now_share == pytest.approx(100.0)


def test_gauge_whose_stretch_over_is_shortened_shows_a_break() -> None:
    assert Gauge(done=0, now=50_000, due=1000).broken
    assert not Gauge(done=0, now=1250, due=1000).broken
    assert not Gauge(done=0, now=100, due=1000).broken


def test_gauge_words_of_the_due_mark_stand_under_it_while_there_is_room() -> None:
    assert Gauge(done=0, now=50_000, due=1000).due_column == "30"
    assert Gauge(done=0, now=2000, due=1000).due_column == "50"
    assert Gauge(done=0, now=1100, due=1000).due_column == ""
    assert Gauge(done=0, now=500, due=1000).due_column == ""


def test_gauge_due_at_once_when_never_done_is_over_and_still_drawn() -> None:
    gauge = Gauge(done=None, now=900, due=400)
    assert gauge.known
    assert gauge.state == "over"
    assert gauge.ticks == []


@pytest.mark.parametrize(
    ("now", "due"),
    [(None, 1000.0), (500.0, None), (None, None), (float("nan"), 1.0), (1.0, float("inf"))],
)
def test_gauge_without_a_figure_says_unknown(now: float | None, due: float | None) -> None:
    gauge = Gauge(now=now, due=due)
    assert not gauge.known
    assert gauge.state == "unknown"


def test_gauge_done_and_due_at_the_same_reading_is_not_drawn() -> None:
    assert not Gauge(done=100, now=100, due=100).known


def test_gauge_soon_is_said_only_before_due() -> None:
    assert Gauge(done=0, now=90, due=100, soon=True).state == "soon"
    assert Gauge(done=0, now=110, due=100, soon=True).state == "over"


def test_gauge_words_stand_over_the_stretch_left_while_there_is_room() -> None:
    roomy = Gauge(done=0, now=20, due=100)
    tight = Gauge(done=0, now=90, due=100)
    assert (roomy.words_x, roomy.words_anchor) == ("60.00%", "middle")
    assert (tight.words_x, tight.words_anchor) == ("100.00%", "end")


def test_gauge_ticks_are_round_figures_of_the_scale() -> None:
    gauge = Gauge(done=0, now=500, due=1000)
    assert [tick.x for tick in gauge.ticks] == [f"{i}.00%" for i in range(0, 101, 10)]
    assert [i for i, tick in enumerate(gauge.ticks) if tick.major] == [0, 5, 10]


@given(done=LENGTHS, now=LENGTHS, due=LENGTHS)
def test_gauge_marks_never_leave_the_drawing(done: float, now: float, due: float) -> None:
    gauge = Gauge(done=done, now=now, due=due)
    if not gauge.known:
        return
    assert 0.0 <= gauge.now_share <= 100.0
    assert -1e-6 <= gauge.due_share <= 100.0 + 1e-6
    assert (gauge.now_share > gauge.due_share + 1e-9) <= (gauge.state == "over")
    assert len(gauge.ticks) <= 26


@given(
    st.floats(min_value=1e-6, max_value=1e9, allow_nan=False),
    st.integers(min_value=1, max_value=20),
)
def test_nice_step_is_1_2_or_5_times_a_power_of_ten_and_never_finer_than_wanted(
    span: float, wanted: int
) -> None:
    step = nice_step(span, wanted)
    assert span / step <= wanted * (1 + 1e-9)
    assert f"{step:.0e}"[0] in "125"
    assert span / step >= wanted / 2.6


def test_comparison_measures_all_rows_from_one_datum() -> None:
    drawn = Comparison(
        [Compared("none", 800, "800 miles"), Compared("full-flow", 3200, "3,200 miles")]
    ).drawn
    assert [length for _, length in drawn] == ["25.00%", "100.00%"]


def test_comparison_without_figures_draws_no_line() -> None:
    drawn = Comparison([Compared("none", None, "not known"), Compared("strainer", 0.0, "0")]).drawn
    assert [length for _, length in drawn] == ["", ""]
