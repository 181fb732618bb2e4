"""The calculators of oil, of what it flows through, and of coolant; importing makes them known."""

from advisory.common.calculation import registry
from advisory.lubrication.calculators.coolant import COOLANT
from advisory.lubrication.calculators.dirt_balance import DIRT_BALANCE
from advisory.lubrication.calculators.feed_pipe import FEED_PIPE
from advisory.lubrication.calculators.journal_bearing import JOURNAL_BEARING
from advisory.lubrication.calculators.oil_change import OIL_CHANGE
from advisory.lubrication.calculators.thrust_washer import THRUST_WASHER
from advisory.lubrication.calculators.viscosity import VISCOSITY

for _calculator in (
    VISCOSITY,
    JOURNAL_BEARING,
    THRUST_WASHER,
    FEED_PIPE,
    COOLANT,
    DIRT_BALANCE,
    OIL_CHANGE,
):
    registry.register(_calculator)

__all__ = [
    "COOLANT",
    "DIRT_BALANCE",
    "FEED_PIPE",
    "JOURNAL_BEARING",
    "OIL_CHANGE",
    "THRUST_WASHER",
    "VISCOSITY",
]
