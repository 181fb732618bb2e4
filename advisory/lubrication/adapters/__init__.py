"""The only door from rows to the engineering of oils and intervals, and back."""

from advisory.engineering.oil_change import METHOD, METHOD_VERSION
from advisory.lubrication.adapters.assumed import STAND_INS
from advisory.lubrication.adapters.choice import (
    choice_record,
    choice_result,
    choices_of_records,
    choose,
)
from advisory.lubrication.adapters.choice_case import (
    AskedOtherwise,
    ChoiceCase,
    LeftOut,
    choice_case,
    choice_key,
    choice_oils,
    oils_left_out,
    pipe_sizes,
    pressure_of,
    with_oils,
)
from advisory.lubrication.adapters.interval import (
    IntervalAdvice,
    advise,
    case_of,
    interval_record,
    intervals_of_records,
)
from advisory.lubrication.adapters.method import MethodTable, choice_tables, method_tables
from advisory.lubrication.adapters.oils import (
    CatalogueOil,
    catalogue,
    grades_made,
    grades_of,
    viscosity_index_of,
)

__all__ = [
    "METHOD",
    "METHOD_VERSION",
    "STAND_INS",
    "AskedOtherwise",
    "CatalogueOil",
    "ChoiceCase",
    "IntervalAdvice",
    "LeftOut",
    "MethodTable",
    "advise",
    "case_of",
    "catalogue",
    "choice_case",
    "choice_key",
    "choice_oils",
    "choice_record",
    "choice_result",
    "choice_tables",
    "choices_of_records",
    "choose",
    "grades_made",
    "grades_of",
    "interval_record",
    "intervals_of_records",
    "method_tables",
    "oils_left_out",
    "pipe_sizes",
    "pressure_of",
    "viscosity_index_of",
    "with_oils",
]
