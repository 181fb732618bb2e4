"""The oil in a film, as a search over many bearings asks for it: viscosity and heat capacity."""

from __future__ import annotations

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.viscosity import (
    DENSITY_RANGE,
    TEMPERATURE_RANGE_C,
    Oil,
    ViscosityLine,
    density,
    viscosity_line,
    viscosity_on_line,
)

_WATER_DENSITY = 999.1  # kg/m3 at 15 degC
_THIN = 2.0  # mm2/s: below it ASTM D341 needs its long form
_LOG_10 = float(np.log(10.0))


def specific_heat(temperature_c: Floats, density_15: Floats) -> FloatArray:
    """Specific heat of a petroleum oil.

    Parameters
    ----------
    temperature_c : float or ndarray
        -40 to 150 [degC].
    density_15 : float or ndarray
        Density at 15 degC [kg/m3].

    Returns
    -------
    ndarray
        [J/kg/K].

    Raises
    ------
    OutOfRange
        For a temperature or a density beyond the limits of `advisory.engineering.viscosity`.

    References
    ----------
    C. S. Cragoe, Thermal Properties of Petroleum Products, NBS Miscellaneous Publication 97
    (1929), p. 28: c = (0.388 + 0.00045 t)/sqrt(d) Btu/lb/degF, t in degF, which is
    (0.403 + 0.00081 t)/sqrt(d) cal/g/K in degC (read as engineers quote it; 2 to 4 %, to 200 degC).

    Examples
    --------
    >>> float(specific_heat(60.0, 880.0).round())
    2015.0
    """
    low, high = TEMPERATURE_RANGE_C
    t = require("temperature_c", temperature_c, at_least=low, at_most=high, unit="degC")
    low, high = DENSITY_RANGE
    rho = require("density_15", density_15, at_least=low, at_most=high, unit="kg/m3")
    return _specific_heat(t, rho)


def _specific_heat(temperature_c: FloatArray, density_15: FloatArray) -> FloatArray:
    return np.asarray(
        4186.8 * (0.403 + 0.00081 * temperature_c) / np.sqrt(density_15 / _WATER_DENSITY)
    )


class FilmOil:
    """The oil of each bearing, one dimension, as the search asks for it.

    The search asks some fifteen times a bearing, so what can be had without a logarithm or an
    exponential is: ln of the density is a parabola in temperature (API MPMS 11.1), which three
    values give exactly, and the heat capacity of a volume is one to 1e-5 of itself.
    """

    def __init__(
        self,
        line: ViscosityLine,
        density_15: FloatArray,
        viscosity_factor: FloatArray,
        heat_capacity: FloatArray | None,
    ) -> None:
        self.slope = line.b
        self.origin = line.a * _LOG_10
        self.line = line
        temperatures = np.array([0.0, 75.0, 150.0])
        oil = Oil(
            kinematic_viscosity_40=1e-4,  # only the density counts here
            kinematic_viscosity_100=1e-5,
            density_15=density_15[:, None],
        )
        rho = density(oil, temperatures)
        self.log_density = _parabola(np.log(rho * 1e-6 * viscosity_factor[:, None]))
        if heat_capacity is None:
            self.capacity = _parabola(rho * _specific_heat(temperatures, density_15[:, None]))
        else:
            self.capacity = _parabola(np.repeat(heat_capacity[:, None], 3, axis=1))

    def part(self, part: slice) -> FilmOil:
        """Keep some of the bearings."""
        kept = object.__new__(FilmOil)
        kept.slope, kept.origin = self.slope[part], self.origin[part]
        kept.line = ViscosityLine(self.line.a[part], self.line.b[part])
        kept.log_density = self.log_density[:, part]
        kept.capacity = self.capacity[:, part]
        return kept

    def log_viscosity(self, temperature_c: FloatArray) -> FloatArray:
        """Compute ln of the dynamic viscosity [Pa s]; beyond the oil's range, that of its end."""
        t = np.clip(temperature_c, *TEMPERATURE_RANGE_C)
        # The short form of ASTM D341; the few points of thinnest oil are done over in the long one.
        power = self.origin - self.slope * np.log(t + 273.15)
        viscosity = np.exp(_LOG_10 * np.exp(np.minimum(power, 2.0))) - 0.7
        thin = viscosity < _THIN
        if thin.any():
            line = ViscosityLine(self.line.a[thin], self.line.b[thin])
            viscosity[thin] = viscosity_on_line(line, t[thin]) * 1e6
        return np.log(viscosity) + _at(self.log_density, t)

    def rise(self, heat: FloatArray, supply_c: FloatArray) -> FloatArray:
        """Temperature rise from supply to outlet for a heat of each volume of oil [J/m3]."""
        at_supply = _at(self.capacity, supply_c)
        rise = heat / at_supply
        # The heat capacity gains a tenth of a percent a kelvin: each round leaves a fortieth of
        # the error or less.
        for _ in range(3):
            film = np.clip(supply_c + 0.5 * rise, *TEMPERATURE_RANGE_C)
            rise = heat / _at(self.capacity, film)
        return rise


def _parabola(values: FloatArray) -> FloatArray:
    """Coefficients of the parabolas through values at 0, 75 and 150 degC, shape (3, points)."""
    low, middle, high = values.T
    first, second = (middle - low) / 75.0, (high - middle) / 75.0
    curve = (second - first) / 150.0
    return np.stack([low, first - 75.0 * curve, curve])


def _at(parabola: FloatArray, temperature_c: FloatArray) -> FloatArray:
    return np.asarray(parabola[0] + temperature_c * (parabola[1] + temperature_c * parabola[2]))


def oil_arguments(
    oil: Oil, viscosity_factor: Floats, heat_capacity: Floats | None
) -> list[FloatArray]:
    """Bring an oil to arrays that broadcast with the bearings', for `film_oil`."""
    line = viscosity_line(oil.kinematic_viscosity_40, 40.0, oil.kinematic_viscosity_100, 100.0)
    arguments = [
        line.a,
        line.b,
        np.asarray(oil.density_15, dtype=np.float64),
        require("viscosity_factor", viscosity_factor, above=0.0, at_most=1.0),
    ]
    if heat_capacity is not None:
        arguments.append(require("heat_capacity", heat_capacity, above=0.0, unit="J/m3/K"))
    return arguments


def film_oil(shaped: list[FloatArray]) -> FilmOil:
    """Make the oil of each bearing from `oil_arguments`, brought to the bearings' shape."""
    flat = [np.ascontiguousarray(argument.ravel()) for argument in shaped]
    capacity = flat[4] if len(flat) > 4 else None
    return FilmOil(ViscosityLine(flat[0], flat[1]), flat[2], flat[3], capacity)
