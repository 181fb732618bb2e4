"""Nobody is given away: an attack by all differences over all choices, and over two reports."""

from collections.abc import Mapping
from datetime import date, timedelta
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.lubrication.enums import Filtration
from advisory.people.actions import withdraw_consent
from advisory.people.models import Consent, Organisation
from advisory.register.models import Design
from advisory.reports.actions import finish_report
from advisory.reports.disclosure import Ledger, contributions, packed, unpacked
from advisory.reports.models import FleetReport
from advisory.reports.reckoning import of_club
from tests.cast import make_design
from tests.reports.test_fleet import TODAY, Fleet

# A little table: owners with one unit of a design (0-2), a filter (0-2) and a ring of years (0-1).
Unit = tuple[int, int, int, int]
units_of_a_club = st.lists(
    st.tuples(st.integers(0, 25), st.integers(0, 2), st.integers(0, 2), st.integers(0, 1)),
    min_size=1,
    max_size=40,
)
QUERIES: list[dict[str, list[int]]] = [
    {},
    *({"filter": [f]} for f in range(3)),
    {"ring": [0]},
    *({"design": [d]} for d in range(3)),
    *({"design": [d], "filter": [f]} for d in range(3) for f in range(3)),
    *({"design": [d], "ring": [0]} for d in range(3)),
    *({"filter": [f], "ring": [0]} for f in range(3)),
    *({"design": [d], "filter": [f], "ring": [0]} for d in range(3) for f in range(3)),
]


def ledger_of(units: list[Unit], **more: Any) -> Ledger:
    owner, design, kind, ring = (
        np.array(each, dtype=np.int64) for each in zip(*units, strict=True)
    )
    cells = {"design": design, "filter": kind, "ring": ring}
    return Ledger(contributions(owner, cells, [np.arange(len(units))]), **more)


def of_query(units: list[Unit], query: Mapping[str, list[int]]) -> np.ndarray:
    names = ("design", "filter", "ring")
    return np.array([all(u[names.index(n) + 1] in v for n, v in query.items()) for u in units])


def least_owners_of_a_difference(units: list[Unit], told: list[np.ndarray]) -> int:
    """Attack: add and subtract up to three figures; return the fewest owners behind a result.

    Beside them the sharpest attack there is: the smallest set that can be told apart at all.
    """
    owner = np.array([u[0] for u in units])
    found = []
    for number in (1, 2, 3):
        for chosen in combinations(told, number):
            for signs in np.ndindex(*(2,) * number):
                what = sum(
                    (1 if s else -1) * m.astype(int) for s, m in zip(signs, chosen, strict=True)
                )
                found.append(np.unique(owner[np.nonzero(what)[0]]).size)
    apart = np.unique(np.array(told).T, axis=0, return_inverse=True)[1].reshape(-1)
    seen = np.array(told).any(axis=0)
    found += [np.unique(owner[(apart == a) & seen]).size for a in np.unique(apart[seen])]
    return min((n for n in found if n), default=5)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(units=units_of_a_club)
def test_no_sum_or_difference_of_what_is_told_has_fewer_than_five_owners(units: list[Unit]) -> None:
    ledger = ledger_of(units)
    told = [of_query(units, query) for query in QUERIES if ledger.admits(query)]
    # three figures at a time of the first dozen; the sharpest attack is over all of them
    if told:
        assert least_owners_of_a_difference(units, told[:12]) >= 5
        assert least_owners_of_a_difference(units, told[-6:]) >= 5


@settings(max_examples=60, deadline=None, derandomize=True)
@given(units=units_of_a_club, known=st.frozensets(st.integers(0, 25), max_size=20))
def test_nor_where_some_are_known_by_name(units: list[Unit], known: frozenset[int]) -> None:
    ledger = ledger_of(units, known=known)
    told = [of_query(units, query) for query in QUERIES if ledger.admits(query)]
    owner = np.array([u[0] for u in units])
    if told:
        apart = np.unique(np.array(told).T, axis=0, return_inverse=True)[1].reshape(-1)
        seen = np.array(told).any(axis=0)
        for block in np.unique(apart[seen]):
            others = set(owner[(apart == block) & seen].tolist()) - known
            assert len(others) == 0 or len(others) >= 5


@settings(max_examples=60, deadline=None, derandomize=True)
@given(units=units_of_a_club, changed=st.sets(st.integers(0, 39), max_size=12))
def test_nor_by_the_difference_of_two_reports(units: list[Unit], changed: set[int]) -> None:
    """In the second report some units have gone: who they are must be nobody, or five."""
    first = ledger_of(units)
    before = [query for query in QUERIES if first.admits(query)]
    left = [unit for i, unit in enumerate(units) if i not in changed]
    if not left or not before:
        return
    owner, design, kind, ring = (np.array(e, dtype=np.int64) for e in zip(*left, strict=True))
    numbers = np.array([i for i in range(len(units)) if i not in changed])
    now = contributions(owner, {"design": design, "filter": kind, "ring": ring}, [numbers])
    second = Ledger(now, [first.now])
    for query in QUERIES:
        if second.admits(query) and query in before:
            gone = {
                u[0]
                for i, (u, inside) in enumerate(zip(units, of_query(units, query), strict=True))
                if inside and i in changed
            }
            assert not gone or len(gone) >= 5


@pytest.mark.parametrize(("number", "told"), [(0, False), (4, False), (5, True), (6, True)])
def test_five_are_enough(number: int, told: bool) -> None:
    ledger = ledger_of([(9, 1, 1, 1), *((owner, 0, 0, 0) for owner in range(number))])
    assert ledger.admits({"design": [0]}) is False
    five = ledger_of([(owner, 0, 0, 0) for owner in range(number)] or [(0, 0, 0, 0)])
    assert five.admits({}) is told


def test_second_row_is_left_out_where_one_would_follow_from_the_total() -> None:
    small = [(owner, 0, 0, 0) for owner in (1, 2)]
    ledger = ledger_of(
        [*small, *((o, 0, 1, 0) for o in range(3, 8)), *((o, 0, 2, 0) for o in range(8, 14))]
    )
    assert ledger.admits({})
    assert ledger.admits({"filter": [2]})
    assert not ledger.admits({"filter": [1]})
    assert not ledger.admits({"filter": [0]})


def test_owners_who_only_swap_places_do_not_hide_one_who_came() -> None:
    """Five swap their filters, one joins: each row has five who differ, the total only the one."""
    before = [(o, 0, 0, 0) for o in range(10)] + [(o, 0, 1, 0) for o in range(10, 20)]
    after = [(o, 0, 1, 0) for o in range(5)] + before[5:10] + before[10:15]
    after += [(o, 0, 0, 0) for o in range(15, 20)]

    def made(units: list[Unit]) -> Any:
        owner, design, kind, ring = (np.array(e, dtype=np.int64) for e in zip(*units, strict=True))
        return contributions(owner, {"design": design, "filter": kind, "ring": ring}, [owner])

    assert Ledger(made(after), [made(before)]).admits({})
    assert not Ledger(made([*after, (99, 0, 0, 0)]), [made(before)]).admits({})


def test_kept_contributions_come_back() -> None:
    held = ledger_of([(3, 1, 2, 0), (4, 1, 2, 0), (3, 1, 2, 0)]).now
    back = unpacked(packed({"units": held}))["units"]
    assert back.dimensions == held.dimensions
    for name in ("owner", "cell", "digest"):
        assert (getattr(back, name) == getattr(held, name)).all()
    assert unpacked(b"") == {}


# Over whole reports -------------------------------------------------------------------------------


@pytest.fixture
def fleet(club: Organisation, design: Design) -> Fleet:
    return Fleet(club, design)


def counted(fleet: Fleet, tables: Mapping[str, Any]) -> dict[tuple[str, str], int]:
    """Return all counts of units and work that a choice's tables tell."""
    found = {}
    for name, cell in (
        ("fleet", "units"),
        ("designs", "units"),
        ("feeds", "units"),
        ("in_time", "done"),
    ):
        for row in tables.get(name, []):
            if row[cell] is not None:
                found[name, row["row"]] = row[cell]
    return found


def test_no_choice_of_a_report_tells_of_fewer_than_five(
    fleet: Fleet, workshop: Organisation, design: Design
) -> None:
    """Two designs, three filters, work of two ages: every figure of every choice, and differences.

    Each owner has one unit and one piece of work, so that a count is a number of owners.
    """
    other = make_design(workshop, "Pattern 5 blower")
    kinds = [Filtration.NONE] * 6 + [Filtration.BYPASS] * 4 + [Filtration.FULL_FLOW] * 2
    for number, kind in enumerate(kinds):
        unit = fleet.unit(fleet.owner(), kind)
        if number % 3 == 0:
            unit.design = other
            unit.save()
        unit.work_done.update(date=TODAY - timedelta(days=10 if number % 2 else 900))
    told = {c.code: counted(fleet, t) for c, t in of_club(fleet.club, TODAY, []).all_tables()}
    assert told["all.all"]["fleet", "all"] == 12
    work, fitted = [], []
    for figures in told.values():
        for (table, _row), number in figures.items():
            (work if table == "in_time" else fitted).append(number)
    for numbers in (work, fitted):
        assert all(number >= 5 for number in numbers)
        assert all(abs(a - b) == 0 or abs(a - b) >= 5 for a, b in combinations(numbers, 2))


def test_report_after_one_owner_left_tells_nothing_that_gives_them_away(fleet: Fleet) -> None:
    people = [fleet.owner() for _each in range(8)]
    for person in people:
        fleet.unit(person)
    first = fleet.kept()
    assert first.parts.get(choice="all.all").tables["fleet"][0]["units"] == 8
    withdraw_consent(consent=Consent.objects.get(person=people[0]), by=people[0])
    second = fleet.kept(date(2025, 6, 2))
    assert not second.parts.exists()
    first.refresh_from_db()
    assert first.parts.get(choice="all.all").tables["fleet"][0]["units"] == 8


def test_report_after_five_joined_tells_again(fleet: Fleet) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner())
    fleet.kept()
    for _each in range(5):
        fleet.unit(fleet.owner())
    tables = fleet.kept(date(2025, 12, 1)).parts.get(choice="all.all").tables
    assert tables["fleet"][0]["units"] == 11


def test_same_fleet_the_next_day_tells_the_same(fleet: Fleet) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner())
    first, second = fleet.kept(), fleet.kept(date(2025, 6, 2))
    assert second.parts.get(choice="all.all").tables["fleet"][0]["units"] == 6
    assert FleetReport.objects.exclude(behind=b"").count() == 2
    assert finish_report(report=first).finished_at == first.finished_at
