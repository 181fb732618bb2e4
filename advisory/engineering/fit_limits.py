"""The limits of a running fit told three ways: as a clearance, as sizes, as ISO 286 classes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from advisory.engineering.errors import OutOfRange
from advisory.engineering.measured import AS_TYPED_ALIKE
from advisory.engineering.tolerances import fit, tolerance_zone

HOLES = ("H6", "H7", "H8", "H9")
SHAFTS = tuple(f"{letter}{grade}" for letter in "cdefgh" for grade in (5, 6, 7, 8, 9))
"""Pairs that are offered: a basic hole with a shaft that runs in it."""


@dataclass(frozen=True)
class SizeLimits:
    """The limits of a bore and of the journal that runs in it [m]."""

    bore_least: float
    bore_most: float
    journal_least: float
    journal_most: float

    @property
    def clearance_least(self) -> float:
        """Diametral, of the smallest bore on the largest journal [m]."""
        return self.bore_least - self.journal_most

    @property
    def clearance_most(self) -> float:
        """Diametral, of the largest bore on the smallest journal [m]."""
        return self.bore_most - self.journal_least


@dataclass(frozen=True)
class ClassPair:
    """A pair of ISO 286 classes and the clearances that it gives [m]."""

    bore_class: str
    journal_class: str
    clearance_least: float
    clearance_most: float
    exact: bool


def sizes_of_classes(nominal: float, bore_class: str, journal_class: str) -> SizeLimits:
    """Turn a pair of classes into limits of size.

    Parameters
    ----------
    nominal : float
        [m]
    bore_class, journal_class : str
        Of a hole and of a shaft, as "H7" and "f7".

    Returns
    -------
    SizeLimits

    Raises
    ------
    OutOfRange
        As `tolerance_zone`, and where the first is no hole's class or the second no shaft's.

    References
    ----------
    ISO 286-1:2010, 3.2 and 3.3 (from memory).

    Examples
    --------
    >>> pair = sizes_of_classes(0.04, "H7", "f7")
    >>> round(pair.clearance_least * 1e6), round(pair.clearance_most * 1e6)
    (25, 75)
    """
    bore, journal = tolerance_zone(nominal, bore_class), tolerance_zone(nominal, journal_class)
    if not bore.is_hole:
        raise OutOfRange("bore_class", "of a hole (capital letter)", bore_class)
    if journal.is_hole:
        raise OutOfRange("journal_class", "of a shaft (small letter)", journal_class)
    return SizeLimits(
        nominal + bore.lower_deviation,
        nominal + bore.upper_deviation,
        nominal + journal.lower_deviation,
        nominal + journal.upper_deviation,
    )


def sizes_of_clearance(nominal: float, least: float, most: float) -> SizeLimits:
    """Turn a clearance into the limits of a bore that is fitted to a journal of nominal size.

    Parameters
    ----------
    nominal : float
        Size of the journal [m].
    least, most : float
        Diametral clearance [m].

    Returns
    -------
    SizeLimits
        With both limits of the journal at its nominal size: the bore is made to it.

    Raises
    ------
    OutOfRange
        For a clearance below nought or limits the wrong way round.

    References
    ----------
    Common practice, no source: white metal is bored to the journal as it is ground.

    Examples
    --------
    >>> round(sizes_of_clearance(0.04, 25e-6, 75e-6).bore_most * 1e3, 3)
    40.075
    """
    if least < 0.0 or most < least:
        raise OutOfRange("least", "at least 0 m and at most the greatest clearance", least)
    return SizeLimits(nominal + least, nominal + most, nominal, nominal)


@lru_cache(maxsize=1024)
def nearest_classes(nominal: float, least: float, most: float) -> ClassPair | None:
    """Find the pair of classes whose clearances come nearest to the ones wanted.

    Nearest is the pair whose worse end lies least off; of equal ones the pair whose grades are
    most alike, so that bore and journal ask for the same care.

    Parameters
    ----------
    nominal : float
        [m]
    least, most : float
        Diametral clearance wanted [m].

    Returns
    -------
    ClassPair or None
        None for a size outside the tables.

    References
    ----------
    ISO 286-1:2010, hole-basis fits (from memory).

    Examples
    --------
    >>> pair = nearest_classes(0.04, 25e-6, 75e-6)
    >>> pair.bore_class, pair.journal_class, pair.exact
    ('H7', 'f7', True)
    """
    found: list[tuple[float, int, ClassPair]] = []
    for hole in HOLES:
        for shaft in SHAFTS:
            try:
                pair = fit(nominal, hole, shaft)
            except OutOfRange:
                continue
            low, high = pair.minimum_clearance, pair.maximum_clearance
            off = max(abs(low - least), abs(high - most))
            found.append(
                (
                    round(off, 12),
                    abs(int(hole[1:]) - int(shaft[1:])),
                    ClassPair(hole, shaft, low, high, off <= AS_TYPED_ALIKE),
                )
            )
    return min(found, key=lambda row: row[:2])[2] if found else None
