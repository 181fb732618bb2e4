"""Counts, rates and what stands out, over all cuts at once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from advisory.engineering.event_rates import event_rate, rate_ratio, stands_out
from advisory.reports.columns import Column, distinct
from advisory.reports.enums import Cut, Stands
from advisory.reports.gathering.distances import Places
from advisory.reports.recurring.cuts import CUTS, Cell, Counted
from advisory.reports.recurring.gathering import Watched


@dataclass(frozen=True)
class Interval:
    """A figure and the ends of its interval of 95 %; an end is None where there is none."""

    value: float | None
    lower: float | None
    upper: float | None


@dataclass(frozen=True)
class Sums:
    """What was found in how much time; years are of units, or of places where those are counted."""

    findings: int
    units_with: int
    units: int
    years: float
    rate: Interval | None


@dataclass(frozen=True)
class Row:
    """One cell: what was found, what on the others, and how the two compare."""

    cell: Cell
    own: Sums
    others: Sums
    ratio: Interval | None
    adjusted: float
    stands: Stands


@dataclass(frozen=True)
class Table:
    """One cut."""

    cut: Cut
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Tables:
    """All cuts, and what stands out in any of them, the surest first."""

    units: int
    findings: int
    years: float
    tables: tuple[Table, ...]

    @property
    def standing_out(self) -> list[tuple[Cut, Row]]:
        """What the numbers carry: more often first."""
        named = [
            (table.cut, row)
            for table in self.tables
            for row in table.rows
            if row.stands != Stands.NOT
        ]
        return sorted(named, key=lambda each: (each[1].stands != Stands.MORE, each[1].adjusted))


@dataclass(frozen=True)
class _Numbers:
    """The sums of a cut's cells, and of the others that each is compared with."""

    own: Mapping[str, Column]
    others: Mapping[str, Column]


def tables_of(seen: Watched) -> Tables:
    """Reckon all cuts. What is named is decided over all of them together, shown or not."""
    counted = [make(seen) for make in CUTS.values()]
    numbers = [_numbers(each, seen) for each in counted]
    own, others = (
        {name: np.concatenate([getattr(n, side)[name] for n in numbers]) for name in _NAMES}
        for side in ("own", "others")
    )
    told = np.array([cell.told for each in counted for cell in each.cells], dtype=bool)
    told &= own["years"] > 0.0
    rows: list[Row | None] = [None] * told.size
    place = np.flatnonzero(told)
    cells = [cell for each in counted for cell in each.cells]
    own, others = ({name: side[name][told] for name in _NAMES} for side in (own, others))
    for at, row in zip(place, _rows([cells[i] for i in place], own, others), strict=True):
        rows[at] = row
    tables, start = [], 0
    for each in counted:
        mine = rows[start : start + len(each.cells)]
        start += len(each.cells)
        tables.append(Table(each.cut, _sorted([row for row in mine if row is not None])))
    watched = seen.until > seen.begin
    by_design = counted[list(CUTS).index(Cut.DESIGN)]
    return Tables(
        units=int(watched.sum()),
        findings=int(by_design.found.size),
        years=float(by_design.stretches.years.sum()),
        tables=tuple(tables),
    )


_NAMES = ("findings", "units_with", "units", "years")


def _numbers(counted: Counted, seen: Watched) -> _Numbers:
    """Sum up a cut's cells, and for each the other cells of its stratum."""
    cells = len(counted.cells)
    strata = list(dict.fromkeys(cell.stratum for cell in counted.cells))
    stratum = np.array([strata.index(cell.stratum) for cell in counted.cells], dtype=np.int64)
    found_unit = seen.found_unit[counted.found]
    own = {
        "findings": np.bincount(counted.found_cell, minlength=cells),
        "units_with": _distinct(counted.found_cell, found_unit, cells),
        "units": _distinct(counted.cell, counted.unit, cells),
        "years": np.bincount(counted.cell, counted.stretches.years, minlength=cells),
    }
    others = {}
    for name in ("findings", "years"):
        whole = np.bincount(stratum, own[name], minlength=len(strata))
        others[name] = np.maximum(whole[stratum] - own[name], 0.0)
    others["units_with"] = _others(counted.found_cell, found_unit, stratum)
    others["units"] = _others(counted.cell, counted.unit, stratum)
    # what is left of a sum of days is no day
    others["years"] = np.where(others["years"] < 1e-6, 0.0, others["years"])
    return _Numbers({name: each.astype(np.float64) for name, each in own.items()}, others)


def _distinct(cell: Places, unit: Places, cells: int) -> Places:
    """Count the units of each cell, each once."""
    if not cell.size:
        return np.zeros(cells, dtype=np.int64)
    wide = int(unit.max()) + 1
    return np.bincount(distinct(cell * wide + unit) // wide, minlength=cells)


def _others(cell: Places, unit: Places, stratum: Places) -> Column:
    """Count for each cell the units of its stratum that are in another cell too, or only there."""
    if not cell.size:
        return np.zeros(stratum.size)
    wide = int(unit.max()) + 1
    pairs = distinct(cell * wide + unit)
    cell, unit = pairs // wide, pairs % wide
    in_stratum = stratum[cell] * wide + unit
    kinds, place, many = np.unique(in_stratum, return_inverse=True, return_counts=True)
    units = np.bincount(kinds // wide, minlength=int(stratum.max()) + 1)
    alone = np.bincount(cell[many[place] == 1], minlength=stratum.size)
    return (units[stratum] - alone).astype(np.float64)


def _rows(
    cells: Sequence[Cell], own: Mapping[str, Column], others: Mapping[str, Column]
) -> list[Row]:
    if not cells:
        return []
    n, t, m, u = own["findings"], own["years"], others["findings"], others["years"]
    beside = np.where(u > 0.0, u, 1.0)
    rate, other_rate = event_rate(n, t), event_rate(m, beside)
    ratio = rate_ratio(n, t, m, beside)
    found = stands_out(n, own["units_with"], t, m, others["units_with"], u)
    return [
        Row(
            cell=cell,
            own=_sums(own, i, _interval(rate, i, "rate")),
            others=_sums(others, i, _interval(other_rate, i, "rate") if u[i] > 0.0 else None),
            ratio=_interval(ratio, i, "ratio") if u[i] > 0.0 and n[i] + m[i] > 0 else None,
            adjusted=float(found.adjusted[i]),
            stands=Stands.MORE
            if found.more_often[i]
            else Stands.LESS
            if found.less_often[i]
            else Stands.NOT,
        )
        for i, cell in enumerate(cells)
    ]


def _sums(sums: Mapping[str, Column], i: int, rate: Interval | None) -> Sums:
    return Sums(
        findings=int(sums["findings"][i]),
        units_with=int(sums["units_with"][i]),
        units=int(sums["units"][i]),
        years=float(sums["years"][i]),
        rate=rate,
    )


def _interval(found: object, i: int, name: str) -> Interval:
    ends = (float(getattr(found, each)[i]) for each in (name, "lower", "upper"))
    return Interval(*(end if np.isfinite(end) else None for end in ends))


def _sorted(rows: list[Row]) -> tuple[Row, ...]:
    """Put what stands out first, then what has most findings."""
    return tuple(
        sorted(
            rows,
            key=lambda row: (
                row.stands == Stands.NOT,
                -row.own.findings,
                row.cell.of.casefold(),
                row.cell.name.casefold(),
            ),
        )
    )
