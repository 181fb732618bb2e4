"""What all figures of a report are made of, cut up once: who brings what to which cell."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from advisory.register.enums import WorkKind
from advisory.reports.columns import Column, distinct, in_order, ranked, two_at_once
from advisory.reports.disclosure.ledger import Contributions, contributions
from advisory.reports.enums import Period
from advisory.reports.gathering import (
    MARKS,
    WORKS,
    Facts,
    Places,
    Stretches,
    begin_of,
    stretches_of,
)

Mask = NDArray[np.bool_]

A_YEAR = 365.25
# Less than a season says nothing of a year (set by us, no source).
LEAST_DAYS = 90.0
_OIL = WORKS.index(WorkKind.OIL_CHANGE)


@dataclass(frozen=True)
class Driven:
    """How far a unit came in one ring of years, and in how many days."""

    unit: Places
    ring: Places
    metres: Column
    days: Column


@dataclass(frozen=True)
class Wear:
    """What a position of a unit lost a distance, between its build sheet and the last look."""

    unit: Places
    kind: Places  # a place in POSITIONS
    rate: Column  # m/m


class Prepared:
    """A fleet's facts, cut to the cells by which a report may be asked."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        everybody = np.arange(facts.units)
        today = np.full(facts.units, facts.today)
        self.filtration = facts.arrangement("filtration", everybody, today)
        self.feed = facts.arrangement("feed", everybody, today)
        works = facts.works
        self.work_unit = works["unit"].astype(np.int64)
        self.work_filtration = facts.arrangement("filtration", self.work_unit, works["day"])
        self.work_ring = facts.ring(works["day"])
        self.work_oil = (works["work"] == _OIL).astype(np.int64)

    @cached_property
    def stretches(self) -> Stretches:
        """What was watched since the rebuilds."""
        return stretches_of(self.facts)

    @cached_property
    def driven(self) -> Driven:
        """How far each unit came in each ring of years."""
        facts = self.facts
        first = facts.stays.first_day(facts.units)
        there = np.flatnonzero(~np.isnan(first) & (first < facts.today))
        edges = [facts.today]
        for period in (Period.LAST_YEAR, Period.FIVE_YEARS):
            begin = begin_of(period, facts.on)
            assert begin is not None
            edges.append(begin.toordinal() - 1.0)
        edges.append(0.0)
        parts = []
        for ring, (until, since) in enumerate(pairwise(edges)):
            begun = np.maximum(first[there], since)
            inside = until > begun
            unit, begun = there[inside], begun[inside]
            way = facts.stays.distance(unit, np.full(unit.size, until))
            way = way - facts.stays.distance(unit, begun)
            known = ~np.isnan(way)
            parts.append(
                (unit[known], np.full(int(known.sum()), ring), way[known], (until - begun)[known])
            )
        return Driven(*(np.concatenate(each) for each in zip(*parts, strict=True)))

    @cached_property
    def yearly(self) -> Column:
        """Metres a year of each unit over all its years; NaN where too little is known."""
        metres, days = (
            np.bincount(self.driven.unit, weights=each, minlength=self.facts.units)
            for each in (self.driven.metres, self.driven.days)
        )
        enough = days >= LEAST_DAYS
        return np.where(enough, metres / np.where(enough, days, 1.0) * A_YEAR, np.nan)

    @cached_property
    def wear(self) -> Wear:
        """Wear of the positions that were measured again, by the last measurement of each."""
        return _wear(self.facts)

    def columns(self) -> dict[str, Contributions]:
        """Return who brings what to each column."""
        facts, owner, design = self.facts, self.facts.owner, self.facts.design
        planned = np.flatnonzero(facts.planned > 0)
        driven, works, watched = self.driven, facts.works, self.stretches
        whose = self.work_unit
        on = watched.found_on
        both = np.concatenate([np.arange(watched.unit.size), on])
        day = np.concatenate([watched.end, watched.found_at])
        kind = np.concatenate([np.full(watched.unit.size, -2), watched.found_kind])
        asked: dict[str, tuple[Places, dict[str, Places], Sequence[Column | Places]]] = {
            "units": (
                owner,
                {"design": design, "filtration": self.filtration, "feed": self.feed},
                [facts.keys],
            ),
            "planned": (
                owner[planned],
                {"design": design[planned], "filtration": self.filtration[planned]},
                [facts.keys[planned], (facts.late[planned] > 0).astype(np.int64)],
            ),
            "driven": (
                owner[driven.unit],
                {
                    "design": design[driven.unit],
                    "filtration": self.filtration[driven.unit],
                    "ring": driven.ring,
                },
                [facts.keys[driven.unit], driven.metres, driven.days],
            ),
            "watched": (
                owner[watched.unit[both]],
                {
                    "design": design[watched.unit[both]],
                    "group": watched.group[both],
                    "ring": watched.ring[both],
                },
                [facts.keys[watched.unit[both]], day, watched.entry[both], kind],
            ),
            "wear": (
                owner[self.wear.unit],
                {"design": design[self.wear.unit], "kind": self.wear.kind},
                [facts.keys[self.wear.unit], self.wear.rate * 1e15],
            ),
        }
        for place in distinct(watched.found_mark[watched.found_mark >= 0]).tolist():
            # each by itself: how many bear any mark at all is told nowhere
            marked = watched.found_mark == place
            of, unit = on[marked], watched.unit[on[marked]]
            asked[of_mark(place)] = (
                owner[unit],
                {"design": design[unit], "ring": watched.ring[of]},
                [facts.keys[unit], watched.found_at[marked]],
            )
        for name, chosen in (
            ("done", np.ones(whose.size, dtype=bool)),
            ("oil_distance", self.has_due_distance),
            ("oil_days", self.has_due_day),
        ):
            row = whose[chosen]
            cells = {
                "design": design[row],
                "filtration": self.work_filtration[chosen],
                "ring": self.work_ring[chosen],
            }
            if name == "done":
                cells["oil"] = self.work_oil
            values = [facts.keys[row], *(works[n][chosen] for n in ("day", "work", "in_time"))]
            asked[name] = (owner[row], cells, values)
        return dict(
            zip(asked, two_at_once(contributions, *zip(*asked.values(), strict=True)), strict=True)
        )

    @cached_property
    def has_due_distance(self) -> Mask:
        """Which work was an oil change of which both distances are known."""
        works = self.facts.works
        known = ~np.isnan(works["distance"]) & ~np.isnan(works["due_distance"])
        return np.asarray((self.work_oil > 0) & known)

    @cached_property
    def has_due_day(self) -> Mask:
        """Which work was an oil change for which a day was set."""
        return np.asarray((self.work_oil > 0) & ~np.isnan(self.facts.works["due_day"]))


def of_mark(place: int) -> str:
    """Return the name of a mark's column."""
    return f"mark {MARKS[place].value}"


def _wear(facts: Facts) -> Wear:
    found = facts.findings
    built = facts.measured
    again = ~np.isnan(found["value"]) & ~np.isnan(found["position"]) & ~np.isnan(found["quantity"])
    rows = {name: column[again] for name, column in found.items()}
    if not rows["unit"].size or not built["unit"].size:
        nothing = np.zeros(0)
        return Wear(nothing.astype(np.int64), nothing.astype(np.int64), nothing)
    names = ("unit", "position", "quantity")
    key, _order = ranked(*(np.concatenate([rows[name], built[name]]) for name in names))
    of_found, of_built = key[: rows["unit"].size], key[rows["unit"].size :]
    # the last look at each place
    order = in_order(of_found, rows["day"], rows["pk"])
    last = order[np.append(of_found[order][1:] != of_found[order][:-1], True)]
    # the last sheet before it
    order = in_order(of_built, built["day"])
    sheet_key, sheet_day = of_built[order] * 4e6, built["day"][order]
    place = np.searchsorted(sheet_key + sheet_day, of_found[last] * 4e6 + rows["day"][last]) - 1
    there = (place >= 0) & (of_built[order][np.maximum(place, 0)] == of_found[last])
    last, sheet = last[there], order[place[there]]
    unit = rows["unit"][last].astype(np.int64)
    way = facts.stays.distance(unit, rows["day"][last])
    way = way - np.nan_to_num(facts.stays.distance(unit, built["day"][sheet]))
    far = way >= LEAST_WAY
    rate = (rows["value"][last] - built["value"][sheet])[far] / way[far]
    return Wear(unit[far], rows["kind"][last][far].astype(np.int64), rate)


# Over less than this a gauge's doubt is all that one measures (set by us, no source).
LEAST_WAY = 500e3
