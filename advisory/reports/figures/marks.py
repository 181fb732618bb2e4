"""What was found, by damage mark: findings a unit over distance since the rebuild."""

import numpy as np

from advisory.engineering.survival import mean_count_at
from advisory.reports.columns import distinct, places_among
from advisory.reports.figures.cells import Cell, Row, ends, row
from advisory.reports.figures.choice import Admission
from advisory.reports.figures.grid import ages_for
from advisory.reports.figures.prepared import Prepared, of_mark
from advisory.reports.gathering import MARKS, rings_of


def found_by_mark(prepared: Prepared, may: Admission) -> list[Row]:
    """Count findings of each mark, and how many a unit has by the farthest distance told.

    A mark is rare, and whoever has it may be known for it: so it is the owners of the marked units
    who must be enough, not only those whose units were watched.
    """
    facts, watched = prepared.facts, prepared.stretches
    inside = np.isin(watched.ring, rings_of(may.choice.period))
    inside &= np.isin(facts.design[watched.unit], may.choice.designs)
    marked = inside[watched.found_on] & (watched.found_mark >= 0)
    if not marked.any() or not may("watched"):
        return []
    unit = watched.unit[inside]
    entry, end = watched.entry[inside], watched.end[inside]
    _owners, whose = places_among(facts.owner[unit])
    place_of = np.cumsum(inside) - 1
    ages = ages_for(whose, entry, end, may.manners.owners)
    enough = distinct(whose).size >= may.manners.curve_owners
    found = []
    for place in distinct(watched.found_mark[marked]).tolist():
        on = marked & (watched.found_mark == place)
        owners = distinct(facts.owner[watched.unit[watched.found_on[on]]]).size
        if owners < may.manners.owners or not may(of_mark(place)):
            continue
        count: Cell = None
        if ages and enough and on.sum() >= may.manners.curve_events:
            curve = mean_count_at(
                entry,
                end,
                whose,
                watched.found_at[on],
                place_of[watched.found_on[on]],
                ages[-1:],
            )
            count = ends(float(curve.count[0]), float(curve.lower[0]), float(curve.upper[0]), 3)
        found.append(
            row(
                MARKS[place].value,
                units=int(distinct(unit).size),
                findings=int(on.sum()),
                age=ages[-1] if ages else None,
                count=count,
            )
        )
    return sorted(found, key=lambda each: -each["findings"])
