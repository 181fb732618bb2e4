"""At which ages a curve is told: coarse steps, and only while enough owners are still watched."""

from collections.abc import Sequence

import numpy as np

from advisory.reports.columns import Column
from advisory.reports.gathering import Places

# A thousand miles (exactly 1609.344 m each), and what is round beside it.
STEPS = tuple(miles * 1609.344 for miles in (250, 500, 1_000, 2_000, 5_000, 10_000, 20_000))
POINTS = 12


def owners_at(owner: Places, entry: Column, end: Column, age: float) -> int:
    """Count the owners of what is watched just before an age."""
    at_risk = (entry < age) & (end >= age)
    return int((np.bincount(owner[at_risk]) > 0).sum()) if at_risk.any() else 0


def ages_for(owner: Places, entry: Column, end: Column, least: int) -> list[float]:
    """Choose ages in steps that reach as far as enough owners are watched."""
    for step in STEPS:
        ages = [step * i for i in range(1, POINTS + 1)]
        if owners_at(owner, entry, end, ages[-1]) < least or step == STEPS[-1]:
            return still_watched(ages, owner, entry, end, least)
    raise AssertionError("the last step always returns")


def still_watched(
    ages: Sequence[float], owner: Places, entry: Column, end: Column, least: int
) -> list[float]:
    """Cut ages off where too few owners are left; a curve has no hole in it."""
    kept = []
    for age in ages:
        if owners_at(owner, entry, end, age) < least:
            break
        kept.append(age)
    return kept
