"""An oil, as its data sheet describes it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import Floats, require
from advisory.engineering.errors import OutOfRange

#: Viscosities [m2/s] for which ASTM D341 gives its relation (D341-09: 0.21 to 2e7 mm2/s, from
#: memory).
VISCOSITY_RANGE = (0.21e-6, 20.0)

#: Range of the density at 15 degC [kg/m3] for lubricating oils in API MPMS 11.1 (800.9 to 1163.5
#: at 60 degF, read in a reproduction).
DENSITY_RANGE = (800.9, 1163.5)

#: Density of an unknown mineral oil at 15 degC [kg/m3] (common practice, no source).
TYPICAL_DENSITY = 880.0


@dataclass(frozen=True, kw_only=True)
class ColdData:
    """Cold tests of an engine oil, as its data sheet states them for one W grade.

    Parameters
    ----------
    cranking_viscosity, pumping_viscosity : float
        Apparent viscosity in the cranking and in the pumping test [Pa s].
    cranking_temperature_c, pumping_temperature_c : float
        Temperature of each test [degC].
    """

    cranking_viscosity: float
    cranking_temperature_c: float
    pumping_viscosity: float
    pumping_temperature_c: float


@dataclass(frozen=True, kw_only=True)
class Oil:
    """An oil, by what its data sheet states.

    Parameters
    ----------
    kinematic_viscosity_40, kinematic_viscosity_100 : float or ndarray
        Kinematic viscosity at 40 and at 100 degC [m2/s]. Arrays describe many oils at once.
    density_15 : float or ndarray
        Density at 15 degC [kg/m3].
    high_shear_viscosity : float, optional
        Viscosity at 150 degC and high shear [Pa s], where the data sheet states it.
    cold : ColdData, optional
        Cold cranking and pumping tests, where the data sheet states them.

    Raises
    ------
    OutOfRange
        If a figure is not positive, the oil would thicken with heat, or the density is not one of
        a lubricating oil.

    Examples
    --------
    >>> Oil(kinematic_viscosity_40=100e-6, kinematic_viscosity_100=11.2e-6, density_15=886.0)
    Oil(kinematic_viscosity_40=0.0001, kinematic_viscosity_100=1.12e-05, density_15=886.0, \
high_shear_viscosity=None, cold=None)
    """

    kinematic_viscosity_40: Floats
    kinematic_viscosity_100: Floats
    density_15: Floats = TYPICAL_DENSITY
    high_shear_viscosity: float | None = None
    cold: ColdData | None = None

    def __post_init__(self) -> None:
        low, high = VISCOSITY_RANGE
        cold = require(
            "kinematic_viscosity_40",
            self.kinematic_viscosity_40,
            at_least=low,
            at_most=high,
            unit="m2/s",
        )
        hot = require(
            "kinematic_viscosity_100",
            self.kinematic_viscosity_100,
            at_least=low,
            at_most=high,
            unit="m2/s",
        )
        if not np.all(hot < cold):
            worst = np.broadcast_to(hot, np.broadcast_shapes(hot.shape, cold.shape))[hot >= cold]
            raise OutOfRange(
                "kinematic_viscosity_100",
                "below kinematic_viscosity_40",
                float(worst[0]),
                "kinematic_viscosity_100 must be below kinematic_viscosity_40: "
                "an oil thins as it warms. Were the two exchanged?",
            )
        low, high = DENSITY_RANGE
        require("density_15", self.density_15, at_least=low, at_most=high, unit="kg/m3")
