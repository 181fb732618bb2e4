"""A figure with its measuring uncertainty, combined by the GUM, and held against limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from advisory.engineering.errors import OutOfRange

COVERAGE_FACTOR = 2.0
"""Standard to expanded uncertainty, about 95 % of a normal distribution (JCGM 100:2008, 6.3)."""

AS_TYPED_ALIKE = 1e-9
"""Two lengths closer than this are the same figure, converted by different ways [m]."""


class Verdict(Enum):
    """How a measured figure stands against its limits."""

    WITHIN = "within"
    BELOW = "below"
    ABOVE = "above"
    CANNOT_TELL = "cannot tell"
    NO_LIMIT = "no limit"


@dataclass(frozen=True)
class Measured:
    """A measured figure.

    Parameters
    ----------
    value : float
        In the SI unit of what is measured.
    uncertainty : float or None
        One standard uncertainty, in the same unit; None where nobody gave one.
    """

    value: float
    uncertainty: float | None = None

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise OutOfRange("value", "a finite number", self.value)
        if self.uncertainty is not None and not 0.0 <= self.uncertainty < math.inf:
            raise OutOfRange("uncertainty", "at least 0", self.uncertainty)

    @property
    def expanded(self) -> float | None:
        """Half of the interval that holds the true figure with about 95 %."""
        return None if self.uncertainty is None else COVERAGE_FACTOR * self.uncertainty


def root_sum_square(uncertainties: Sequence[float | None]) -> float | None:
    """Combine standard uncertainties of independent figures that are added or subtracted.

    Parameters
    ----------
    uncertainties : sequence of float or None
        One standard uncertainty each; None where it is not known.

    Returns
    -------
    float or None
        None if any of them is not known: an unknown share can't be left out of a sum.

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2, equation 10, with sensitivities of one (read in summaries).

    Examples
    --------
    >>> root_sum_square([3.0, 4.0])
    5.0
    """
    known = [one for one in uncertainties if one is not None]
    if len(known) < len(uncertainties):
        return None
    return math.hypot(*known)


def mean_of(readings: Sequence[Measured]) -> Measured:
    """Average readings that were taken with one instrument.

    What the instrument is off, it is off in all of them alike, so their uncertainty does not
    shrink with their number: it is their mean (fully correlated inputs, the careful side).

    Parameters
    ----------
    readings : sequence of Measured
        At least one.

    Returns
    -------
    Measured

    Raises
    ------
    OutOfRange
        Without a reading.

    References
    ----------
    JCGM 100:2008 (GUM), 5.2.2, note 1: correlation +1 (read in summaries).

    Examples
    --------
    >>> mean_of([Measured(1.0, 0.1), Measured(3.0, 0.1)])
    Measured(value=2.0, uncertainty=0.1)
    """
    if not readings:
        raise OutOfRange("readings", "at least one reading", "none")
    # fsum gives the same sum whatever the order in which the readings were entered
    value = math.fsum(reading.value for reading in readings) / len(readings)
    known = [one.uncertainty for one in readings if one.uncertainty is not None]
    shared = math.fsum(known) / len(known) if len(known) == len(readings) else None
    return Measured(value, shared)


def difference(larger: Measured, smaller: Measured) -> Measured:
    """Subtract one figure from another that was measured independently.

    Parameters
    ----------
    larger, smaller : Measured
        In the same unit.

    Returns
    -------
    Measured

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2 (read in summaries).

    Examples
    --------
    >>> difference(Measured(5.0, 0.3), Measured(2.0, 0.4))
    Measured(value=3.0, uncertainty=0.5)
    """
    return Measured(
        larger.value - smaller.value, root_sum_square([larger.uncertainty, smaller.uncertainty])
    )


def verdict(figure: Measured, least: float | None = None, most: float | None = None) -> Verdict:
    """Hold a figure against its limits; where the uncertainty straddles one, nobody can tell.

    A figure without an uncertainty is judged as it stands; one on its limit is then within.

    Parameters
    ----------
    figure : Measured
        What was measured.
    least, most : float, optional
        The limits, in the same unit.

    Returns
    -------
    Verdict

    References
    ----------
    ISO 14253-1, decision rules: conformity is proved where figure and expanded uncertainty lie
    within the limits, nonconformity where they lie outside, neither between (from memory).

    Examples
    --------
    >>> verdict(Measured(40e-6, 1e-6), 30e-6, 50e-6)
    <Verdict.WITHIN: 'within'>
    >>> verdict(Measured(49e-6, 1e-6), 30e-6, 50e-6)
    <Verdict.CANNOT_TELL: 'cannot tell'>
    >>> verdict(Measured(53e-6, 1e-6), 30e-6, 50e-6)
    <Verdict.ABOVE: 'above'>
    """
    if least is None and most is None:
        return Verdict.NO_LIMIT
    if least is not None and most is not None and least > most:
        raise OutOfRange("least", "at most the greatest", least)
    half = figure.expanded or 0.0
    low, high = figure.value - half, figure.value + half
    if least is not None and high < least - AS_TYPED_ALIKE:
        return Verdict.BELOW
    if most is not None and low > most + AS_TYPED_ALIKE:
        return Verdict.ABOVE
    too_low = least is not None and low < least - AS_TYPED_ALIKE
    too_high = most is not None and high > most + AS_TYPED_ALIKE
    return Verdict.CANNOT_TELL if too_low or too_high else Verdict.WITHIN
