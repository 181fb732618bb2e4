"""Running clearance, ovality, taper and undersize from a bore and a journal as they were measured.

Readings are taken in one or more planes along the bearing, and in one or more directions in each.
The running clearance is diametral: mean bore less mean journal. The tightest and the widest place
are what any one diameter of the bore and any one of the journal could make of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import combinations

from advisory.engineering.errors import OutOfRange
from advisory.engineering.measured import (
    AS_TYPED_ALIKE,
    Measured,
    Verdict,
    difference,
    mean_of,
    verdict,
)

Planes = Sequence[Sequence[Measured]]
"""Readings of a diameter: for each plane along it, those of its directions."""

SAME_UNDERSIZE = 12.7e-6
"""Journals whose undersizes lie closer than half a thou were ground alike (set by us) [m]."""


@dataclass(frozen=True)
class Diameter:
    """What the readings of one diameter tell.

    Parameters
    ----------
    mean : Measured
        Over all planes and directions [m].
    smallest, largest : Measured
        Of the single readings [m].
    ovality : Measured or None
        Greatest difference of two directions in one plane; None without two directions [m].
    taper : Measured or None
        Greatest difference of the means of two planes; None without two planes [m].
    """

    mean: Measured
    smallest: Measured
    largest: Measured
    ovality: Measured | None
    taper: Measured | None


@dataclass(frozen=True)
class RunningFit:
    """A bore and the journal that runs in it.

    Parameters
    ----------
    clearance : Measured
        Running clearance, diametral: mean bore less mean journal; negative is interference [m].
    tightest, widest : Measured
        Smallest bore less largest journal, and largest less smallest [m].
    bore, journal : Diameter
        What the clearance is made of.
    """

    clearance: Measured
    tightest: Measured
    widest: Measured
    bore: Diameter
    journal: Diameter


class Sameness(Enum):
    """Whether several journals were ground to one undersize."""

    SAME = "same"
    DIFFERENT = "different"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True)
class UndersizeCompared:
    """The undersizes of several journals beside each other.

    Parameters
    ----------
    sameness : Sameness
        Whether they were ground alike.
    smallest, largest : Measured
        Of the undersizes [m].
    odd : tuple of str
        Names of the journals that stand off from where most of them are, if they differ.
    """

    sameness: Sameness
    smallest: Measured
    largest: Measured
    odd: tuple[str, ...]


def diameter(planes: Planes) -> Diameter:
    """Reckon mean, extremes, ovality and taper of one diameter.

    Planes weigh alike in the mean whatever number of directions was measured in each.

    Parameters
    ----------
    planes : sequence of sequence of Measured
        At least one reading; an empty plane counts as not measured [m].

    Returns
    -------
    Diameter

    Raises
    ------
    OutOfRange
        Without a reading, or for a reading that is not above nought.

    References
    ----------
    Two-point sizes, ISO 14405-1; ovality and taper as the bench has them: differences of two-point
    sizes in a plane, and of planes (common practice, no source).

    Examples
    --------
    >>> shaft = diameter(
    ...     [
    ...         [Measured(38.060e-3), Measured(38.056e-3)],
    ...         [Measured(38.050e-3), Measured(38.052e-3)],
    ...     ]
    ... )
    >>> round(shaft.ovality.value * 1e6, 3), round(shaft.taper.value * 1e6, 3)
    (4.0, 7.0)
    """
    measured = [list(plane) for plane in planes if plane]
    readings = [reading for plane in measured for reading in plane]
    if not readings:
        raise OutOfRange("planes", "at least one reading", "none")
    for reading in readings:
        if reading.value <= 0.0:
            raise OutOfRange("planes", "above 0 m", reading.value)
    means = [mean_of(plane) for plane in measured]
    ovalities = [_apart(one, other) for plane in measured for one, other in combinations(plane, 2)]
    tapers = [_apart(one, other) for one, other in combinations(means, 2)]
    return Diameter(
        mean=mean_of(means),
        smallest=min(readings, key=lambda reading: reading.value),
        largest=max(readings, key=lambda reading: reading.value),
        ovality=_greatest(ovalities),
        taper=_greatest(tapers),
    )


def running_fit(bore: Planes, journal: Planes) -> RunningFit:
    """Reckon the running clearance of a journal in its bore.

    Parameters
    ----------
    bore, journal : sequence of sequence of Measured
        Readings by plane and direction [m].

    Returns
    -------
    RunningFit
        With a negative clearance where the bore is smaller than its journal.

    Raises
    ------
    OutOfRange
        As `diameter`.

    References
    ----------
    Clearance of a fit: ISO 286-1:2010, 3.3.1. Uncertainty of a difference: JCGM 100:2008, 5.1.2.

    Examples
    --------
    >>> pair = running_fit([[Measured(0.0381508, 3e-6)]], [[Measured(0.0381, 4e-6)]])
    >>> round(pair.clearance.value * 1e6, 3), round(pair.clearance.uncertainty * 1e6, 3)
    (50.8, 5.0)
    """
    hole, shaft = diameter(bore), diameter(journal)
    return RunningFit(
        clearance=difference(hole.mean, shaft.mean),
        tightest=difference(hole.smallest, shaft.largest),
        widest=difference(hole.largest, shaft.smallest),
        bore=hole,
        journal=shaft,
    )


def undersize(nominal: float, journal: Diameter) -> Measured:
    """Say how far below its nominal size a journal was ground.

    Parameters
    ----------
    nominal : float
        Of the design [m].
    journal : Diameter
        As measured.

    Returns
    -------
    Measured
        Nominal less the mean; negative for a journal above size [m].

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> round(undersize(0.0381, diameter([[Measured(0.037846)]])).value / 25.4e-6, 6)
    10.0
    """
    return Measured(nominal - journal.mean.value, journal.mean.uncertainty)


def compare_undersizes(
    undersizes: Mapping[str, Measured], apart: float = SAME_UNDERSIZE
) -> UndersizeCompared:
    """Say whether all journals were ground to the same undersize, and which were not.

    Parameters
    ----------
    undersizes : mapping of str to Measured
        By the name of the journal; at least two [m].
    apart : float
        How far the smallest and the largest may lie from each other [m].

    Returns
    -------
    UndersizeCompared

    Raises
    ------
    OutOfRange
        For fewer than two journals.

    References
    ----------
    Common practice, no source; what counts as alike is set by us, see `SAME_UNDERSIZE`.

    Examples
    --------
    >>> thou = 25.4e-6
    >>> ground = {name: Measured(10 * thou, 1e-6) for name in ("front", "centre", "rear")}
    >>> compare_undersizes(ground).sameness
    <Sameness.SAME: 'same'>
    >>> compare_undersizes({**ground, "rear": Measured(20 * thou, 1e-6)}).odd
    ('rear',)
    """
    if len(undersizes) < 2:
        raise OutOfRange("undersizes", "at least two journals", len(undersizes))
    ordered = sorted(undersizes.items(), key=lambda item: item[1].value)
    smallest, largest = ordered[0][1], ordered[-1][1]
    found = verdict(difference(largest, smallest), None, apart)
    sameness = {
        Verdict.WITHIN: Sameness.SAME,
        Verdict.ABOVE: Sameness.DIFFERENT,
    }.get(found, Sameness.CANNOT_TELL)
    odd: tuple[str, ...] = ()
    if sameness is not Sameness.SAME:
        neighbours = {
            name: sum(abs(other.value - mine.value) <= apart for other in undersizes.values())
            for name, mine in undersizes.items()
        }
        most = max(neighbours.values())
        odd = tuple(name for name, count in neighbours.items() if count < most)
    return UndersizeCompared(sameness, smallest, largest, odd)


def _apart(one: Measured, other: Measured) -> Measured:
    larger, smaller = (one, other) if one.value >= other.value else (other, one)
    return difference(larger, smaller)


def _greatest(figures: Sequence[Measured]) -> Measured | None:
    return max(figures, key=lambda figure: figure.value, default=None)


def bore_is_smaller(pair: RunningFit) -> bool:
    """Tell whether the bore is smaller than its journal, so that it can't go in.

    Parameters
    ----------
    pair : RunningFit
        As measured.

    Returns
    -------
    bool

    Examples
    --------
    >>> bore_is_smaller(running_fit([[Measured(0.038)]], [[Measured(0.0381)]]))
    True
    """
    return pair.clearance.value < -AS_TYPED_ALIKE
