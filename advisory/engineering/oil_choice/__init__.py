"""The oil choice of a unit: which oils hold hot and arrive cold, as built, as worn, at the limit.

Thicker oil thickens the film when hot, and comes later when cold. Between them lies the window.
"""

from advisory.engineering.oil_choice.assumptions import ALLOWABLE_FILM, ASSUMPTIONS, assumed
from advisory.engineering.oil_choice.case import (
    STATES,
    ChoiceBearing,
    ChoiceOil,
    ChoicePipe,
    ChoiceWasher,
    OilChoiceCase,
    State,
    case_from_record,
)
from advisory.engineering.oil_choice.choice import METHOD, METHOD_VERSION, oil_choice
from advisory.engineering.oil_choice.cold import ColdArrival
from advisory.engineering.oil_choice.films import Films, computable, films
from advisory.engineering.oil_choice.result import FilmVerdict, OilChoice, WasherDuty
from advisory.engineering.oil_choice.supply import (
    PipeSupply,
    not_in_doubt,
    pipe_supply,
    share_left,
)

__all__ = [
    "ALLOWABLE_FILM",
    "ASSUMPTIONS",
    "METHOD",
    "METHOD_VERSION",
    "STATES",
    "ChoiceBearing",
    "ChoiceOil",
    "ChoicePipe",
    "ChoiceWasher",
    "ColdArrival",
    "FilmVerdict",
    "Films",
    "OilChoice",
    "OilChoiceCase",
    "PipeSupply",
    "State",
    "WasherDuty",
    "assumed",
    "case_from_record",
    "computable",
    "films",
    "not_in_doubt",
    "oil_choice",
    "pipe_supply",
    "share_left",
]
