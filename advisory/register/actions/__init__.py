"""Every change of state of the register."""

from advisory.register.actions.builds import (
    change_build,
    discard_build,
    record_measurement,
    start_build,
)
from advisory.register.actions.cars import add_car, change_car
from advisory.register.actions.designs import change_design, create_design, stands_fast
from advisory.register.actions.entries import Written, WrittenByOther, write_entry
from advisory.register.actions.fittings import (
    correct_fitting_readings,
    fit_unit,
    move_unit,
    remove_unit_from_car,
)
from advisory.register.actions.hand_overs import (
    NewOwner,
    claim_unit,
    offer_unit,
    take_back_offer,
    take_on_unit,
)
from advisory.register.actions.instructions import (
    StepData,
    remove_instruction,
    set_dismantling,
    set_instruction,
)
from advisory.register.actions.photos import add_photos, remove_photo
from advisory.register.actions.positions import PositionData
from advisory.register.actions.records import import_records, look_through
from advisory.register.actions.sheets import SheetRefused, Typed, fill_sheet
from advisory.register.actions.signing import (
    check_build,
    correct_build,
    second_look_missing,
    set_practice,
    sign_build,
)
from advisory.register.actions.starting import CarData, start_alone
from advisory.register.actions.units import add_unit, change_unit

__all__ = [
    "CarData",
    "NewOwner",
    "PositionData",
    "SheetRefused",
    "StepData",
    "Typed",
    "Written",
    "WrittenByOther",
    "add_car",
    "add_photos",
    "add_unit",
    "change_build",
    "change_car",
    "change_design",
    "change_unit",
    "check_build",
    "claim_unit",
    "correct_build",
    "correct_fitting_readings",
    "create_design",
    "discard_build",
    "fill_sheet",
    "fit_unit",
    "import_records",
    "look_through",
    "move_unit",
    "offer_unit",
    "record_measurement",
    "remove_instruction",
    "remove_photo",
    "remove_unit_from_car",
    "second_look_missing",
    "set_dismantling",
    "set_instruction",
    "set_practice",
    "sign_build",
    "stands_fast",
    "start_alone",
    "start_build",
    "take_back_offer",
    "take_on_unit",
    "write_entry",
]
