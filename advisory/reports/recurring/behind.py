"""The units behind a cell."""

from dataclasses import dataclass

import numpy as np

from advisory.reports.enums import Cut
from advisory.reports.recurring.cuts import CUTS, Cell
from advisory.reports.recurring.gathering import Watched


@dataclass(frozen=True)
class UnitBehind:
    """A unit that was watched in a cell, for how long, and the keys of what was found there."""

    unit: int
    years: float
    findings: tuple[int, ...]


def units_behind(seen: Watched, cut: Cut, key: str) -> tuple[Cell, list[UnitBehind]] | None:
    """Return a cell and its units, most findings first; None where there is none such."""
    counted = CUTS[cut](seen)
    at = next((i for i, cell in enumerate(counted.cells) if cell.key == key and cell.told), None)
    if at is None:
        return None
    mine = counted.cell == at
    years = np.bincount(counted.unit[mine], counted.stretches.years[mine], minlength=seen.units)
    findings: dict[int, list[int]] = {}
    for found in counted.found[counted.found_cell == at].tolist():
        findings.setdefault(int(seen.found_unit[found]), []).append(int(seen.found_key[found]))
    behind = [
        UnitBehind(int(seen.keys[unit]), float(years[unit]), tuple(findings.get(unit, ())))
        for unit in np.unique(counted.unit[mine]).tolist()
    ]
    return counted.cells[at], sorted(behind, key=lambda each: (-len(each.findings), -each.unit))
