"""What is taken where nobody knows: the careful side, in one table, with where it comes from.

The figures of the computation itself stand in `engineering.oil_change.assumptions`; these are the
ones that stand in for what a person has not told.
"""

from advisory.engineering.assumption import PRACTICE, SET_BY_US, Assumption, by_name
from advisory.engineering.oil_change import assumed
from advisory.register.enums import UnitKind

_LITRE = 1e-3
_KM_PER_HOUR = 1.0 / 3.6

STAND_INS = (
    Assumption(
        "mean_speed_not_known", 45, "km/h", SET_BY_US,
        "Mean speed of a car, which turns distance into running time. Slow, so that a distance "
        "counts as many hours.",
        _KM_PER_HOUR,
    ),
    Assumption(
        "sump_temperature_not_known", 90, "degC", SET_BY_US,
        "Temperature of the oil on a warm run. Warm, so that it ages sooner.",
    ),
    Assumption(
        "gearbox_temperature_not_known", 70, "degC", SET_BY_US,
        "The same for a gearbox or a final drive, which no fire heats.",
    ),
    Assumption(
        "engine_sump_not_known", 3.5, "litre", PRACTICE,
        "Oil in an engine of which nobody has told it. Small, so that dirt gathers sooner.",
        _LITRE,
    ),
    Assumption(
        "supercharger_sump_not_known", 0.5, "litre", PRACTICE, "The same for a supercharger.",
        _LITRE,
    ),
    Assumption(
        "gearbox_sump_not_known", 1, "litre", PRACTICE, "The same for a gearbox.", _LITRE,
    ),
    Assumption(
        "final_drive_sump_not_known", 1, "litre", PRACTICE, "The same for a final drive.", _LITRE,
    ),
    Assumption(
        "water_pump_sump_not_known", 0.05, "litre", PRACTICE, "The same for a water pump.",
        _LITRE,
    ),
    Assumption(
        "oil_pump_sump_not_known", 2, "litre", PRACTICE,
        "The same for an oil pump, which shares the oil of what it feeds.", _LITRE,
    ),
    Assumption(
        "magneto_drive_sump_not_known", 0.05, "litre", PRACTICE, "The same for a magneto drive.",
        _LITRE,
    ),
)  # fmt: skip

_taken = by_name(STAND_INS)

MEAN_SPEED = _taken("mean_speed_not_known")
SUMP_TEMPERATURE_C = _taken("sump_temperature_not_known")
GEARBOX_TEMPERATURE_C = _taken("gearbox_temperature_not_known")
SUMP_OF = {kind: _taken(f"{kind.value}_sump_not_known") for kind in UnitKind}

# At how many metres since a rebuild a fill goes in that is the first, the second, the third: where
# distance can't tell how far running-in has come, the number of changes does.
RUNNING_IN_MARKS = (0.0, assumed("running_in_first"), assumed("running_in_second"))
