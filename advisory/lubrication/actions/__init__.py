"""Every change of oils, arrangements and services."""

from advisory.lubrication.actions.arrangement import set_oil_arrangement
from advisory.lubrication.actions.lubricant import add_lubricant, sync_catalogue
from advisory.lubrication.actions.reading import record_unit_reading
from advisory.lubrication.actions.service import record_oil_service, strike_oil_service

__all__ = [
    "add_lubricant",
    "record_oil_service",
    "record_unit_reading",
    "set_oil_arrangement",
    "strike_oil_service",
    "sync_catalogue",
]
