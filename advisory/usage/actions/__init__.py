"""Every change of state of a car's use."""

from advisory.usage.actions.fleets import learn_from_all_cars
from advisory.usage.actions.hours import record_hours, strike_hours
from advisory.usage.actions.lay_ups import cancel_lay_up, lay_up_car, return_car_to_use
from advisory.usage.actions.logbooks import import_logbook, keep_upload
from advisory.usage.actions.odometers import change_odometer, replace_odometer
from advisory.usage.actions.readings import correct_reading, delete_reading, record_reading

__all__ = [
    "cancel_lay_up",
    "change_odometer",
    "correct_reading",
    "delete_reading",
    "import_logbook",
    "keep_upload",
    "lay_up_car",
    "learn_from_all_cars",
    "record_hours",
    "record_reading",
    "replace_odometer",
    "return_car_to_use",
    "strike_hours",
]
