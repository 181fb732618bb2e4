"""What a reading of the odometer is worth, and when it is worth most."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.usage_forecast import assumptions as assumed

_TENTH = float(-ndtri(0.1))  # standard deviations from the middle to P10 or P90
_FAR = 38.0  # standard deviations beyond which a double knows no chance
_WEEKS = np.arange(0.0, 53.0 * 7.0, 7.0)


@dataclass(frozen=True)
class ReadingWorth:
    """What a reading is worth.

    Parameters
    ----------
    now : ndarray
        Days of planning that a reading today is expected to save.
    best_in : ndarray
        Days until a reading would cost least in all; nought where none is better than today.
    """

    now: FloatArray
    best_in: FloatArray

    @property
    def asks_now(self) -> np.ndarray:
        """Whether to ask for it today: it is worth the asking, and waiting would not be better."""
        asks: np.ndarray = (self.best_in == 0.0) & (self.now >= assumed.WORTH_ASKING)
        return asks


def reading_worth(
    first: Floats, middle: Floats, last: Floats, since: Floats, lead: Floats
) -> ReadingWorth:
    """Weigh a reading today against one in any of the weeks to come.

    The day T on which a distance is reached is taken as normal on either side of its middle, with
    its P10 and P90. Whoever names a day for the work loses a day for each day that it lies too
    early and `LATE_COSTS` days for each that it lies too late; the best day to name is a quantile
    of T, and its expected loss is what not knowing costs. A reading leaves of the spread what
    gathers from then on: variance grows evenly with the time from a reading to the middle. So a
    later reading leaves less, but until it comes T may draw nearer than the lead, unseen:

        loss(s) = loss of not knowing * sqrt((middle - s) / (middle + since))
                  + LATE_COSTS * E[max(s + lead - T, 0)]

    Parameters
    ----------
    first, middle, last : array_like, shape (n,)
        Days from today to the P10, P50 and P90 day; first <= middle <= last.
    since : array_like, shape (n,)
        Days from the last reading to today, at least nought.
    lead : array_like, shape (n,)
        Days before T at which it must be known.

    Returns
    -------
    ReadingWorth

    Raises
    ------
    OutOfRange
        Where the days are out of order, or not finite.

    Notes
    -----
    Valid as far as the spread of T comes from use that is not known; what a calendar sets needs no
    reading. The newsvendor's loss: K. J. Arrow, T. Harris and J. Marschak, Optimal inventory
    policy, Econometrica 19 (1951) 250-272 (from memory).

    Examples
    --------
    Wide, and its first days near: ask. The same a season away: not yet.

    >>> reading_worth([14.0], [120.0], [300.0], [200.0], [21.0]).asks_now
    array([ True])
    >>> reading_worth([225.0], [320.0], [500.0], [200.0], [21.0]).asks_now
    array([False])
    """
    low, mid, high, ago, early = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(one, dtype=float)) for one in (first, middle, last, since, lead))
    )
    require("middle - first", mid - low, at_least=0.0, below=np.inf, unit="days")
    require("last - middle", high - mid, at_least=0.0, below=np.inf, unit="days")
    require("since", ago, at_least=0.0, below=np.inf, unit="days")
    require("lead", early, at_least=0.0, below=np.inf, unit="days")
    below, above = (mid - low) / _TENTH, (high - mid) / _TENTH
    unknown = _loss_of_naming(mid, below, above)
    # what is reached already needs no more than a reading to say so
    whole = np.maximum(mid, 0.0) + ago
    days = _WEEKS[None, :]
    ahead = np.maximum(mid[:, None] - days, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = np.where(whole[:, None] > 0.0, np.sqrt(ahead / whole[:, None]), 1.0)
    unseen = expected_shortfall(days + early[:, None], mid[:, None], below[:, None], above[:, None])
    loss = unknown[:, None] * left + assumed.LATE_COSTS * unseen
    return ReadingWorth(now=unknown * (1.0 - left[:, 0]), best_in=_WEEKS[np.argmin(loss, axis=1)])


def expected_shortfall(
    day: FloatArray, middle: FloatArray, below: FloatArray, above: FloatArray
) -> FloatArray:
    """Return E[max(day - T, 0)] for T normal on either side of its middle.

    Parameters
    ----------
    day, middle : ndarray
        A day, and the median of T [d].
    below, above : ndarray
        Standard deviations of T below and above its middle [d].

    Returns
    -------
    ndarray
        The mean number of days by which T comes before `day`.
    """
    off = day - middle
    with np.errstate(divide="ignore", invalid="ignore"):
        low = np.maximum(np.nan_to_num(np.minimum(off, 0.0) / below), -_FAR)
        high = np.minimum(np.nan_to_num(np.maximum(off, 0.0) / above), _FAR)
    before = below * (low * ndtr(low) + _density(low))
    # the mean distance of what lies above, less what of it lies beyond the day
    beyond = above * (_density(high) - high * ndtr(-high))
    past = off - (above - below) * _density(np.zeros_like(off)) + beyond
    return np.where(off <= 0.0, before, past)


def _density(z: FloatArray) -> FloatArray:
    density: FloatArray = np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi)
    return density


def _loss_of_naming(middle: FloatArray, below: FloatArray, above: FloatArray) -> FloatArray:
    """Return the expected loss of the best day that can be named."""
    best = middle + below * ndtri(1.0 / (1.0 + assumed.LATE_COSTS))
    late = expected_shortfall(best, middle, below, above)
    mean = middle + (above - below) * _density(np.zeros_like(middle))
    return assumed.LATE_COSTS * late + (mean - best + late)
