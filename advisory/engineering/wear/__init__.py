"""Wear of a running clearance or an end float, from few measurements of one unit and its like."""

from advisory.engineering.wear.contradiction import ALLOWED, Contradiction, contradiction_in
from advisory.engineering.wear.forecast import WearForecast
from advisory.engineering.wear.line import Crossing, OwnLine, own_line
from advisory.engineering.wear.measured import Measured
from advisory.engineering.wear.shrunk import (
    ASSUMPTIONS,
    FARTHEST,
    FEW_UNITS,
    USUAL_UNCERTAINTY,
    next_measuring,
    wear_of,
)

__all__ = [
    "ALLOWED",
    "ASSUMPTIONS",
    "FARTHEST",
    "FEW_UNITS",
    "USUAL_UNCERTAINTY",
    "Contradiction",
    "Crossing",
    "Measured",
    "OwnLine",
    "WearForecast",
    "contradiction_in",
    "next_measuring",
    "own_line",
    "wear_of",
]
