"""The unit's own line: least squares through its measurements, and where it meets a limit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import Floats, require
from advisory.engineering.errors import OutOfRange


@dataclass(frozen=True)
class Crossing:
    """Where a line meets a limit.

    Parameters
    ----------
    at : float or None
        The distance; None where the line doesn't rise.
    lower, upper : float or None
        Ends of its interval; None where there is no finite one.
    """

    at: float | None
    lower: float | None
    upper: float | None


@dataclass(frozen=True)
class OwnLine:
    """A straight line through measurements.

    Parameters
    ----------
    intercept, slope : float
        Its coefficients.
    scatter : float
        Standard deviation of what is left over; nan with two points.
    n : int
        Number of points.
    mean_x, mean_y, sum_of_squares : float
        Of the distances and the values; the sum of squares is of distances from their mean.
    """

    intercept: float
    slope: float
    scatter: float
    n: int
    mean_x: float
    mean_y: float
    sum_of_squares: float

    def meets(self, limit: float, level: float = 0.8) -> Crossing:
        """Say where it meets a limit, with the interval of a given level.

        Parameters
        ----------
        limit : float
            The limit, in the unit of the values.
        level : float
            Level of the interval, between 0 and 1.

        Returns
        -------
        Crossing
            On the scale of the distances.

        References
        ----------
        E. C. Fieller, J. R. Stat. Soc. B 16 (1954) 175-185 (from memory).

        Examples
        --------
        >>> line = own_line([0, 8000, 15500, 24000, 31000], [0.045, 0.056, 0.062, 0.075, 0.081])
        >>> met = line.meets(0.100)
        >>> round(met.at), round(met.lower), round(met.upper)
        (46666, 44063, 49726)
        """
        require("level", level, above=0.0, below=1.0)
        if not self.slope > 0:
            return Crossing(None, None, None)
        rise = float(require("limit", limit)) - self.mean_y
        at = self.mean_x + rise / self.slope
        if self.n < 3:
            return Crossing(at, None, None)
        from scipy.special import stdtrit  # here, so that importing the package stays quick

        t = float(stdtrit(self.n - 2, 0.5 + level / 2))
        relative = t * self.scatter / self.slope
        g = relative**2 / self.sum_of_squares
        if g >= 1:
            return Crossing(at, None, None)
        middle = rise / self.slope
        half = relative * np.sqrt((1 - g) / self.n + middle**2 / self.sum_of_squares)
        return Crossing(
            at,
            self.mean_x + float(middle - half) / (1 - g),
            self.mean_x + float(middle + half) / (1 - g),
        )


def own_line(distance: Floats, value: Floats) -> OwnLine:
    """Lay a line through measurements, all of the same weight.

    Parameters
    ----------
    distance : array_like, shape (n,)
        Where each was taken.
    value : array_like, shape (n,)
        What was measured.

    Returns
    -------
    OwnLine
        In the units given.

    Raises
    ------
    OutOfRange
        Unless there are values at two distances at least.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 4.1.4.1, and the StRD data set Norris.

    Examples
    --------
    >>> round(own_line([0.0, 10.0], [1.0, 3.0]).slope, 12)
    0.2
    """
    x = np.atleast_1d(require("distance", distance))
    y = np.atleast_1d(require("value", value))
    if len(x) != len(y) or len(x) < 2 or not np.ptp(x) > 0:
        raise OutOfRange("distance", "two different ones at least, one for each value", len(x))
    mean_x, mean_y = float(x.mean()), float(y.mean())
    # centred, as the raw normal equations lose half of the digits
    (slope,), *_rest = np.linalg.lstsq((x - mean_x)[:, None], y - mean_y, rcond=None)
    left = y - mean_y - slope * (x - mean_x)
    scatter = float(np.sqrt(left @ left / (len(x) - 2))) if len(x) > 2 else float("nan")
    return OwnLine(
        intercept=mean_y - float(slope) * mean_x,
        slope=float(slope),
        scatter=scatter,
        n=len(x),
        mean_x=mean_x,
        mean_y=mean_y,
        sum_of_squares=float((x - mean_x) @ (x - mean_x)),
    )
