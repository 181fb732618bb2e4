"""What a figure says: the table in judgement.py, line by line, and what must hold of any figure.

The limits are invented; the line order and the careful side are the subject. 1 thou = 25.4 um
exactly (the inch of 1959).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisory.findings.enums import Judgement
from advisory.findings.judgement import Because, HeldAgainst, judge
from advisory.register.enums import MeasuredQuantity

THOU = 25.4e-6
END_FLOAT = MeasuredQuantity.END_FLOAT
WASHER = HeldAgainst(
    as_built=5 * THOU,
    as_built_least=4 * THOU,
    as_built_most=6 * THOU,
    look_into_above=8 * THOU,
    wear_limit=10 * THOU,
)

pytestmark = pytest.mark.one_database


@pytest.mark.parametrize(
    ("thou", "judgement", "because"),
    [
        (10.0, Judgement.STOP, Because.PAST_LIMIT),
        (17.0, Judgement.STOP, Because.PAST_LIMIT),
        (9.9, Judgement.ASK, Because.LOOK_INTO),
        (8.1, Judgement.ASK, Because.LOOK_INTO),
        (8.0, Judgement.WATCH, Because.GROWN),
        (6.5, Judgement.WATCH, Because.GROWN),
        (6.0, Judgement.GOOD, Because.AS_BUILT),
        (5.0, Judgement.GOOD, Because.AS_BUILT),
        (4.7, Judgement.GOOD, Because.AS_BUILT),  # within the gauge's doubt of 0.4 thou
        (4.0, Judgement.ASK, Because.SMALLER_THAN_BUILT),
        (0.0, Judgement.ASK, Because.SMALLER_THAN_BUILT),
    ],
)
def test_a_figure_is_judged_by_the_first_line_that_fits(
    thou: float, judgement: Judgement, because: Because
) -> None:
    verdict = judge(thou * THOU, END_FLOAT, WASHER)

    assert (verdict.judgement, verdict.because) == (judgement, because)


def test_nothing_measured_is_not_judged() -> None:
    assert judge(None, END_FLOAT, WASHER).because == Because.NO_FIGURE


def test_a_figure_with_nothing_to_hold_it_against_is_not_judged() -> None:
    verdict = judge(5 * THOU, END_FLOAT, HeldAgainst())

    assert (verdict.judgement, verdict.because) == (Judgement.UNJUDGED, Because.NO_LIMITS)


def test_below_a_limit_without_a_record_is_watched_and_not_called_good() -> None:
    verdict = judge(5 * THOU, END_FLOAT, HeldAgainst(wear_limit=10 * THOU))

    assert (verdict.judgement, verdict.because) == (Judgement.WATCH, Because.BELOW_LIMIT)


def test_grown_with_no_limit_to_hold_it_against_asks() -> None:
    verdict = judge(7 * THOU, END_FLOAT, HeldAgainst(as_built=5 * THOU))

    assert (verdict.judgement, verdict.because) == (Judgement.ASK, Because.GROWN_WITHOUT_LIMIT)


def test_a_limit_without_a_figure_to_look_into_still_stops() -> None:
    against = HeldAgainst(as_built=5 * THOU, wear_limit=10 * THOU)

    assert judge(10 * THOU, END_FLOAT, against).judgement == Judgement.STOP
    assert judge(9 * THOU, END_FLOAT, against).judgement == Judgement.WATCH


def test_a_wear_depth_smaller_than_before_is_no_fault() -> None:
    against = HeldAgainst(as_built=2 * THOU, wear_limit=10 * THOU)

    assert judge(0.0, MeasuredQuantity.WEAR_DEPTH, against).judgement == Judgement.GOOD


def test_the_limit_itself_is_reached_whatever_unit_it_was_typed_in() -> None:
    # 0.254 mm is 10 thou exactly, but not bit for bit when each is turned into metres
    assert judge(0.254e-3, END_FLOAT, WASHER).judgement == Judgement.STOP
    assert judge(float("0.254") / 1000, END_FLOAT, WASHER).judgement == Judgement.STOP


metres = st.floats(min_value=0, max_value=5e-3)
known_or_not = st.one_of(st.none(), metres)


@given(
    value=metres,
    quantity=st.sampled_from(list(MeasuredQuantity)),
    against=st.builds(
        HeldAgainst,
        as_built=known_or_not,
        as_built_least=known_or_not,
        as_built_most=known_or_not,
        look_into_above=known_or_not,
        wear_limit=metres,
    ),
)
def test_at_or_past_a_limit_nothing_but_stop_is_said(
    value: float, quantity: str, against: HeldAgainst
) -> None:
    assert against.wear_limit is not None
    if value >= against.wear_limit:
        assert judge(value, quantity, against).judgement == Judgement.STOP


@given(smaller=metres, more=metres)
def test_a_larger_figure_is_never_judged_milder_above_as_built(smaller: float, more: float) -> None:
    order = [Judgement.GOOD, Judgement.WATCH, Judgement.ASK, Judgement.STOP]
    value = WASHER.as_built + smaller

    first = judge(value, END_FLOAT, WASHER).judgement
    second = judge(value + more, END_FLOAT, WASHER).judgement

    assert order.index(second) >= order.index(first)
