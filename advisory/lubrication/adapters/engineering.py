"""What of the engineering the words, charts and pages of an oil choice speak of."""

from advisory.engineering.errors import OutOfRange
from advisory.engineering.handbook_grades import HandbookGrade, handbook_grade
from advisory.engineering.metals import PRESSURE_VELOCITY_SOURCE
from advisory.engineering.oil_choice import (
    METHOD,
    METHOD_VERSION,
    STATES,
    ChoiceBearing,
    ChoiceOil,
    ChoicePipe,
    FilmVerdict,
    OilChoice,
    OilChoiceCase,
    PipeSupply,
    State,
    assumed,
    films,
    not_in_doubt,
    pipe_supply,
    share_left,
)
from advisory.engineering.viscosity import CLOUD_CAUTION_C, TEMPERATURE_RANGE_C

__all__ = [
    "CLOUD_CAUTION_C",
    "METHOD",
    "METHOD_VERSION",
    "PRESSURE_VELOCITY_SOURCE",
    "STATES",
    "TEMPERATURE_RANGE_C",
    "ChoiceBearing",
    "ChoiceOil",
    "ChoicePipe",
    "FilmVerdict",
    "HandbookGrade",
    "OilChoice",
    "OilChoiceCase",
    "OutOfRange",
    "PipeSupply",
    "State",
    "assumed",
    "films",
    "handbook_grade",
    "not_in_doubt",
    "pipe_supply",
    "share_left",
]
