"""One car asked by itself, with what is known of its fleet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.usage_forecast.belief import believe
from advisory.engineering.usage_forecast.dates import days_reached
from advisory.engineering.usage_forecast.fleet import DEFAULT_FLEET, Fleet
from advisory.engineering.usage_forecast.uses import Use, Uses

_ONE = np.zeros(1, dtype=np.int64)


@dataclass(frozen=True)
class AnnualDistance:
    """What is believed of a car's yearly distance.

    Parameters
    ----------
    mean : float
        Its mean [m].
    shape : float
        Shape of its gamma distribution: how much is known.
    """

    mean: float
    shape: float


@dataclass(frozen=True)
class ForecastDays:
    """The days by which a distance is reached with a chance of 10, 50 and 90 %.

    None stands for more than ten years after the last reading.
    """

    p10: int | None
    p50: int | None
    p90: int | None


def annual_distance(use: Use, fleet: Fleet = DEFAULT_FLEET) -> AnnualDistance:
    """Estimate the yearly distance of a car.

    Parameters
    ----------
    use : Use
        What is known of its use.
    fleet : Fleet
        What is known of its like.

    Returns
    -------
    AnnualDistance
        Mean and shape.

    Notes
    -----
    A first reading alone gives the guess, or the fleet's mean.

    Examples
    --------
    >>> from datetime import date
    >>> may = date(2023, 5, 1).toordinal()
    >>> driven = annual_distance(Use((may, may + 365), (0.0, 3_600e3), may + 365))
    >>> 3_000e3 < driven.mean < 3_600e3
    True
    """
    belief = believe(Uses.of([use]), fleet)
    return AnnualDistance(mean=float(belief.annual[0]), shape=float(belief.shape[0]))


def expected_distance(use: Use, day: int, fleet: Fleet = DEFAULT_FLEET) -> float:
    """Estimate the distance of a car by a day after its last reading.

    Parameters
    ----------
    use : Use
        What is known of its use.
    day : int
        The day, not before the last reading.
    fleet : Fleet
        What is known of its like.

    Returns
    -------
    float
        Distance [m], on the count of the readings.

    Raises
    ------
    OutOfRange
        For a day before the last reading.
    """
    if not day >= use.days[-1]:
        raise OutOfRange("day", f"at least {use.days[-1]}", day)
    belief = believe(Uses.of([use]), fleet)
    return use.metres[-1] + float(belief.driven_since(_ONE, np.array([day]))[0])


def day_reached(use: Use, metres: float, fleet: Fleet = DEFAULT_FLEET) -> ForecastDays:
    """Estimate the day on which a car will have covered a distance.

    Parameters
    ----------
    use : Use
        What is known of its use.
    metres : float
        The distance [m], on the count of the readings.
    fleet : Fleet
        What is known of its like.

    Returns
    -------
    ForecastDays
        Never before the last reading, and p10 <= p50 <= p90. The last reading's own day where the
        distance was reached by then.

    Examples
    --------
    >>> from datetime import date
    >>> may = date(2024, 5, 1).toordinal()
    >>> found = day_reached(Use((may,), (0.0,), may, expected_annual=4_000e3), 1_000e3)
    >>> date.fromordinal(found.p50).month in (6, 7, 8)
    True
    """
    require("metres", metres, unit="m")
    (days,) = days_reached(Uses.of([use]), metres, fleet).tolist()
    return ForecastDays(*(None if day != day else int(day) for day in days))
