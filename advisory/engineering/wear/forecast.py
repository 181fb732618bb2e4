"""What is believed of a unit's wear: its rate, where it stands, when it meets its limit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.wear.contradiction import Contradiction

QUANTILES = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class WearForecast:
    """Many straight lines that the measurements allow, each with its weight.

    Parameters
    ----------
    weight : ndarray, shape (n,)
        Weight of each; they add up to one.
    rate : ndarray, shape (n,)
        Wear by distance [m/m].
    level, spread : ndarray, shape (n,)
        Where it stands at `last`, and the standard deviation of that [m].
    last : float
        Distance at the last measurement [m].
    limit : float
        The limit [m].
    farthest : float
        Farther than this from the last measurement no distance is named [m].
    alike : int
        Other units of the design that tell a rate.
    left_out : int
        Other units whose measurements contradict one another, and so tell nothing.
    contradiction : Contradiction or None
        What contradicts itself in the unit's own measurements: then no distance is told.
    """

    weight: FloatArray
    rate: FloatArray
    level: FloatArray
    spread: FloatArray
    last: float
    limit: float
    farthest: float
    alike: int
    left_out: int = 0
    contradiction: Contradiction | None = None

    @property
    def median_rate(self) -> float:
        """Median of the rate [m/m]."""
        return self._rate_at(0.5)

    @property
    def rate_interval(self) -> tuple[float, float]:
        """Ends of the 80 % interval of the rate [m/m]."""
        return self._rate_at(QUANTILES[0]), self._rate_at(QUANTILES[2])

    def _rate_at(self, quantile: float) -> float:
        order = np.argsort(self.rate)
        rates, index = np.unique(self.rate[order], return_index=True)
        upto = np.add.accumulate(np.add.reduceat(self.weight[order], index))
        # half of a rate's own weight lies below it
        middle = upto - np.diff(upto, prepend=0.0) / 2
        return float(np.exp(np.interp(quantile, middle, np.log(rates))))

    def chance_passed(self, ahead: Floats) -> FloatArray:
        """Return the chance that the limit is passed, so far ahead of the last measurement.

        Parameters
        ----------
        ahead : float or array_like
            Distance from the last measurement [m].

        Returns
        -------
        ndarray
            Between 0 and 1, of the shape given.
        """
        from scipy.special import ndtr  # here, so that importing the package stays quick

        far = np.asarray(require("ahead", ahead, unit="m"))
        over = self.level + self.rate * far[..., None] - self.limit
        chance: FloatArray = ndtr(over / self.spread) @ self.weight
        return chance

    def distance_at(self, chance: float) -> float | None:
        """Return the distance ahead at which the chance of having passed the limit reaches this.

        Parameters
        ----------
        chance : float
            Between 0 and 1.

        Returns
        -------
        float or None
            From the last measurement [m]; 0 where it is reached there already, None beyond
            `farthest`, and where the measurements contradict one another.
        """
        require("chance", chance, above=0.0, below=1.0)
        if self.contradiction is not None:
            return None
        if self.chance_passed(0.0) >= chance:
            return 0.0
        if self.chance_passed(self.farthest) < chance:
            return None
        high = self.farthest
        while self.chance_passed(nearer := high / 8) >= chance:
            high = nearer
        from scipy.optimize import brentq  # here, so that importing the package stays quick

        # to the metre: nobody inspects to the yard
        return float(
            brentq(lambda far: float(self.chance_passed(far)) - chance, 0.0, high, xtol=0.5)
        )

    def levels(self, ahead: Floats) -> FloatArray:
        """Return between which values the clearance lies so far ahead of the last measurement.

        Parameters
        ----------
        ahead : array_like, shape (m,)
            Distances from the last measurement, behind it negative [m].

        Returns
        -------
        ndarray, shape (m, 3)
            P10, P50 and P90 [m].
        """
        far = np.atleast_1d(require("ahead", ahead, unit="m"))
        middle = self.level + self.rate * far[:, None]
        low = np.repeat((middle - 6 * self.spread).min(axis=1)[:, None], len(QUANTILES), axis=1)
        high = np.repeat((middle + 6 * self.spread).max(axis=1)[:, None], len(QUANTILES), axis=1)
        from scipy.special import ndtr  # here, so that importing the package stays quick

        for _ in range(30):
            half = (low + high) / 2
            below = ndtr((half[:, :, None] - middle[:, None, :]) / self.spread) @ self.weight
            under = below < np.asarray(QUANTILES)
            low, high = np.where(under, half, low), np.where(under, high, half)
        return high

    def next_inspection(
        self,
        worst_chance: float = 0.05,
        at_least: float | None = None,
        at_most: float | None = None,
    ) -> float | None:
        """Return how far it may run before it is looked at again.

        Parameters
        ----------
        worst_chance : float
            Chance of passing the limit before that.
        at_least, at_most : float, optional
            The workshop's bounds [m].

        Returns
        -------
        float or None
            From the last measurement [m]. 0 where it is more likely than not past its limit, or
            where the measurements contradict one another, whatever the bounds; None where nothing
            bounds it.
        """
        if self.contradiction is not None or self.chance_passed(0.0) >= 0.5:
            return 0.0
        far = self.distance_at(worst_chance)
        if at_least is not None and far is not None:
            far = max(far, at_least)
        if at_most is not None:
            far = at_most if far is None else min(far, at_most)
        return far
