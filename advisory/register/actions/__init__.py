"""Every change of state of the register."""

from advisory.register.actions.builds import (
    change_build,
    discard_build,
    record_measurement,
    sign_build,
    start_build,
)
from advisory.register.actions.cars import add_car, change_car
from advisory.register.actions.designs import PositionData, create_design, set_instruction
from advisory.register.actions.fittings import (
    correct_fitting_readings,
    fit_unit,
    remove_unit_from_car,
)
from advisory.register.actions.units import add_unit, change_unit, hand_over

__all__ = [
    "PositionData",
    "add_car",
    "add_unit",
    "change_build",
    "change_car",
    "change_unit",
    "correct_fitting_readings",
    "create_design",
    "discard_build",
    "fit_unit",
    "hand_over",
    "record_measurement",
    "remove_unit_from_car",
    "set_instruction",
    "sign_build",
    "start_build",
]
