"""The oil-change interval: dirt, ageing, calendar, running-in, and the workshop above all."""

from advisory.engineering.oil_change.ageing import ageing_life
from advisory.engineering.oil_change.assumptions import ASSUMPTIONS, assumed
from advisory.engineering.oil_change.case import (
    FILTRATIONS,
    ROADS,
    SERVICE_CLASSES,
    Filtration,
    OilChangeCase,
    Roads,
    ServiceClass,
)
from advisory.engineering.oil_change.interval import (
    METHOD,
    METHOD_VERSION,
    oil_change_interval,
    oil_change_intervals,
)
from advisory.engineering.oil_change.reasons import reasons_for
from advisory.engineering.oil_change.result import (
    Alternative,
    Limit,
    LimitName,
    OilChangeInterval,
    Reason,
)

__all__ = [
    "ASSUMPTIONS",
    "FILTRATIONS",
    "METHOD",
    "METHOD_VERSION",
    "ROADS",
    "SERVICE_CLASSES",
    "Alternative",
    "Filtration",
    "Limit",
    "LimitName",
    "OilChangeCase",
    "OilChangeInterval",
    "Reason",
    "Roads",
    "ServiceClass",
    "ageing_life",
    "assumed",
    "oil_change_interval",
    "oil_change_intervals",
    "reasons_for",
]
