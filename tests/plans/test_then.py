"""What is said to come after the first thing."""

from datetime import date

import pytest

from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.plans.shown import ItemShown, then_words

TODAY = date(2024, 6, 10)


def shown(name: str, state: DueState, day: date | None = None) -> ItemShown:
    return ItemShown(PlanItem(state=state, forecast_date=day), name, "", None, [], [], "", "")


@pytest.mark.parametrize(
    ("names", "said"),
    [
        ("A", "And due as well: a."),
        ("AB", "And due as well: a and b."),
        ("ABC", "And due as well: a, b and c."),
        ("ABCD", "And due as well: a, b, c and d."),
        ("ABCDE", "And due as well: a, b, c, d and 1 more."),
    ],
)
def test_all_that_is_due_as_well_is_named(names: str, said: str) -> None:
    due = [shown(name, DueState.LATE if name == "B" else DueState.DUE) for name in names]
    ahead = shown("Later", DueState.AHEAD, date(2024, 7, 1))
    assert then_words([*due, ahead], TODAY) == said


def test_where_nothing_else_is_due_the_next_is_named() -> None:
    following = [
        shown("Rests", DueState.RESTING),
        shown("No day", DueState.AHEAD),
        shown("Later", DueState.AHEAD, date(2024, 7, 1)),
    ]
    assert then_words(following, TODAY) == "After that: later, about 1 July 2024."
