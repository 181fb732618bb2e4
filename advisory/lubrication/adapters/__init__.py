"""The only door from rows to the engineering of oils and intervals, and back."""

from advisory.engineering.oil_change import METHOD, METHOD_VERSION
from advisory.lubrication.adapters.assumed import STAND_INS
from advisory.lubrication.adapters.interval import IntervalAdvice, advise, case_of
from advisory.lubrication.adapters.method import MethodTable, method_tables
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
    "CatalogueOil",
    "IntervalAdvice",
    "MethodTable",
    "advise",
    "case_of",
    "catalogue",
    "grades_made",
    "grades_of",
    "method_tables",
    "viscosity_index_of",
]
