"""What was watched: stretches of a unit's life in which nothing about it changes.

A unit's age is its distance since it was last rebuilt. A stretch ends where the filter changes, at
a rebuild, and at the edge of a ring of years; the next begins at the age at which that one ended
(late entry). So a life with a filter from half-way on counts half-way on without one. A unit of
which no build is on record has no age that anybody knows, and is left out.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.reports.columns import Column, distinct
from advisory.reports.enums import FILTERED, Filtered, Period
from advisory.reports.gathering.distances import Places
from advisory.reports.gathering.facts import (
    FILTRATIONS,
    JUDGEMENTS,
    SERIOUS,
    Facts,
    begin_of,
)

# What was found on a unit that was not driven since: the least that counts as later.
_A_METRE = 1.0
GROUPS = list(Filtered)
_GROUP_OF = np.array([GROUPS.index(FILTERED[each]) for each in FILTRATIONS])
_SERIOUS = np.array([each in SERIOUS for each in JUDGEMENTS])


@dataclass(frozen=True)
class Stretches:
    """Stretches and what was found in them; ages in metres since the rebuild."""

    unit: Places
    ring: Places
    group: Places  # a place in GROUPS
    entry: Column
    end: Column
    # until the first serious finding since the rebuild; NaN after it
    life_end: Column
    failed: NDArray[np.bool_]
    found_on: Places  # a stretch
    found_at: Column
    found_kind: Places  # a place in POSITIONS; -1 where no position was named
    found_mark: Places  # a place in MARKS; -1 where it bears none


def stretches_of(facts: Facts) -> Stretches:
    """Cut the lives of all units into stretches."""
    unit, begin, until = _cut(facts)
    group = _GROUP_OF[facts.arrangement("filtration", unit, begin)]
    origin = _last_day(facts.builds["unit"], facts.builds["day"], unit, begin)
    known = ~np.isnan(origin)
    unit, group = unit[known], group[known]
    begin, until, origin = begin[known], until[known], origin[known]
    base = np.nan_to_num(facts.stays.distance(unit, origin))
    entry = facts.stays.distance(unit, begin) - base
    end = facts.stays.distance(unit, until) - base
    entry = np.maximum(np.nan_to_num(entry), 0.0)
    end = np.maximum(np.nan_to_num(end), entry)
    on, at, kind, mark, serious = _found(facts, unit, begin, until, entry, end, base)
    np.maximum.at(end, on, at)
    kept = end > entry
    place = np.cumsum(kept) - 1
    on = place[on]
    unit, group = unit[kept], group[kept]
    entry, end, origin = entry[kept], end[kept], origin[kept]
    # the ring of its last day: a stretch begins the day before its first
    ring = facts.ring(until[kept])
    life_end, failed = _lives(unit, origin, entry, end, on[serious], at[serious])
    return Stretches(unit, ring, group, entry, end, life_end, failed, on, at, kind, mark)


def _cut(facts: Facts) -> tuple[Places, Column, Column]:
    """Return unit, day of begin and last day of each stretch (the first day itself is not in)."""
    first = facts.stays.first_day(facts.units)
    there = np.flatnonzero(~np.isnan(first) & (first <= facts.today))
    days = [first[there], np.full(there.size, facts.today)]
    units = [there, there]
    for period in (Period.LAST_YEAR, Period.FIVE_YEARS):
        edge = begin_of(period, facts.on)
        assert edge is not None
        days.append(np.full(there.size, edge.toordinal() - 1.0))
        units.append(there)
    for table in (facts.arrangements, facts.builds):
        days.append(table["day"])
        units.append(table["unit"].astype(np.int64))
    unit, when = np.concatenate(units), np.concatenate(days)
    inside = (when >= first[unit]) & (when <= facts.today)
    key = distinct(unit[inside] * (1 << 22) + when[inside].astype(np.int64))
    unit, when = key >> 22, (key & ((1 << 22) - 1)).astype(np.float64)
    same = unit[1:] == unit[:-1]
    return unit[:-1][same], when[:-1][same], when[1:][same]


def _last_day(of: Column, days: Column, unit: Places, by: Column) -> Column:
    """Return the last of a unit's days (in order) by another; NaN where there is none."""
    if not of.size:
        return np.full(unit.shape, np.nan)
    place = np.searchsorted(of * 4e6 + days, unit * 4e6 + by, side="right") - 1
    there = (place >= 0) & (of[np.maximum(place, 0)] == unit)
    return np.where(there, days[np.maximum(place, 0)], np.nan)


def _found(
    facts: Facts,
    unit: Places,
    begin: Column,
    until: Column,
    entry: Column,
    end: Column,
    base: Column,
) -> tuple[Places, Column, Places, Places, NDArray[np.bool_]]:
    """Return stretch, age, kind of position, mark and seriousness of each finding watched."""
    table = facts.findings
    if not unit.size or not table["unit"].size:
        none = np.zeros(0, dtype=np.int64)
        return none, np.zeros(0), none, none, none.astype(bool)
    whose = table["unit"].astype(np.int64)
    on = np.searchsorted(unit * 4e6 + until, whose * 4e6 + table["day"], side="left")
    place = np.minimum(on, unit.size - 1)
    there = (unit[place] == whose) & (begin[place] < table["day"]) & (on < unit.size)
    on = place[there]
    days = table["day"][there]
    age = np.nan_to_num(facts.stays.distance(whose[there], days)) - base[on]
    age = np.clip(age, entry[on], np.maximum(end[on], entry[on]))
    age = np.maximum(age, entry[on] + _A_METRE)
    kind = np.nan_to_num(table["kind"][there], nan=-1.0).astype(np.int64)
    mark = np.nan_to_num(table["mark"][there], nan=-1.0).astype(np.int64)
    return on, age, kind, mark, _SERIOUS[table["judgement"][there].astype(np.int64)]


def _lives(
    unit: Places, origin: Column, entry: Column, end: Column, on: Places, at: Column
) -> tuple[Column, NDArray[np.bool_]]:
    """End each life at its first serious finding."""
    life_end, failed = end.copy(), np.zeros(end.size, dtype=bool)
    if not on.size:
        return life_end, failed
    life = np.zeros(end.size, dtype=np.int64)
    life[1:] = np.cumsum((unit[1:] != unit[:-1]) | (origin[1:] != origin[:-1]))
    first = np.full(int(life[-1]) + 1, np.inf)
    np.minimum.at(first, life[on], at)
    until = first[life]
    life_end = np.where(until <= entry, np.nan, np.minimum(end, until))
    # the stretch in which it was found, even where the next begins at the same age
    holds = on[at == first[life[on]]]
    failed[holds] = True
    return life_end, failed & (until <= end) & (until > entry)
