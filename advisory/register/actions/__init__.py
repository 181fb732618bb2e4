"""Every change of state of the register."""

from advisory.register.actions.builds import (
    change_build,
    discard_build,
    record_measurement,
    sign_build,
    start_build,
)
from advisory.register.actions.cars import add_car, change_car
from advisory.register.actions.designs import change_design, create_design, stands_fast
from advisory.register.actions.fittings import (
    correct_fitting_readings,
    fit_unit,
    remove_unit_from_car,
)
from advisory.register.actions.instructions import (
    StepData,
    remove_instruction,
    set_dismantling,
    set_instruction,
)
from advisory.register.actions.positions import PositionData
from advisory.register.actions.sheets import SheetRefused, fill_sheet
from advisory.register.actions.starting import CarData, start_alone
from advisory.register.actions.units import add_unit, change_unit, hand_over

__all__ = [
    "CarData",
    "PositionData",
    "SheetRefused",
    "StepData",
    "add_car",
    "add_unit",
    "change_build",
    "change_car",
    "change_design",
    "change_unit",
    "correct_fitting_readings",
    "create_design",
    "discard_build",
    "fill_sheet",
    "fit_unit",
    "hand_over",
    "record_measurement",
    "remove_instruction",
    "remove_unit_from_car",
    "set_dismantling",
    "set_instruction",
    "sign_build",
    "stands_fast",
    "start_alone",
    "start_build",
]
