"""Figures over things that hang together by their owner: shares and means with intervals."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from advisory.engineering.arguments import require
from advisory.engineering.errors import OutOfRange


@dataclass(frozen=True)
class Estimate:
    """An estimate, its interval, and the spread between the things behind it.

    Parameters
    ----------
    value, lower, upper : float
        The estimate and the ends of its interval.
    spread : float
        Standard deviation between the things, NaN with one alone.
    n : int
        How many stand behind it.
    """

    value: float
    lower: float
    upper: float
    spread: float
    n: int


def share_by_owner(part: ArrayLike, of: ArrayLike, *, level: float = 0.95) -> Estimate:
    """Estimate a share from owners who each bring so many of so many.

    Parameters
    ----------
    part, of : array_like
        What each owner brings: done in time, and done at all. Who brings nothing is left out.
    level : float
        Of the interval.

    Returns
    -------
    Estimate
        Wilson's interval, with as many independent trials as the owners' own spread leaves: never
        more than there are, never fewer than owners; Student's law in place of the normal.

    Raises
    ------
    OutOfRange
        For a part above its whole, or no owner with anything.

    References
    ----------
    E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212; design effect of a ratio estimate: W. G.
    Cochran, Sampling Techniques, 3rd ed., Wiley 1977, ch. 6 and 11; for Wilson's interval with it:
    E. L. Korn, B. I. Graubard, Survey Methodology 24 (1998) 193-201.

    Examples
    --------
    >>> share = share_by_owner([1, 2, 0, 1, 1], [1, 2, 1, 1, 1])
    >>> round(share.value, 3), round(share.lower, 2), round(share.upper, 2)
    (0.833, 0.28, 0.98)
    """
    from scipy.special import stdtrit  # here, so that importing the package stays quick

    wholes = np.atleast_1d(require("of", np.asarray(of, dtype=np.float64), at_least=0.0))
    parts = np.atleast_1d(require("part", np.asarray(part, dtype=np.float64), at_least=0.0))
    if (parts > wholes).any():
        raise OutOfRange("part", "at most its whole", float(parts[parts > wholes][0]))
    brings = wholes > 0.0
    parts, wholes = parts[brings], wholes[brings]
    if not wholes.size:
        raise OutOfRange("of", "above 0 for at least one owner", "none")
    total, owners = float(wholes.sum()), wholes.size
    share = float(parts.sum()) / total
    trials, spread = float(owners), float("nan")
    if owners > 1:
        residual = parts - share * wholes
        variance = owners / (owners - 1) * float((residual**2).sum()) / total**2
        spread = float(np.std(parts / wholes, ddof=1))
        if variance > 0.0:
            trials = min(max(share * (1.0 - share) / variance, owners), total)
    tail = 0.5 * (1.0 - float(require("level", level, above=0.0, below=1.0)))
    t2 = float(stdtrit(max(owners - 1, 1), 1.0 - tail)) ** 2
    middle = (share + t2 / (2.0 * trials)) / (1.0 + t2 / trials)
    half = np.sqrt(t2 * (share * (1.0 - share) / trials + t2 / (4.0 * trials**2)))
    half = float(half) / (1.0 + t2 / trials)
    return Estimate(share, max(middle - half, 0.0), min(middle + half, 1.0), spread, int(total))


def mean_by_owner(value: ArrayLike, owner: ArrayLike, *, level: float = 0.95) -> Estimate:
    """Estimate a mean over units, those of one owner hanging together.

    Parameters
    ----------
    value : array_like
        One a unit, in any unit.
    owner : array_like of int
        Whose each is.
    level : float
        Of the interval.

    Returns
    -------
    Estimate
        Student's interval with the owners less one; with one owner alone it has no ends (infinite).

    Raises
    ------
    OutOfRange
        For no value.

    References
    ----------
    W. G. Cochran, Sampling Techniques, 3rd ed., Wiley 1977, ch. 9A (clusters of unequal size).

    Examples
    --------
    >>> mean = mean_by_owner([1.0, 2.0, 3.0], [0, 1, 2])
    >>> mean.value, round(mean.lower, 2), round(mean.upper, 2), mean.spread
    (2.0, -0.48, 4.48, 1.0)
    """
    from scipy.special import stdtrit  # here, so that importing the package stays quick

    values = np.atleast_1d(require("value", np.asarray(value, dtype=np.float64)))
    if not values.size:
        raise OutOfRange("value", "at least one", "none")
    tail = 0.5 * (1.0 - float(require("level", level, above=0.0, below=1.0)))
    _names, whose = np.unique(np.asarray(owner), return_inverse=True)
    owners, n = int(whose.max()) + 1, values.size
    mean = float(values.mean())
    spread = float(np.std(values, ddof=1)) if n > 1 else float("nan")
    if owners == 1:
        return Estimate(mean, -np.inf, np.inf, spread, n)
    apart = np.bincount(whose, weights=values - mean)
    error = float(np.sqrt(owners / (owners - 1) * (apart**2).sum())) / n
    half = float(stdtrit(owners - 1, 1.0 - tail)) * error
    return Estimate(mean, mean - half, mean + half, spread, n)
