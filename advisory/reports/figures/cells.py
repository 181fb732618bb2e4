"""The cells of a report's tables: what is kept, in SI, and read again years later."""

import math
from typing import Any

from advisory.engineering.survival import Difference, Estimate

Cell = dict[str, Any] | list[Any] | float | int | str | None
Row = dict[str, Any]


def row(key: str, **cells: Cell) -> Row:
    """Return a table's row; `key` says what it is about."""
    return {"row": key, **cells}


def rounded(value: float, digits: int = 4) -> float | None:
    """Round to so many significant digits; nothing where there is no number."""
    if not math.isfinite(value):
        return None
    return float(f"{value:.{digits}g}")


def interval(found: Estimate | Difference, digits: int = 4, *, least: float = -math.inf) -> Cell:
    """Return an estimate with its ends; the spread where it has one.

    `least` is the least that the true figure can be: an end below it says no more.
    """
    lower = max(found.lower, least) if math.isfinite(found.lower) else found.lower
    cell: dict[str, Any] = {
        "value": rounded(found.value, digits),
        "lower": rounded(lower, digits),
        "upper": rounded(found.upper, digits),
    }
    if isinstance(found, Estimate) and math.isfinite(found.spread):
        cell["spread"] = rounded(found.spread, digits)
    return cell


def ends(value: float, lower: float, upper: float, digits: int = 4) -> dict[str, Any]:
    """Return a figure with the ends of its interval."""
    return {
        "value": rounded(value, digits),
        "lower": rounded(lower, digits),
        "upper": rounded(upper, digits),
    }


def told_at(age: float, value: float, lower: float, upper: float) -> dict[str, Any]:
    """Return a point of a curve."""
    return {"age": age, **ends(value, lower, upper, 3)}
