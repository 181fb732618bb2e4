"""Cars, designs, units, builds. All sizes are in metres, distances in metres, dates local."""

from advisory.register.models.builds import (
    Build,
    BuildMeasurement,
    BuildPhoto,
    SheetEntry,
    WorkshopPractice,
)
from advisory.register.models.cars import Car, Odometer
from advisory.register.models.designs import (
    Design,
    DismantlingStep,
    MaintenanceInstruction,
    Position,
)
from advisory.register.models.hand_overs import HandOver
from advisory.register.models.units import Fitting, Unit

__all__ = [
    "Build",
    "BuildMeasurement",
    "BuildPhoto",
    "Car",
    "Design",
    "DismantlingStep",
    "Fitting",
    "HandOver",
    "MaintenanceInstruction",
    "Odometer",
    "Position",
    "SheetEntry",
    "Unit",
    "WorkshopPractice",
]
