"""The calculators of limits and fits; importing them makes them known."""

from advisory.common.calculation import registry
from advisory.register.calculators.press_fit import PRESS_FIT
from advisory.register.calculators.tolerance import TOLERANCE

for _calculator in (TOLERANCE, PRESS_FIT):
    registry.register(_calculator)

__all__ = ["PRESS_FIT", "TOLERANCE"]
