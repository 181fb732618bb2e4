"""Viscosity and density of a mineral oil with temperature, and its viscosity index.

Temperatures of oil are in degC, and every such argument says so in its name.
"""

from advisory.engineering.viscosity.index import reference_viscosities, viscosity_index
from advisory.engineering.viscosity.oil import (
    DENSITY_RANGE,
    TYPICAL_DENSITY,
    VISCOSITY_RANGE,
    ColdData,
    Oil,
)
from advisory.engineering.viscosity.temperature import (
    CLOUD_CAUTION_C,
    TEMPERATURE_RANGE_C,
    ViscosityLine,
    density,
    dynamic_viscosity,
    kinematic_viscosity,
    viscosity_line,
    viscosity_on_line,
)

__all__ = [
    "CLOUD_CAUTION_C",
    "DENSITY_RANGE",
    "TEMPERATURE_RANGE_C",
    "TYPICAL_DENSITY",
    "VISCOSITY_RANGE",
    "ColdData",
    "Oil",
    "ViscosityLine",
    "density",
    "dynamic_viscosity",
    "kinematic_viscosity",
    "reference_viscosities",
    "viscosity_index",
    "viscosity_line",
    "viscosity_on_line",
]
