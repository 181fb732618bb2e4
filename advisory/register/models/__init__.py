"""Cars, designs, units, builds. All sizes are in metres, distances in metres, dates local."""

from advisory.register.models.builds import Build, BuildMeasurement
from advisory.register.models.cars import Car, Odometer
from advisory.register.models.designs import Design, MaintenanceInstruction, Position
from advisory.register.models.units import Fitting, Unit

__all__ = [
    "Build",
    "BuildMeasurement",
    "Car",
    "Design",
    "Fitting",
    "MaintenanceInstruction",
    "Odometer",
    "Position",
    "Unit",
]
