"""The calculator of lifetimes; importing it makes it known."""

from advisory.common.calculation import registry
from advisory.reports.calculators.survival import SURVIVAL

registry.register(SURVIVAL)

__all__ = ["SURVIVAL"]
