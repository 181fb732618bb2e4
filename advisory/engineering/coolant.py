"""Coolant: at what temperature a mix of glycol and water begins to freeze."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.polynomial import polynomial
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.errors import OutOfRange

MARGIN_KELVIN = 3.0
"""How far the freezing point must lie below the lowest temperature expected for the mix to be
enough [K]. Handbook tables of the same mix are up to 2.9 K warmer than the relation used here
(read), and a coolant's water and inhibitors differ."""

LARGEST_FRACTION = 0.6
"""Beyond 60 % the relation is not given, and more glycol soon freezes earlier and cools worse."""

_WATER_DENSITY = 998.2  # kg/m3 at 20 degC


class Glycol(Enum):
    """The two glycols of coolants."""

    ETHYLENE = "ethylene"
    PROPYLENE = "propylene"


@dataclass(frozen=True)
class _Mix:
    density: float  # of the glycol at 20 degC [kg/m3]
    freezing: tuple[float, ...]  # polynomial in the share of mass, lowest power first [degC]


# The polynomials of A. Melinder, as the library CoolProp 8.0 carries them (INCOMP::MEG and
# INCOMP::MPG), written out about a share of nothing; they give its values to 1e-9 K.
_MIXES = {
    Glycol.ETHYLENE: _Mix(
        1113.2,
        (2.850815544e-4, -30.61426355, -11.82565621, -186.208145, 83.017666, 11.4),
    ),
    Glycol.PROPYLENE: _Mix(
        1036.1,
        (-2.507127607e-2, -17.71950078, -134.3321081, 328.4701428, -565.8002075, 146.5),
    ),
}


@dataclass(frozen=True)
class CoolantStrength:
    """How far a coolant is safe from frost.

    Parameters
    ----------
    mass_fraction : ndarray
        Share of glycol in the mass [-].
    freezing_point_c : ndarray
        At which the first ice forms [degC].
    margin : ndarray
        Lowest temperature expected less freezing point [K].
    enough : ndarray of bool
        Whether the margin is at least `MARGIN_KELVIN`.
    held : ndarray of bool
        Where a mix of up to 60 % by volume is stronger than 60 % by mass, the end of the
        relation: its freezing point is held at that of 60 %, on the careful side.
    """

    mass_fraction: FloatArray
    freezing_point_c: FloatArray
    margin: FloatArray
    enough: NDArray[np.bool_]
    held: NDArray[np.bool_]


def glycol_named(name: str) -> Glycol:
    """Find a glycol by its name.

    Parameters
    ----------
    name : str
        "ethylene" or "propylene".

    Returns
    -------
    Glycol

    Raises
    ------
    OutOfRange
        For any other name.

    Examples
    --------
    >>> glycol_named("ethylene")
    <Glycol.ETHYLENE: 'ethylene'>
    """
    try:
        return Glycol(name)
    except ValueError:
        raise OutOfRange("glycol", 'one of "ethylene", "propylene"', name) from None


def mass_fraction_of(glycol: Glycol, volume_fraction: Floats) -> FloatArray:
    """Share of glycol in the mass of a mix made by volume at 20 degC.

    Parameters
    ----------
    glycol : Glycol
        Which glycol.
    volume_fraction : float or ndarray
        Share of the volumes put together, 0 to 0.6 [-].

    Returns
    -------
    ndarray
        [-].

    Raises
    ------
    OutOfRange
        For a share beyond 0 to 0.6.

    References
    ----------
    Densities at 20 degC: water 998.2, ethylene glycol 1113.2, propylene glycol 1036.1 kg/m3, of
    data handbooks (computed likewise with CoolProp 8.0).

    Examples
    --------
    >>> round(float(mass_fraction_of(Glycol.ETHYLENE, 0.5)), 4)
    0.5272
    """
    share = require("volume_fraction", volume_fraction, at_least=0.0, at_most=LARGEST_FRACTION)
    glycol_mass = share * _MIXES[glycol].density
    return np.asarray(glycol_mass / (glycol_mass + (1.0 - share) * _WATER_DENSITY))


def freezing_point(glycol: Glycol, mass_fraction: Floats) -> FloatArray:
    """Freezing point of a mix of glycol and water.

    Parameters
    ----------
    glycol : Glycol
        Which glycol.
    mass_fraction : float or ndarray
        Share of glycol in the mass, 0 to 0.6 [-].

    Returns
    -------
    ndarray
        [degC]; never above 0.

    Raises
    ------
    OutOfRange
        For a share beyond 0 to 0.6.

    References
    ----------
    A. Melinder, Properties of Secondary Working Fluids for Indirect Systems, IIR, Paris 2010,
    polynomial for the freezing point, as carried by CoolProp 8.0 (I. H. Bell et al., Ind. Eng.
    Chem. Res. 53 (2014) 2498-2508, doi:10.1021/ie4033999).

    Examples
    --------
    >>> round(float(freezing_point(Glycol.ETHYLENE, 0.5)), 1)
    -36.0
    """
    share = require("mass_fraction", mass_fraction, at_least=0.0, at_most=LARGEST_FRACTION)
    return np.asarray(np.minimum(polynomial.polyval(share, _MIXES[glycol].freezing), 0.0))


def coolant_strength(
    *,
    glycol: Glycol,
    lowest_temperature_c: Floats,
    volume_fraction: Floats | None = None,
    mass_fraction: Floats | None = None,
) -> CoolantStrength:
    """Hold a coolant against the lowest temperature expected.

    Parameters
    ----------
    glycol : Glycol
        Which glycol. To take one for the other costs about 4 K at 50 %.
    lowest_temperature_c : float or ndarray
        -80 to 50 [degC].
    volume_fraction, mass_fraction : float or ndarray
        Share of glycol by volume or by mass, one of the two, 0 to 0.6 [-].

    Returns
    -------
    CoolantStrength

    Raises
    ------
    OutOfRange
        For a share or temperature out of range, or where not just one share is given.

    References
    ----------
    As `freezing_point` and `mass_fraction_of`; the margin is `MARGIN_KELVIN`.

    Examples
    --------
    >>> mix = coolant_strength(
    ...     glycol=Glycol.ETHYLENE, volume_fraction=0.5, lowest_temperature_c=-25.0
    ... )
    >>> round(float(mix.freezing_point_c), 1), bool(mix.enough)
    (-39.8, True)
    """
    lowest = require(
        "lowest_temperature_c", lowest_temperature_c, at_least=-80.0, at_most=50.0, unit="degC"
    )
    if (volume_fraction is None) == (mass_fraction is None):
        given = "neither" if volume_fraction is None else "both"
        raise OutOfRange("volume_fraction", "given, or mass_fraction in its place", given)
    if volume_fraction is not None:
        share = mass_fraction_of(glycol, volume_fraction)
    else:
        assert mass_fraction is not None
        share = require("mass_fraction", mass_fraction, at_least=0.0, at_most=LARGEST_FRACTION)
    share, lowest = np.broadcast_arrays(share, lowest)
    held = share > LARGEST_FRACTION
    freezing = freezing_point(glycol, np.minimum(share, LARGEST_FRACTION))
    margin = lowest - freezing
    return CoolantStrength(share, freezing, margin, margin >= MARGIN_KELVIN, held)
