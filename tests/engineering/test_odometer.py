"""Distance from odometers: rollover, replacement, numbers put in late, numbers nobody believes.

One mile is exactly 1609.344 m (International Yard and Pound Agreement, 1959), so 6000 miles are
9656.064 km. The other cases follow from how a counter of wheels turns.
"""

import random
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering.errors import OutOfRange
from advisory.engineering.odometer import (
    FARTHEST,
    METRES_PER_COUNT,
    Doubt,
    Instrument,
    Shown,
    Step,
    farthest_in,
    question_about,
    questions_about,
    step_between,
    trace,
)

MILE = METRES_PER_COUNT["mile"]
DAY = 738_000


def miles(*readings: Shown, digits: int = 5, **fields: int) -> Instrument:
    return Instrument(MILE, digits, readings, **fields)


def test_mile_is_the_exact_international_mile() -> None:
    assert METRES_PER_COUNT["mile"] * 6000 == pytest.approx(9_656_064.0, abs=1e-6)
    assert METRES_PER_COUNT["km"] == 1000.0


@pytest.mark.parametrize(
    ("digits", "earlier", "later", "days", "counts"),
    [
        (5, 99_950, 120, 7, 170),
        (5, 99_999, 3, 1, 4),
        (6, 999_990, 15, 3, 25),
        (5, 0, 0, 0, 0),
        (5, 41_200, 41_380, 30, 180),
    ],
)
def test_distance_between_two_readings(
    digits: int, earlier: int, later: int, days: int, counts: int
) -> None:
    line = trace([miles(Shown(DAY, earlier), Shown(DAY + days, later), digits=digits)])
    assert line.points[-1].metres == pytest.approx(counts * MILE)


@pytest.mark.parametrize("days", [1, 30, 365, 3650, 20_000])
def test_smaller_number_after_a_larger_is_a_question_however_long_it_took(days: int) -> None:
    instrument = miles(Shown(DAY, 45_210))
    question = question_about(instrument, Shown(DAY + days, 45_120))
    assert question is not None
    assert question.doubt is Doubt.GOES_BACKWARDS
    assert question.other.shown == 45_210


def test_smaller_number_on_the_same_day_is_one_from_earlier_that_day() -> None:
    line = trace([miles(Shown(DAY, 45_210), Shown(DAY, 45_120))])
    assert [point.metres for point in line.points] == pytest.approx([0.0, 90 * MILE])


def test_rollover_that_nobody_drives_in_the_time_is_a_question() -> None:
    instrument = miles(Shown(DAY, 99_950))
    assert question_about(instrument, Shown(DAY + 7, 120)) is None
    question = question_about(instrument, Shown(DAY + 7, 30_000))
    assert question is not None
    assert question.doubt is Doubt.GOES_BACKWARDS


def test_rollover_a_person_vouches_for_counts() -> None:
    readings = (Shown(DAY, 30_000), Shown(DAY + 4000, 5_000, went_round=True))
    line = trace([miles(*readings)])
    assert line.points[-1].metres == pytest.approx(75_000 * MILE)


def test_jump_that_nobody_drives_is_a_question_until_confirmed() -> None:
    instrument = miles(Shown(DAY, 12_345))
    typed = Shown(DAY + 14, 21_345)
    question = question_about(instrument, typed)
    assert question is not None
    assert question.doubt is Doubt.JUMP_NOBODY_DRIVES
    assert question.metres == pytest.approx(9_000 * MILE)
    assert question.farthest < question.metres
    said_yes = Shown(DAY + 14, 21_345, confirmed=True)
    assert question_about(instrument, said_yes) is None
    line = trace([miles(Shown(DAY, 12_345), said_yes)])
    assert line.points[-1].metres == pytest.approx(9_000 * MILE)


def test_late_reading_between_two_must_fit_both() -> None:
    instrument = miles(Shown(DAY, 45_000), Shown(DAY + 60, 45_400))
    assert question_about(instrument, Shown(DAY + 30, 45_180)) is None
    too_low = question_about(instrument, Shown(DAY + 30, 44_180))
    too_high = question_about(instrument, Shown(DAY + 30, 45_480))
    assert too_low is not None
    assert too_low.other.shown == 45_000
    assert too_high is not None
    assert too_high.other.shown == 45_400
    assert too_high.doubt is Doubt.GOES_BACKWARDS


def test_late_reading_either_side_of_a_rollover_fits() -> None:
    instrument = miles(Shown(DAY, 99_900), Shown(DAY + 60, 200))
    assert question_about(instrument, Shown(DAY + 20, 99_990)) is None
    assert question_about(instrument, Shown(DAY + 40, 60)) is None
    assert question_about(instrument, Shown(DAY + 40, 99_800)) is not None


def test_two_readings_on_the_day_of_a_rollover_are_put_the_short_way_round() -> None:
    line = trace([miles(Shown(DAY, 20), Shown(DAY, 99_990), Shown(DAY - 5, 99_900))])
    assert [point.reading.shown for point in line.points] == [99_900, 99_990, 20]
    assert line.points[-1].metres == pytest.approx(120 * MILE)


def test_same_reading_twice_on_a_day_adds_nothing() -> None:
    line = trace([miles(Shown(DAY, 100), Shown(DAY, 100), Shown(DAY + 1, 110))])
    assert [point.metres for point in line.points] == pytest.approx([0.0, 0.0, 10 * MILE])


def test_one_mistyped_number_leaves_the_others_right() -> None:
    shown = [41_200, 41_310, 91_390, 41_500, 41_620]
    line = trace([miles(*(Shown(DAY + 20 * i, n) for i, n in enumerate(shown)))])
    assert [point.doubt for point in line.points] == [
        None, None, Doubt.JUMP_NOBODY_DRIVES, None, None,
    ]  # fmt: skip
    assert line.points[2].metres is None
    assert line.points[-1].metres == pytest.approx(420 * MILE)


def test_mistyped_first_number_is_outvoted_by_those_that_follow() -> None:
    shown = [91_200, 41_310, 41_390, 41_500]
    line = trace([miles(*(Shown(DAY + 20 * i, n) for i, n in enumerate(shown)))])
    assert line.points[0].doubt is not None
    assert line.points[-1].metres == pytest.approx(190 * MILE)


def test_confirmed_number_puts_the_one_it_contradicts_aside() -> None:
    readings = (Shown(DAY, 45_210), Shown(DAY + 9, 45_120, confirmed=True))
    line = trace([miles(Shown(DAY - 30, 45_000), *readings)])
    assert line.points[1].doubt is Doubt.GOES_BACKWARDS
    assert line.points[2].metres == pytest.approx(120 * MILE)
    assert line.breaks() == ()


def test_two_confirmed_numbers_that_contradict_leave_the_distance_between_unknown() -> None:
    readings = (
        Shown(DAY, 45_000),
        Shown(DAY + 10, 45_210, confirmed=True),
        Shown(DAY + 20, 45_120, confirmed=True),
        Shown(DAY + 30, 45_150),
    )
    line = trace([miles(*readings)])
    assert line.breaks() == (DAY + 20,)
    assert [point.stretch for point in line.points] == [0, 0, 1, 1]
    assert line.points[-1].metres == pytest.approx((210 + 30) * MILE)


def test_confirmed_number_against_many_breaks_rather_than_throws_them_away() -> None:
    many = [Shown(DAY + i, 45_000 + 10 * i) for i in range(50)]
    line = trace([miles(*many, Shown(DAY + 60, 12_000, confirmed=True))])
    assert all(point.doubt is None for point in line.points)
    assert line.breaks() == (DAY + 60,)


def test_replaced_odometer_with_both_ends_known_goes_on_counting() -> None:
    old = miles(Shown(DAY, 98_000), Shown(DAY + 100, 98_500))
    new = Instrument(
        1000.0, 6, (Shown(DAY + 200, 150),),
        fitted_on=DAY + 120, shown_when_fitted=30, predecessor_showed=98_540,
    )  # fmt: skip
    line = trace([old, new])
    assert line.breaks() == ()
    assert line.points[-1].metres == pytest.approx(540 * MILE + 120 * 1000.0)


@pytest.mark.parametrize(("start", "end"), [(None, 98_540), (30, None), (None, None)])
def test_replaced_odometer_with_an_unknown_end_begins_a_new_stretch(
    start: int | None, end: int | None
) -> None:
    old = miles(Shown(DAY, 98_000), Shown(DAY + 100, 98_500))
    new = Instrument(
        1000.0, 6, (Shown(DAY + 200, 150), Shown(DAY + 210, 250)),
        fitted_on=DAY + 120, shown_when_fitted=start, predecessor_showed=end,
    )  # fmt: skip
    line = trace([old, new])
    assert len(line.breaks()) == 1
    before, after = line.at(DAY + 100), line.at(DAY + 210)
    assert before is not None
    assert after is not None
    assert before.stretch != after.stretch


def test_distance_by_a_day_lies_on_the_line_between_readings() -> None:
    line = trace([miles(Shown(DAY, 100), Shown(DAY + 10, 200), Shown(DAY + 10, 230))])

    def at(day: int, shown: int | None = None) -> float:
        mark = line.at(day, shown)
        assert mark is not None
        return mark.metres / MILE

    assert at(DAY - 5) == 0
    assert at(DAY + 4) == pytest.approx(40)
    assert at(DAY + 10) == pytest.approx(130)
    assert at(DAY + 10, 200) == pytest.approx(100)
    assert at(DAY + 99) == pytest.approx(130)


def test_no_reading_gives_no_distance() -> None:
    assert trace([]).at(DAY) is None
    assert trace([miles()]).at(DAY) is None


def test_table_of_what_is_driven_never_bends_upwards() -> None:
    slopes = [(b[1] - a[1]) / (b[0] - a[0]) for a, b in pairwise(FARTHEST)]
    slopes.append(farthest_in(365 + 365) - farthest_in(365 + 364))
    assert slopes == sorted(slopes, reverse=True)
    with pytest.raises(OutOfRange, match="days"):
        farthest_in(-1)


def test_many_new_numbers_are_judged_together() -> None:
    instrument = miles(Shown(DAY, 41_000), Shown(DAY + 90, 41_900))
    new = [
        Shown(DAY + 10, 41_100),
        Shown(DAY + 20, 4_120),
        Shown(DAY + 30, 41_300),
        Shown(DAY + 40, 43_100),
        Shown(DAY + 100, 42_000),
    ]
    doubts = [question and question.doubt for question in questions_about(instrument, new)]
    assert doubts == [None, Doubt.GOES_BACKWARDS, None, Doubt.GOES_BACKWARDS, None]


def test_many_new_numbers_never_outvote_those_that_are_there() -> None:
    instrument = miles(Shown(DAY, 41_000))
    new = [Shown(DAY + i, 71_000 + i) for i in range(1, 40)]
    assert all(questions_about(instrument, new))


drives = st.lists(st.tuples(st.integers(1, 400), st.floats(0, 1)), min_size=1, max_size=40)


@settings(deadline=None)
@given(
    start=st.integers(0, 99_999),
    drives=drives,
    unit=st.sampled_from(["mile", "km"]),
    seed=st.integers(0, 2**32 - 1),
)
def test_what_was_driven_is_found_whatever_the_order_of_entry(
    start: int, drives: list[tuple[int, float]], unit: str, seed: int
) -> None:
    per_count = METRES_PER_COUNT[unit]
    day, counts, driven = DAY, start, [(DAY, 0)]
    readings = [Shown(day, counts)]
    for days, share in drives:
        day += days
        counts += int(share * min(farthest_in(days) / per_count, 40_000))
        driven.append((day, counts - start))
        readings.append(Shown(day, counts % 100_000))
    random.Random(seed).shuffle(readings)
    line = trace([Instrument(per_count, 5, tuple(readings))])
    assert not any(point.doubt for point in line.points)
    assert line.breaks() == ()
    for day, expected in driven:
        mark = line.at(day)
        assert mark is not None
        assert mark.metres == pytest.approx(expected * per_count)


@settings(deadline=None)
@given(
    numbers=st.lists(
        st.tuples(st.integers(0, 3000), st.integers(0, 99_999), st.booleans()), max_size=30
    )
)
def test_any_numbers_give_a_distance_that_never_falls(
    numbers: list[tuple[int, int, bool]],
) -> None:
    readings = tuple(Shown(DAY + d, n, confirmed=c, key=i) for i, (d, n, c) in enumerate(numbers))
    line = trace([miles(*readings)])
    assert {point.reading.key for point in line.points} == set(range(len(numbers)))
    metres = [point.metres for point in line.believed]
    assert metres == sorted(metres)
    assert all((point.metres is None) == (point.doubt is not None) for point in line.points)
    # whoever said yes is believed
    assert not any(point.doubt for point in line.points if point.reading.confirmed)


@settings(deadline=None)
@given(advance=st.integers(0, 99_999), earlier=st.integers(0, 99_999), days=st.integers(0, 5000))
def test_step_is_believed_only_within_what_a_person_drives(
    advance: int, earlier: int, days: int
) -> None:
    instrument = miles()
    later = (earlier + advance) % 100_000
    step = step_between(instrument, Shown(DAY, earlier), Shown(DAY + days, later))
    if step in (Step.FORWARD, Step.ROUND):
        assert advance * MILE <= farthest_in(days)
    if step is Step.ROUND:
        assert later < earlier
        assert advance <= 50_000


def test_fifty_thousand_readings_keep_their_distance_through_doubtful_ones() -> None:
    readings = tuple(
        Shown(DAY + i // 5, (40_000 + 3 * i) % 100_000 if i % 97 else 5) for i in range(50_000)
    )
    line = trace([miles(*readings)])
    assert sum(point.doubt is not None for point in line.points) > 400
    assert line.points[-1].metres is not None
