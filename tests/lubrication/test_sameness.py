"""Which results say the same, and what moved one to the other."""

import pytest

from advisory.lubrication.sameness import moved_by, says_the_same

pytestmark = pytest.mark.one_database


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ({"a": 100.0}, {"a": 100.9}, True),
        ({"a": 100.0}, {"a": 102.0}, False),
        ({"a": [1, {"b": "x"}]}, {"a": (1.0, {"b": "x"})}, True),
        ({"a": None}, {"a": 0.0}, False),
        ({"a": True}, {"a": 1}, True),
        ({"a": 1}, {"a": 1, "b": 2}, False),
        ([1, 2], [1], False),
        ("dirt", "ageing", False),
    ],
)
def test_figures_that_nobody_tells_apart_are_the_same(one, other, same):
    assert says_the_same(one, other) is same


def method(records):
    """A method in which only `a` and `b` count."""
    return [None if "odd" in r else {"far": r["a"] * (2.0 if r["b"] else 1.0)} for r in records]


def moves(before, after, *, said=None, versions=("1", "1"), compute=method):
    said = compute([before])[0] if said is None else said
    moved = moved_by(before, after, said_before=said, versions=versions, compute=compute)
    return [each["name"] for each in moved]


BEFORE = {"a": 100.0, "b": False, "idle": 1}


def test_only_what_moves_the_result_is_named():
    assert moves(BEFORE, {"a": 120.0, "b": False, "idle": 7}) == ["a"]
    assert moves(BEFORE, {"a": 120.0, "b": True, "idle": 7}) == ["a", "b"]


def test_new_version_is_named_where_it_moves_the_result():
    assert moves(BEFORE, BEFORE, said={"far": 150.0}, versions=("1", "2")) == ["method"]
    # a new version that says the same of the old inputs did not do it
    assert moves(BEFORE, {**BEFORE, "b": True}, versions=("1", "2")) == ["b"]
    both = moves(BEFORE, {**BEFORE, "b": True}, said={"far": 150.0}, versions=("1", "2"))
    assert both == ["method", "b"]


def test_where_none_does_it_alone_all_are_named():
    def together(records):
        return [{"far": 2.0 if r["a"] > 100 and r["b"] else 1.0} for r in records]

    assert moves(BEFORE, {"a": 101.0, "b": True, "idle": 1}, compute=together) == ["a", "b"]


def test_inputs_of_another_time_are_named_with_the_method():
    old = {"odd": 1, "a": 1.0, "b": False}
    moved = moves(old, {"a": 1.0, "b": False}, said={"far": 3.0}, versions=("1", "2"))
    assert moved == ["method", "odd"]


def test_method_put_right_under_its_version_is_named():
    assert moves(BEFORE, BEFORE, said={"far": 150.0}) == ["method"]
