"""What an oil choice finds: a verdict on each film, and the oils with which both ends hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray
from advisory.engineering.limit_check import LimitCheck
from advisory.engineering.oil_choice.case import OilChoiceCase, State
from advisory.engineering.oil_choice.cold import ColdArrival


class FilmVerdict(IntEnum):
    """What a film is worth, the worst first."""

    METAL_CONTACT = 0
    """No film that is computed carries the load."""
    TEMPERATURE_RUNAWAY = 1
    """The film would heat itself beyond where the oil is known."""
    BOUNDARY = 2
    """The film is thinner than the surfaces are rough."""
    THIN = 3
    """The film is below three times the roughness, or below the least film allowed."""
    HOT = 4
    """The film is thick enough, and hotter than it may be."""
    HOLDS = 5
    """The film keeps its limits, or is so lightly loaded that it is not in doubt."""

    @property
    def code(self) -> str:
        """The verdict as a word for programs."""
        return self.name.lower()

    @property
    def no_film(self) -> bool:
        """Whether there is no film to run on."""
        return self <= FilmVerdict.BOUNDARY


@dataclass(frozen=True)
class WasherDuty:
    """What one thrust washer is asked for, whatever the oil.

    Parameters
    ----------
    key : str
        Of the case's washer.
    pressure, sliding_speed, pressure_velocity : float
        At one face [Pa], [m/s], [Pa m/s].
    checks : tuple of LimitCheck
        Against what is allowed.
    """

    key: str
    pressure: float
    sliding_speed: float
    pressure_velocity: float
    checks: tuple[LimitCheck, ...]


@dataclass(frozen=True)
class OilChoice:
    """The oils of a case, judged; arrays by clearance and oil unless said otherwise.

    Parameters
    ----------
    case : OilChoiceCase
    states : sequence of str
        The clearances, those of the first dimension.
    verdict : ndarray of int
        A `FilmVerdict` each, of the bearing that fares worst, on a hard run on a hot day.
    worst : ndarray of int
        Which bearing of the case that is.
    film, film_ratio, allowable_film : ndarray
        Its least film, that over its roughness, and the least that is allowed; NaN where no film
        is computed [m], [-], [m].
    film_temperature_c : ndarray
        Of the bearing whose film is hottest; NaN where one is not computed [degC].
    power : ndarray
        Lost in all bearings together on a usual warm run; NaN where one is not computed [W].
    cold : ColdArrival
        By oil.
    washers : sequence of WasherDuty
        Whatever the oil.
    """

    case: OilChoiceCase
    states: Sequence[State]
    verdict: NDArray[np.int8]
    worst: NDArray[np.intp]
    film: FloatArray
    film_ratio: FloatArray
    allowable_film: FloatArray
    film_temperature_c: FloatArray
    power: FloatArray
    cold: ColdArrival
    washers: Sequence[WasherDuty]

    @property
    def holds_hot(self) -> NDArray[np.bool_]:
        """Where every film keeps its limits."""
        return np.asarray(self.verdict == FilmVerdict.HOLDS)

    @property
    def window(self) -> NDArray[np.bool_]:
        """Where both ends hold: film enough hot, and the oil arrives cold."""
        return np.asarray(self.holds_hot & self.cold.arrives)

    @property
    def best(self) -> NDArray[np.intp]:
        """For each clearance the verdict of the oil that does best, hot."""
        if not self.verdict.size:
            return np.zeros(len(self.states), dtype=np.intp)
        return np.asarray(self.verdict.max(axis=1), dtype=np.intp)
