"""What is known of a fleet: the kinds of its cars, their season, their yearly distance, spread."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from advisory.engineering.errors import OutOfRange
from advisory.engineering.usage_forecast import assumptions as assumed
from advisory.engineering.usage_forecast.season import MonthShares


@dataclass(frozen=True)
class Fleet:
    """What is believed of a car before its own readings are looked at.

    Parameters
    ----------
    seasons : tuple of tuple of 12 floats
        Share of a year's distance by month, January first, of each kind of car.
    shares : tuple of float
        Share of the cars of each kind.
    annual_mean : float
        Mean of the yearly distance [m].
    annual_shape : float
        Shape of its gamma distribution.
    clustering : float
        Variance of the distance in a spell over its mean [m].
    cars : int
        How many cars with two readings at least it was learnt from.
    learnt : float
        How much of the season was learnt, 0 to 1; the rest is the stated default.

    Raises
    ------
    OutOfRange
        For shares that don't add up to one, or figures not above nought.
    """

    seasons: tuple[MonthShares, ...] = (assumed.LAID_UP_SHARES, assumed.ALL_YEAR_SHARES)
    shares: tuple[float, ...] = assumed.KINDS
    annual_mean: float = assumed.DEFAULT_ANNUAL_DISTANCE
    annual_shape: float = assumed.DEFAULT_SHAPE
    clustering: float = assumed.DEFAULT_CLUSTERING
    cars: int = 0
    learnt: float = 0.0

    def __post_init__(self) -> None:
        for name, figures in (("shares", self.shares), *(("seasons", s) for s in self.seasons)):
            if not (abs(sum(figures) - 1.0) < 1e-6 and min(figures) >= 0.0):
                raise OutOfRange(name, "shares that add up to 1", figures)
        if len(self.shares) != len(self.seasons) or {len(s) for s in self.seasons} != {12}:
            raise OutOfRange("seasons", "twelve months for each kind", self.seasons)
        for name in ("annual_mean", "annual_shape", "clustering"):
            if not 0.0 < getattr(self, name) < float("inf"):
                raise OutOfRange(name, "above 0", getattr(self, name))

    @property
    def month_factors(self) -> tuple[float, ...]:
        """Use in each month over that of a mean month, all kinds together, January first."""
        mean = np.asarray(self.shares) @ np.asarray(self.seasons)
        return tuple((12.0 * mean).tolist())

    def as_dict(self) -> dict[str, Any]:
        """Write it so that JSON can carry it."""
        return asdict(self)

    @classmethod
    def from_dict(cls, written: Mapping[str, Any]) -> Fleet:
        """Read what `as_dict` wrote."""
        return cls(
            **{
                **written,
                "seasons": tuple(tuple(season) for season in written["seasons"]),
                "shares": tuple(written["shares"]),
            }
        )


DEFAULT_FLEET = Fleet()
