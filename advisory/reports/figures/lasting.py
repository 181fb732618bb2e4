"""Life to the first serious finding: with and without a filter, raw and like against like."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.errors import OutOfRange
from advisory.engineering.survival import (
    Lives,
    difference_within,
    lives,
    log_rank,
    log_rank_within,
    survival_at,
    weibull_fit_and_quantile,
    weibull_fit_many,
)
from advisory.engineering.survival.weibull_many import LEAST_FAILURES
from advisory.reports.columns import Column, distinct, places_among
from advisory.reports.enums import Filtered
from advisory.reports.figures.cells import Cell, Row, ends, interval, rounded, row, told_at
from advisory.reports.figures.choice import ALL, Admission
from advisory.reports.figures.grid import ages_for, owners_at, still_watched
from advisory.reports.figures.prepared import Prepared
from advisory.reports.gathering import GROUPS, Places, rings_of

# Driven so far a year: little below the first, much above the second (set by us, no source).
DRIVEN_BOUNDS = (2_000e3, 6_000e3)
# Both groups must have this share of their owners still watched where they are compared.
COMPARED_WHILE = 0.2
SMALL_GROUP = 10
B10 = 0.10
# From so many lives on each is no longer looked at by itself.
MANY = 1_000


@dataclass(frozen=True)
class Watched:
    """The lives of one group, stretch by stretch."""

    unit: Places
    owner: Places
    entry: Column
    end: Column
    failed: NDArray[np.bool_]
    stratum: Places

    def taken(self, chosen: NDArray[np.bool_]) -> "Watched":
        """Return some of the stretches."""
        return Watched(
            self.unit[chosen],
            self.owner[chosen],
            self.entry[chosen],
            self.end[chosen],
            self.failed[chosen],
            self.stratum[chosen],
        )

    @property
    def lives(self) -> Lives:
        """The same, as engineering wants it."""
        return lives(self.end, self.failed, self.entry)

    @property
    def owners(self) -> int:
        """How many owners."""
        return int(distinct(self.owner).size)

    @property
    def events(self) -> int:
        """How many serious findings."""
        return int(self.failed.sum())

    @property
    def units(self) -> int:
        """How many units."""
        return int(distinct(self.unit).size)


@dataclass(frozen=True)
class Lasting:
    """The tables about lives."""

    curves: list[Row]
    compared: list[Row]
    laws: list[Row]


def lasting(prepared: Prepared, may: Admission) -> Lasting:
    """Reckon the curves, the comparison with and without a filter, and Weibull's law."""
    everything = _watched(prepared, may)
    groups: dict[str, Watched] = {}
    if everything.unit.size and may("watched"):
        groups[ALL] = everything
        of_group = prepared.stretches.group[_rows(prepared, may)]
        for kind in (Filtered.WITH, Filtered.WITHOUT):
            place = GROUPS.index(kind)
            if (of_group == place).any() and may("watched", {"group": [place]}):
                groups[kind.value] = everything.taken(of_group == place)
    manners = may.manners
    enough = {
        key: each
        for key, each in groups.items()
        if each.owners >= manners.curve_owners and each.events >= manners.curve_events
    }
    ages: Sequence[float] = ()
    if ALL in enough:
        ages = ages_for(everything.owner, everything.entry, everything.end, manners.owners)
    return Lasting(
        curves=[
            row(
                key,
                units=each.units,
                points=_points(each, ages, manners.owners) if key in enough else [],
            )
            for key, each in groups.items()
        ],
        compared=_compared(enough, ages, manners.owners),
        laws=[_law(key, each) for key, each in enough.items()],
    )


def _rows(prepared: Prepared, may: Admission) -> NDArray[np.bool_]:
    watched = prepared.stretches
    inside = np.isin(prepared.facts.design[watched.unit], may.choice.designs)
    inside &= np.isin(watched.ring, rings_of(may.choice.period))
    return inside & (np.nan_to_num(watched.life_end, nan=-1.0) > watched.entry)


def _watched(prepared: Prepared, may: Admission) -> Watched:
    watched, facts = prepared.stretches, prepared.facts
    inside = _rows(prepared, may)
    unit = watched.unit[inside]
    _names, owner = places_among(facts.owner)
    far = np.digitize(np.nan_to_num(prepared.yearly), DRIVEN_BOUNDS)
    return Watched(
        unit=unit,
        owner=owner[unit],
        entry=watched.entry[inside],
        end=watched.life_end[inside],
        failed=watched.failed[inside],
        stratum=facts.design[unit] * (len(DRIVEN_BOUNDS) + 1) + far[unit],
    )


def _points(group: Watched, ages: Sequence[float], least: int) -> list[Cell]:
    kept = still_watched(ages, group.owner, group.entry, group.end, least)
    if not kept:
        return []
    curve = survival_at(group.lives, np.array(kept))
    return [
        told_at(age, float(share), float(low), float(high))
        for age, share, low, high in zip(
            kept, curve.survival, curve.lower, curve.upper, strict=True
        )
    ]  # fmt: skip


def _compared(enough: dict[str, Watched], ages: Sequence[float], least: int) -> list[Row]:
    """Hold the filtered against the others: raw, then within design and yearly distance."""
    one, other = enough.get(Filtered.WITH.value), enough.get(Filtered.WITHOUT.value)
    if one is None or other is None:
        return []
    age = _where_compared(one, other, ages, least)
    strata = np.intersect1d(one.stratum, other.stratum)
    within = [
        (one.taken(one.stratum == each).lives, other.taken(other.stratum == each).lives)
        for each in strata
    ]
    found = []
    for key, pairs in (("raw", [(one.lives, other.lives)]), ("within", within)):
        try:
            test = log_rank_within(pairs)
        except OutOfRange:
            continue
        p_value = test.p_value
        dealt = None
        if key == "raw" and min(one.units, other.units) < SMALL_GROUP:
            dealt = log_rank(list(pairs[0])).permutation_p_value
        difference = None if age is None else difference_within(pairs, age)
        found.append(
            row(
                key,
                units=one.units + other.units,
                observed=rounded(test.observed),
                expected=rounded(test.expected),
                p_value=rounded(p_value, 2),
                dealt=None if dealt is None else rounded(dealt, 2),
                ratio=ends(test.ratio, test.ratio_lower, test.ratio_upper, 3),
                age=age,
                difference=None if difference is None else interval(difference, 3),
            )
        )
    return found


def _where_compared(
    one: Watched, other: Watched, ages: Sequence[float], least: int
) -> float | None:
    """Choose the farthest age at which enough of both groups are still watched."""
    kept = None
    for age in ages:
        if all(
            owners_at(g.owner, g.entry, g.end, age) >= max(least, COMPARED_WHILE * g.owners)
            for g in (one, other)
        ):
            kept = age
    return kept


def _law(key: str, group: Watched) -> Row:
    """Fit Weibull's law, and say whether it stays within the curve's own band."""
    watched = group.lives
    try:
        if watched.n > MANY and watched.failures >= LEAST_FAILURES:
            fit, age, (low, high) = weibull_fit_many(watched, B10)
        else:
            fit, age, (low, high) = weibull_fit_and_quantile(watched, B10)
    except OutOfRange:
        return row(key, units=group.units, fits="none")
    ages = np.quantile(watched.duration[watched.failed], (0.2, 0.4, 0.6, 0.8))
    curve = survival_at(watched, ages)
    law = np.exp(-((ages / fit.scale) ** fit.shape))
    inside = (law >= curve.lower) & (law <= curve.upper)
    return row(
        key,
        units=group.units,
        fits="yes" if bool(inside.all()) else "no",
        shape=ends(fit.shape, *fit.shape_interval, 3),
        scale=ends(fit.scale, *fit.scale_interval, 3),
        tenth=ends(age, low, high, 3),
    )
