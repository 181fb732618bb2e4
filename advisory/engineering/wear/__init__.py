"""Wear of a running clearance or an end float, from few measurements of one unit and its like."""

from advisory.engineering.wear.forecast import WearForecast
from advisory.engineering.wear.line import Crossing, OwnLine, own_line
from advisory.engineering.wear.measured import Measured
from advisory.engineering.wear.shrunk import (
    ASSUMPTIONS,
    FARTHEST,
    FEW_UNITS,
    USUAL_UNCERTAINTY,
    wear_of,
)

__all__ = [
    "ASSUMPTIONS",
    "FARTHEST",
    "FEW_UNITS",
    "USUAL_UNCERTAINTY",
    "Crossing",
    "Measured",
    "OwnLine",
    "WearForecast",
    "own_line",
    "wear_of",
]
