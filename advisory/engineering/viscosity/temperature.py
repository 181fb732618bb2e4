"""Viscosity and density of a mineral oil with temperature."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.viscosity.oil import VISCOSITY_RANGE, Oil

#: Range of temperature [degC] in which oils are computed here. ASTM D341 holds where the oil is one
#: homogeneous liquid, between its cloud point and its initial boiling point (D341-09, clause 3.1,
#: read in a reproduction), which a data sheet seldom states. The upper end is that of the density
#: relation, API MPMS 11.1, -50 to 150 degC (from memory); the lower end is set by us: below it no
#: straight mineral oil is a homogeneous liquid.
TEMPERATURE_RANGE_C = (-40.0, 150.0)

#: Below this [degC] a mineral oil without cold data may have begun to cloud, and is then thicker
#: than computed (pour points of straight oils lie at -9 to -24 degC: common practice, no source).
CLOUD_CAUTION_C = -10.0

#: Thermal expansion of lubricating oils, K1 of API MPMS 11.1 [kg/m3/K]: 0.34878 per degF at 60
#: degF (read in a reproduction), times 1.8.
_DENSITY_CONSTANT = 0.34878 * 1.8

_MM2_PER_S = 1e-6
_KELVIN = 273.15


def _zed(viscosity: FloatArray) -> FloatArray:
    """Return Z of ASTM D341 for a viscosity [mm2/s]."""
    thin = np.exp(-1.47 - 1.84 * viscosity - 0.51 * viscosity**2)
    return viscosity + 0.7 + np.where(viscosity < 2.0, thin, 0.0)


def _viscosity_of_zed(zed: FloatArray) -> FloatArray:
    """Return the viscosity [mm2/s] that has Z of ASTM D341."""
    plain = zed - 0.7
    # The inverse that the standard prints is good to 0.1 %; Newton's steps on its forward relation
    # make the line go through its two points exactly. Above 2 mm2/s the branch is not used: the
    # clip keeps its polynomial from overflowing there.
    z = np.minimum(plain, 3.0)
    thin = z - np.exp(-0.7487 - 3.295 * z + 0.6119 * z**2 - 0.3193 * z**3)
    for _ in range(4):
        term = np.exp(-1.47 - 1.84 * thin - 0.51 * thin**2)
        slope = 1.0 - term * (1.84 + 1.02 * thin)
        thin = thin - (thin + term - z) / slope
    return np.where(plain < 2.0, thin, plain)


@dataclass(frozen=True)
class ViscosityLine:
    """The straight line of ASTM D341, log log Z = A - B log T with T in K and logs to base 10.

    Parameters
    ----------
    a, b : ndarray
        Its constants [-].
    """

    a: FloatArray
    b: FloatArray


def viscosity_line(
    viscosity_1: Floats, temperature_1_c: Floats, viscosity_2: Floats, temperature_2_c: Floats
) -> ViscosityLine:
    """Fit the viscosity-temperature line of ASTM D341 through two points.

    Parameters
    ----------
    viscosity_1, viscosity_2 : float or ndarray
        Kinematic viscosities [m2/s], 0.21e-6 to 20.
    temperature_1_c, temperature_2_c : float or ndarray
        The temperatures at which they were measured [degC].

    Returns
    -------
    ViscosityLine
        The constants A and B, of the shape to which the arguments broadcast [-].

    Raises
    ------
    OutOfRange
        If an argument lies outside the relation's range, or both temperatures are the same.

    References
    ----------
    ASTM D341-09, Standard Practice for Viscosity-Temperature Charts for Liquid Petroleum Products,
    annex, equations 1 and 2 (read in a reproduction).

    Examples
    --------
    >>> line = viscosity_line(32e-6, 40.0, 5.4e-6, 100.0)
    >>> round(float(line.a), 5), round(float(line.b), 5)
    (9.53082, 3.74658)
    """
    low, high = VISCOSITY_RANGE
    nu_1 = require("viscosity_1", viscosity_1, at_least=low, at_most=high, unit="m2/s")
    nu_2 = require("viscosity_2", viscosity_2, at_least=low, at_most=high, unit="m2/s")
    low, high = TEMPERATURE_RANGE_C
    t_1 = require("temperature_1_c", temperature_1_c, at_least=low, at_most=high, unit="degC")
    t_2 = require("temperature_2_c", temperature_2_c, at_least=low, at_most=high, unit="degC")
    if not np.all(t_1 != t_2):
        raise OutOfRange("temperature_2_c", "different from temperature_1_c", float(t_2.flat[0]))
    y_1 = np.log10(np.log10(_zed(nu_1 / _MM2_PER_S)))
    y_2 = np.log10(np.log10(_zed(nu_2 / _MM2_PER_S)))
    x_1, x_2 = np.log10(t_1 + _KELVIN), np.log10(t_2 + _KELVIN)
    b = (y_1 - y_2) / (x_2 - x_1)
    return ViscosityLine(a=np.asarray(y_1 + b * x_1), b=np.asarray(b))


def viscosity_on_line(line: ViscosityLine, temperature_c: Floats) -> FloatArray:
    """Read a kinematic viscosity off a line of ASTM D341.

    Parameters
    ----------
    line : ViscosityLine
        The line, from :func:`viscosity_line`.
    temperature_c : float or ndarray
        Temperature [degC], -40 to 150.

    Returns
    -------
    ndarray
        Kinematic viscosity [m2/s], of the shape to which line and temperature broadcast.

    Raises
    ------
    OutOfRange
        If the temperature lies outside its range, or the oil would be thicker than the relation
        goes there.

    References
    ----------
    ASTM D341-09, annex, equations 1 and 3 (read in a reproduction).

    Examples
    --------
    >>> line = viscosity_line(32e-6, 40.0, 5.4e-6, 100.0)
    >>> round(float(viscosity_on_line(line, 80.0)) * 1e6, 4)
    8.5332
    """
    low, high = TEMPERATURE_RANGE_C
    t = require("temperature_c", temperature_c, at_least=low, at_most=high, unit="degC")
    with np.errstate(over="ignore"):
        zed = 10.0 ** (10.0 ** (line.a - line.b * np.log10(t + _KELVIN)))
    thinnest, thickest = (limit / _MM2_PER_S for limit in VISCOSITY_RANGE)
    viscosity = _viscosity_of_zed(zed)
    if not np.all((viscosity >= thinnest) & (viscosity <= thickest)):
        raise OutOfRange(
            "temperature_c",
            "where the oil is between 0.21 and 2e7 mm2/s",
            float(np.min(t)),
            "The relation does not hold at this temperature: the oil would be thinner than "
            "0.21 mm2/s or thicker than 20 000 000 mm2/s. Ask for a temperature nearer to those "
            "at which it was measured.",
        )
    return viscosity * _MM2_PER_S


def kinematic_viscosity(oil: Oil, temperature_c: Floats) -> FloatArray:
    """Kinematic viscosity of an oil at a temperature, by ASTM D341 through 40 and 100 degC.

    Parameters
    ----------
    oil : Oil
        The oil, or many oils at once.
    temperature_c : float or ndarray
        Temperature [degC], -40 to 150.

    Returns
    -------
    ndarray
        Kinematic viscosity [m2/s].

    Raises
    ------
    OutOfRange
        As :func:`viscosity_on_line`.

    References
    ----------
    ASTM D341-09, annex (read in a reproduction).

    Examples
    --------
    >>> oil = Oil(kinematic_viscosity_40=32e-6, kinematic_viscosity_100=5.4e-6)
    >>> [round(nu * 1e6, 2) for nu in kinematic_viscosity(oil, [20.0, 60.0]).tolist()]
    [86.28, 15.19]
    """
    line = viscosity_line(oil.kinematic_viscosity_40, 40.0, oil.kinematic_viscosity_100, 100.0)
    return viscosity_on_line(line, temperature_c)


def density(oil: Oil, temperature_c: Floats) -> FloatArray:
    """Density of a lubricating oil at a temperature and at atmospheric pressure.

    Parameters
    ----------
    oil : Oil
        The oil, or many oils at once; only its density at 15 degC counts.
    temperature_c : float or ndarray
        Temperature [degC], -40 to 150.

    Returns
    -------
    ndarray
        Density [kg/m3].

    Raises
    ------
    OutOfRange
        If the temperature lies outside its range.

    References
    ----------
    API Manual of Petroleum Measurement Standards, chapter 11.1 (ASTM D1250), lubricating oils:
    rho15 exp(-a d (1 + 0.8 a d)), a = K1/rho15, d = t - 15 degC. K1 is published for 60 degF, which
    is 0.56 K away: less than 0.001 % of the density.

    Examples
    --------
    >>> oil = Oil(
    ...     kinematic_viscosity_40=100e-6, kinematic_viscosity_100=11.2e-6, density_15=886.0
    ... )
    >>> round(float(density(oil, 80.0)), 1)
    844.7
    """
    low, high = TEMPERATURE_RANGE_C
    t = require("temperature_c", temperature_c, at_least=low, at_most=high, unit="degC")
    rho_15 = np.asarray(oil.density_15, dtype=np.float64)
    expansion = _DENSITY_CONSTANT / rho_15 * (t - 15.0)
    return rho_15 * np.exp(-expansion * (1.0 + 0.8 * expansion))


def dynamic_viscosity(oil: Oil, temperature_c: Floats) -> FloatArray:
    """Dynamic viscosity of an oil at a temperature: kinematic viscosity times density.

    Parameters
    ----------
    oil : Oil
        The oil, or many oils at once.
    temperature_c : float or ndarray
        Temperature [degC], -40 to 150.

    Returns
    -------
    ndarray
        Dynamic viscosity [Pa s], at low shear and atmospheric pressure.

    Raises
    ------
    OutOfRange
        As :func:`kinematic_viscosity`.

    References
    ----------
    ASTM D341-09 and API MPMS 11.1, as the two functions that it multiplies.

    Examples
    --------
    >>> oil = Oil(kinematic_viscosity_40=32e-6, kinematic_viscosity_100=5.4e-6, density_15=868.0)
    >>> round(float(dynamic_viscosity(oil, 40.0)) * 1e3, 2)
    27.27
    """
    return kinematic_viscosity(oil, temperature_c) * density(oil, temperature_c)
