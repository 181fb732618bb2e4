"""The calculators of oil; importing them makes them known."""

from advisory.common.calculation import registry
from advisory.lubrication.calculators.dirt_balance import DIRT_BALANCE
from advisory.lubrication.calculators.oil_change import OIL_CHANGE
from advisory.lubrication.calculators.viscosity import VISCOSITY

for _calculator in (VISCOSITY, DIRT_BALANCE, OIL_CHANGE):
    registry.register(_calculator)

__all__ = ["DIRT_BALANCE", "OIL_CHANGE", "VISCOSITY"]
