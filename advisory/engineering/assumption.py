"""What was set rather than derived: figures and ranges, each with where it comes from."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

PRACTICE: Final = "common practice, no source"
SET_BY_US: Final = "set by us, no source"


@dataclass(frozen=True)
class Assumption:
    """One figure that was set.

    Parameters
    ----------
    name : str
        Its name in the code.
    value : float
        Its value, in ``unit``.
    unit : str
        Unit for a reader; empty for a pure number.
    source : str
        Where it comes from.
    meaning : str
        What it is and why it has this value.
    factor : float
        What one ``unit`` is in SI.
    """

    name: str
    value: float
    unit: str
    source: str
    meaning: str
    factor: float = 1.0

    @property
    def si(self) -> float:
        """The value in SI units (temperatures in degC, months in months)."""
        return self.value * self.factor


@dataclass(frozen=True)
class TakenForGranted:
    """Something set that is no single figure: a range, a shape, what counts for how much.

    Parameters
    ----------
    meaning : str
        What it is.
    figure : str
        What was set, in words.
    source : str
        Where it comes from.
    """

    meaning: str
    figure: str
    source: str


def by_name(table: Iterable[Assumption]) -> Callable[[str], float]:
    """Give a look-up of a table's figures.

    Parameters
    ----------
    table : iterable of Assumption
        Each with a name of its own.

    Returns
    -------
    callable
        From a name to the value in SI units (temperatures in degC, months in months); raises
        KeyError for a name that the table doesn't have.

    References
    ----------
    None: each row says where it comes from.

    Examples
    --------
    >>> by_name([Assumption("first_look", 50, "km", PRACTICE, "", 1e3)])("first_look")
    50000.0
    """
    return {assumption.name: assumption.si for assumption in table}.__getitem__
