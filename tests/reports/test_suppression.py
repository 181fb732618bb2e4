"""Nothing that a reader can work out from what is shown has fewer than five owners behind it.

The brute force knows nothing of the method: it takes every sum and difference of the figures that
are shown, keeps those that are figures about some of the rows (each row taken once or not at all),
and asks how many owners stand behind those rows.
"""

from collections.abc import Iterator
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.reports.suppression import LEAST_OWNERS, Owners, enough_behind, showable

Rows = dict[str, Owners]


def owners(*numbers: int) -> Owners:
    return frozenset(numbers)


def derivable(rows: Rows, shown: frozenset[str], total: bool) -> Iterator[frozenset[str]]:
    """Yield each set of rows whose sum is a sum or difference of the figures shown."""
    published = [frozenset({key}) for key in shown] + ([frozenset(rows)] if total else [])
    for signs in product((-1, 0, 1), repeat=len(published)):
        counts = {
            key: sum(sign for sign, figure in zip(signs, published, strict=True) if key in figure)
            for key in rows
        }
        if set(counts.values()) <= {0, 1}:
            yield frozenset(key for key, count in counts.items() if count)


def disclosed(rows: Rows, known: Owners = frozenset()) -> list[Owners]:
    """Return the owners behind each derivable figure that has too few of them."""
    result = showable(rows, known)
    found = []
    for keys in derivable(rows, result.rows, result.total):
        behind = frozenset[int]().union(*(rows[key] for key in keys))
        others = behind - known
        if behind and (len(behind) < LEAST_OWNERS or (others and len(others) < LEAST_OWNERS)):
            found.append(behind)
    return found


rows_of_a_table = st.dictionaries(
    st.sampled_from(["none", "strainer", "bypass", "full-flow", "unknown"]),
    st.frozensets(st.integers(0, 14), max_size=12),
    max_size=5,
)


@settings(max_examples=400, deadline=None, derandomize=True)
@given(rows=rows_of_a_table)
def test_nothing_with_too_few_owners_can_be_worked_out(rows: Rows) -> None:
    assert disclosed(rows) == []


@settings(max_examples=400, deadline=None, derandomize=True)
@given(rows=rows_of_a_table, known=st.frozensets(st.integers(0, 14), max_size=15))
def test_nor_with_the_help_of_those_who_are_named(rows: Rows, known: Owners) -> None:
    assert disclosed(rows, known) == []


def test_every_table_of_owners_with_one_kind_each() -> None:
    """All the tables of four kinds in which nobody has units of two kinds, up to six in each."""
    for sizes in product(range(7), repeat=4):
        first = 0
        rows = {}
        for kind, size in enumerate(sizes):
            rows[str(kind)] = frozenset(range(first, first + size))
            first += size
        assert disclosed(rows) == [], sizes


@pytest.mark.parametrize(("number", "shown"), [(0, False), (4, False), (5, True), (6, True)])
def test_five_are_enough(number: int, shown: bool) -> None:
    assert enough_behind(frozenset(range(number))) is shown
    result = showable({"bypass": frozenset(range(number))})
    assert (result.total, result.rows) == (shown, {"bypass"} if shown else set())


def test_owner_of_many_units_counts_once() -> None:
    """A row's owners are a set: six units of one owner are one owner."""
    assert not enough_behind(frozenset([7, 7, 7, 7, 7, 7]))


def test_second_row_is_left_out_where_one_would_follow_from_the_total() -> None:
    rows = {
        "none": owners(1, 2),
        "bypass": owners(3, 4, 5, 6, 7),
        "full-flow": owners(8, 9, 10, 11, 12, 13),
    }
    result = showable(rows)
    assert result.total
    assert result.rows == {"full-flow"}


def test_total_alone_stays_where_two_rows_would_give_each_other_away() -> None:
    rows = {"none": owners(1, 2), "bypass": owners(3, 4, 5, 6, 7)}
    assert showable(rows).rows == frozenset()
    assert showable(rows).total


def test_small_rows_hide_one_another_where_they_have_enough_together() -> None:
    rows = {
        "none": owners(1, 2, 3),
        "strainer": owners(4, 5),
        "bypass": owners(6, 7, 8, 9, 10),
    }
    assert showable(rows).rows == {"bypass"}


def test_same_owners_in_two_small_rows_are_not_counted_twice() -> None:
    """Three owners with a unit of each kind are three, not six."""
    rows = {
        "none": owners(1, 2, 3),
        "strainer": owners(1, 2, 3),
        "bypass": owners(4, 5, 6, 7, 8),
        "full-flow": owners(4, 5, 6, 7, 8, 9),
    }
    assert showable(rows).rows == {"full-flow"}


def test_kind_that_nobody_has_costs_no_other_row() -> None:
    rows = {"none": owners(), "bypass": owners(1, 2, 3, 4, 5), "full-flow": owners(6, 7, 8, 9, 10)}
    assert showable(rows).rows == {"bypass", "full-flow"}


def test_total_is_left_out_where_taking_off_the_named_would_leave_few() -> None:
    """Eight owners, five of them read by name with what is overdue: the rest are three."""
    everybody = frozenset(range(8))
    assert showable({"none": everybody}).total
    assert not showable({"none": everybody}, known=frozenset(range(5))).total
    assert showable({"none": everybody}, known=frozenset(range(3))).total
    assert showable({"none": everybody}, known=everybody).total


def test_no_rows_at_all_show_nothing() -> None:
    assert showable({}).total is False


@pytest.mark.parametrize("number", range(20))
def test_of_rows_with_as_many_owners_the_same_is_left_out_each_time(number: int) -> None:
    # the names differ, so that a set of them would come in another order now and then
    first, second, few = (f"{name} {number}" for name in ("first", "second", "few"))
    rows = {
        first: frozenset(range(5)),
        second: frozenset(range(5, 10)),
        few: frozenset({10, 11}),
    }
    assert showable(rows).rows == {second}
