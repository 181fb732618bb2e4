"""The fleet, what was done in time, what is overdue, and when oil is truly changed."""

from collections.abc import Sequence

import numpy as np

from advisory.engineering.survival import mean_by_owner, share_by_owner
from advisory.lubrication.enums import Feed
from advisory.reports.columns import Column, distinct, places_among
from advisory.reports.figures.cells import Cell, Row, interval, rounded, row
from advisory.reports.figures.choice import ALL, Admission
from advisory.reports.figures.prepared import A_YEAR, LEAST_DAYS, Prepared
from advisory.reports.gathering import FEEDS, FILTRATIONS, Places, rings_of

Mask = np.ndarray
# All, then each kind of filter.
BY_FILTER: Sequence[tuple[str, list[int] | None]] = (
    (ALL, None),
    *((kind.value, [i]) for i, kind in enumerate(FILTRATIONS)),
)


def _chosen(values: Places, wanted: list[int] | None) -> Mask:
    return np.ones(values.shape, dtype=bool) if wanted is None else np.isin(values, wanted)


def _largest_first(counts: Places) -> list[tuple[str, list[int] | None]]:
    """Put all first, then the kinds with most units: they lose least to the others' few."""
    kinds = sorted(BY_FILTER[1:], key=lambda each: -counts[(each[1] or [0])[0]])
    return [BY_FILTER[0], *kinds]


def by_filter(prepared: Prepared, may: Admission) -> list[Row]:
    """Units and distance a year, by the filter fitted now."""
    facts, driven = prepared.facts, prepared.driven
    inside = np.isin(facts.design, may.choice.designs)
    in_years = np.isin(driven.ring, rings_of(may.choice.period))
    units = facts.units
    metres, days = (
        np.bincount(driven.unit[in_years], weights=each[in_years], minlength=units)
        for each in (driven.metres, driven.days)
    )
    found = {}
    for key, kinds in _largest_first(np.bincount(prepared.filtration[inside], minlength=9)):
        rows = {} if kinds is None else {"filtration": kinds}
        of_row = inside & _chosen(prepared.filtration, kinds)
        yearly: Cell = None
        known = of_row & (days >= LEAST_DAYS)
        if known.any() and may("driven", rows):
            a_year = metres[known] / days[known] * A_YEAR
            yearly = interval(mean_by_owner(a_year, facts.owner[known]), 3, least=0.0)
        told = may("units", rows)
        found[key] = row(
            key,
            owners=int(distinct(facts.owner[of_row]).size) if told else None,
            units=int(of_row.sum()) if told else None,
            yearly=yearly,
        )
    return [found[key] for key, _kinds in BY_FILTER]


def by_feed(prepared: Prepared, may: Admission) -> list[Row]:
    """Units by the way their oil comes."""
    facts = prepared.facts
    inside = np.isin(facts.design, may.choice.designs)
    found = []
    for place, feed in enumerate(FEEDS):
        of_row = inside & (prepared.feed == place)
        told = may("units", {"feed": [place]})
        found.append(
            row(
                Feed(feed).value,
                owners=int(distinct(facts.owner[of_row]).size) if told else None,
                units=int(of_row.sum()) if told else None,
            )
        )
    return found


def by_design(prepared: Prepared, may: Admission) -> list[Row]:
    """Units by design."""
    facts = prepared.facts
    found = []
    for place in may.choice.designs:
        told = may("units", {"design": [place]})
        if not told:
            continue
        of_row = facts.design == place
        found.append(
            row(
                facts.designs[place].key,
                owners=int(distinct(facts.owner[of_row]).size),
                units=int(of_row.sum()),
            )
        )
    return found


def in_time(prepared: Prepared, may: Admission) -> list[Row]:
    """Work done before it was overdue, by the filter it was done with; what is overdue now."""
    facts, works = prepared.facts, prepared.facts.works
    whose = prepared.work_unit
    inside = np.isin(facts.design[whose], may.choice.designs)
    inside &= np.isin(prepared.work_ring, rings_of(may.choice.period))
    planned = np.isin(facts.design, may.choice.designs) & (facts.planned > 0)
    found = {}
    for key, kinds in _largest_first(np.bincount(prepared.work_filtration[inside], minlength=9)):
        rows = {} if kinds is None else {"filtration": kinds}
        of_row = inside & _chosen(prepared.work_filtration, kinds)
        with_plan = planned & _chosen(prepared.filtration, kinds)
        done, share, overdue = None, None, None
        if of_row.any() and may("done", rows):
            done = int(of_row.sum())
            share = _share(facts.owner[whose[of_row]], works["in_time"][of_row])
        if with_plan.any() and may("planned", rows):
            overdue = _share(facts.owner[with_plan], (facts.late[with_plan] > 0).astype(float))
        found[key] = row(key, done=done, in_time=share, overdue=overdue)
    return [found[key] for key, _kinds in BY_FILTER]


def oil_changes(prepared: Prepared, may: Admission) -> list[Row]:
    """When oil was truly changed, against when it was due; below nought is before."""
    facts, works = prepared.facts, prepared.facts.works
    whose = prepared.work_unit
    inside = np.isin(facts.design[whose], may.choice.designs)
    inside &= np.isin(prepared.work_ring, rings_of(may.choice.period))
    oil = inside & (prepared.work_oil > 0)
    found = {}
    for key, kinds in _largest_first(np.bincount(prepared.work_filtration[oil], minlength=9)):
        rows = {} if kinds is None else {"filtration": kinds}
        of_row = oil & _chosen(prepared.work_filtration, kinds)
        changes, share = None, None
        if of_row.any() and may("done", rows | {"oil": [1]}):
            changes = int(of_row.sum())
            share = _share(facts.owner[whose[of_row]], works["in_time"][of_row])
        cells: dict[str, Cell] = {}
        for name, known, done, due in (
            ("distance", prepared.has_due_distance, works["distance"], works["due_distance"]),
            ("days", prepared.has_due_day, works["day"], works["due_day"]),
        ):
            chosen = of_row & known
            cells[name] = None
            if chosen.any() and may(f"oil_{name}", rows):
                after = done[chosen] - due[chosen]
                cells[name] = interval(mean_by_owner(after, facts.owner[whose[chosen]]), 3)
        found[key] = row(key, changes=changes, in_time=share, **cells)
    return [found[key] for key, _kinds in BY_FILTER]


def _share(owner: Places, yes: Column) -> Cell:
    """Return a share, its interval by owners, and so many of so many."""
    _names, whose = places_among(owner)
    found = share_by_owner(np.bincount(whose, weights=yes), np.bincount(whose))
    return {
        "value": rounded(found.value),
        "lower": rounded(found.lower),
        "upper": rounded(found.upper),
        "part": int(yes.sum()),
        "of": int(yes.size),
    }


def without_age(prepared: Prepared, may: Admission) -> list[Row]:
    """Units behind the curves, and those of which nobody knows when they were rebuilt."""
    facts, watched = prepared.facts, prepared.stretches
    inside = np.isin(facts.design, may.choice.designs)
    known = np.zeros(facts.units, dtype=bool)
    known[watched.unit] = True
    told = may("watched") and may("units")
    counted = int((inside & known).sum())
    rest = distinct(facts.owner[inside & ~known]).size
    told = told and (rest == 0 or rest >= may.manners.owners)
    return [row("aged", units=counted if told else None)]
