"""Columns of numbers: looked up, put in order and read, each held against a plain way."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisory.findings.models import Finding
from advisory.register.models import Unit
from advisory.reports.columns import PlaceOf, Reader, in_order, places_among, ranked
from advisory.reports.gathering import facts, gather
from tests.reports.invented_fleet import TODAY, make_fleet

WHOLE = st.integers(-(10**6), 10**6)
KEYS = st.integers(0, 300) | st.integers(0, 10**12)
ROWS = st.lists(st.tuples(WHOLE, st.integers(0, 3), st.integers(0, 10**9)), max_size=40)


@given(keys=st.sets(KEYS), wanted=st.lists(KEYS | st.integers(-9, -1)))
def test_place_of_a_key_is_where_it_stands(keys: set[int], wanted: list[int]) -> None:
    rising = sorted(keys)
    place = {key: at for at, key in enumerate(rising)}
    found = PlaceOf(np.array(rising, dtype=np.float64))(np.array(wanted, dtype=np.float64))
    assert found.tolist() == [place.get(key, -1) for key in wanted]


@given(rows=ROWS)
def test_order_is_that_of_the_rows(rows: list[tuple[int, ...]]) -> None:
    columns = np.array(rows, dtype=np.float64).reshape(-1, 3).T
    assert [rows[at] for at in in_order(*columns)] == sorted(rows)


def test_order_of_what_does_not_fit_one_number() -> None:
    wide = np.array([3.0, 1.0, 2.0]) * 2.0**40
    assert in_order(wide, wide, wide).tolist() == [1, 2, 0]
    assert in_order(np.array([2.0, np.nan, 1.0]), np.zeros(3)).tolist() == [2, 0, 1]


@given(rows=ROWS)
def test_rank_is_the_place_among_the_different_rows(rows: list[tuple[int, ...]]) -> None:
    columns = np.array(rows, dtype=np.int64).reshape(-1, 3).T
    place = {row: at for at, row in enumerate(sorted(set(rows)))}
    assert ranked(*columns)[0].tolist() == [place[row] for row in rows]


@given(keys=st.lists(KEYS))
def test_different_keys_and_their_places(keys: list[int]) -> None:
    present, place = places_among(np.array(keys, dtype=np.int64))
    assert present.tolist() == sorted(set(keys))
    assert present[place].tolist() == keys


@pytest.mark.django_db
def test_rows_of_others_are_left_out_whichever_way_they_are_read(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    mine = make_fleet(40, seed=1).workshop
    make_fleet(25, seed=2)
    asked: list[bool] = []

    def reader(most: bool) -> Any:
        def made(**_told: bool) -> Reader:
            asked.append(most)
            return Reader(most=most)

        return made

    read = []
    for most in (True, False):
        monkeypatch.setattr(facts, "Reader", reader(most))
        units = Unit.objects.filter(workshop=mine)
        read.append(gather(units, Finding.objects.all(), TODAY))
    assert asked == [True, False]
    all_rows, by_key = read
    assert all_rows.units == 40
    for name in ("arrangements", "builds", "findings", "works", "measured"):
        one, other = getattr(all_rows, name), getattr(by_key, name)
        assert one["unit"].size, name
        for column in one:
            np.testing.assert_array_equal(one[column], other[column], err_msg=f"{name} {column}")
    np.testing.assert_array_equal(all_rows.planned, by_key.planned)
    np.testing.assert_array_equal(all_rows.late, by_key.late)
    everyone, days = np.arange(40), np.full(40, float(TODAY.toordinal()))
    np.testing.assert_array_equal(
        all_rows.stays.distance(everyone, days), by_key.stays.distance(everyone, days)
    )
