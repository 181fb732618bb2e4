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
from advisory.register.actions.sheets import SheetRefused, fill_sheet
from advisory.register.actions.starting import CarData, start_alone
from advisory.register.actions.units import add_unit, change_unit, hand_over

__all__ = [
    "CarData",
    "PositionData",
    "SheetRefused",
    "add_car",
    "add_unit",
    "change_build",
    "change_car",
    "change_unit",
    "correct_fitting_readings",
    "create_design",
    "discard_build",
    "fill_sheet",
    "fit_unit",
    "hand_over",
    "record_measurement",
    "remove_unit_from_car",
    "set_instruction",
    "sign_build",
    "start_alone",
    "start_build",
]
