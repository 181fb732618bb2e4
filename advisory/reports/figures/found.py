"""What was found on the way, by position: findings a unit over distance; and wear."""

import numpy as np

from advisory.engineering.survival import mean_by_owner, mean_count_at
from advisory.reports.columns import distinct, places_among
from advisory.reports.figures.cells import Cell, Row, interval, row, told_at
from advisory.reports.figures.choice import Admission
from advisory.reports.figures.grid import ages_for
from advisory.reports.figures.prepared import Prepared
from advisory.reports.gathering import POSITIONS, rings_of


def found_by_position(prepared: Prepared, may: Admission) -> list[Row]:
    """Count findings a unit by distance since the rebuild, for each kind of position.

    Each row has the points of its curve: age, count, lower and upper end.
    """
    facts, watched = prepared.facts, prepared.stretches
    _names, owner_of = places_among(facts.owner)
    in_years = np.isin(watched.ring, rings_of(may.choice.period))
    found = []
    for place, kind in enumerate(POSITIONS):
        designs = [
            design for design in may.choice.designs if kind in facts.designs[design].positions
        ]
        if not designs:
            continue
        inside = in_years & np.isin(facts.design[watched.unit], designs)
        on = inside[watched.found_on] & (watched.found_kind == place)
        if not inside.any() or not may("watched", {"design": designs}):
            continue
        owner = owner_of[watched.unit[inside]]
        entry, end = watched.entry[inside], watched.end[inside]
        owners, number = int(distinct(owner).size), int(on.sum())
        points: list[Cell] = []
        if owners >= may.manners.curve_owners and number >= may.manners.curve_events:
            place_of = np.cumsum(inside) - 1
            _few, whose = places_among(owner)
            ages = ages_for(owner, entry, end, may.manners.owners)
            if ages:
                curve = mean_count_at(
                    entry, end, whose, watched.found_at[on], place_of[watched.found_on[on]], ages
                )
                points = [
                    told_at(age, float(value), float(low), float(high))
                    for age, value, low, high in zip(
                        ages, curve.count, curve.lower, curve.upper, strict=True
                    )
                ]
        found.append(
            row(
                kind.value,
                units=int(distinct(watched.unit[inside]).size),
                findings=number,
                points=points,
            )
        )
    return found


def wear_by_design(prepared: Prepared, may: Admission) -> list[Row]:
    """Wear a distance of each kind of position, by design, with the spread between units."""
    facts, wear = prepared.facts, prepared.wear
    if not wear.unit.size:
        return []
    found = []
    design = facts.design[wear.unit]
    for of_design in may.choice.designs:
        # a design whose units are not told of is not named here either
        if not may.of_design(of_design):
            continue
        for place, kind in enumerate(POSITIONS):
            inside = (design == of_design) & (wear.kind == place)
            if not inside.any() or not may("wear", {"design": [of_design], "kind": [place]}):
                continue
            mean = mean_by_owner(wear.rate[inside], facts.owner[wear.unit[inside]])
            found.append(
                row(
                    f"{facts.designs[of_design].key}:{kind.value}",
                    units=int(distinct(wear.unit[inside]).size),
                    rate=interval(mean, 3),
                )
            )
    return found
