"""Press fits: a sleeve on a shaft by Lame's thick cylinders, and how warm it goes on by hand."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.limit_check import LimitCheck

STEEL_FRICTION = 0.12
"""Friction of a dry press fit, steel on steel, see `FRICTION_SOURCE` [-]."""

YELLOW_METAL_FRICTION = (0.05, 0.10)
"""Friction of a dry press fit, steel on bronze or brass, see `FRICTION_SOURCE` [-]."""

FRICTION_SOURCE = (
    "Friction of a press fit: dry steel on steel 0.10 to 0.15, oiled 0.05 to 0.10, dry steel on "
    "yellow metal 0.05 to 0.10 (A. van Beek, tribology-abc.com, interference fits, read)"
)

ROOM_TEMPERATURE_C = 20.0

HARDENED_SLEEVE_TEMPERATURE_C = 150.0
WHITE_METAL_MELTS_C = 235.0
TEMPERATURE_SOURCE = (
    "Hardened and low-tempered steel softens from about 150 degC (common practice, no source); "
    "white metal begins to melt near 235 degC (ASTM B23 alloys 223 to 241 degC, read)"
)
METAL_SOURCE = (
    "Elasticity, expansion and yield of the metals: typical values within the ranges of J. M. "
    "Gere, Mechanics of Materials, 5th ed. (read as ah-engr.com and web.mst.edu reproduce them)"
)
YIELD_SOURCE = (
    "Yield on the careful side of the range of this kind of metal (J. M. Gere, Mechanics of "
    "Materials, read as web.mst.edu reproduces it); the part's own may differ"
)
LAME = "G. Lame, thick cylinders; maximum shear stress (Tresca) at the sleeve's bore"


class PressFitMaterial(Enum):
    """Kinds of metal for sleeves and shafts."""

    STEEL = "steel"
    CAST_IRON = "cast iron"
    BRONZE = "bronze"
    BRASS = "brass"
    ALUMINIUM = "aluminium"


@dataclass(frozen=True)
class ElasticMetal:
    """What a press fit asks of a metal.

    Parameters
    ----------
    youngs_modulus : float
        [Pa].
    poisson_ratio : float
        [-].
    expansion : float
        Linear, near room temperature [1/K].
    yield_stress : float
        Typical, on the careful side [Pa].
    """

    youngs_modulus: float
    poisson_ratio: float
    expansion: float
    yield_stress: float


METALS: dict[PressFitMaterial, ElasticMetal] = {
    PressFitMaterial.STEEL: ElasticMetal(210e9, 0.30, 11.5e-6, 250e6),
    PressFitMaterial.CAST_IRON: ElasticMetal(110e9, 0.26, 10.5e-6, 130e6),
    PressFitMaterial.BRONZE: ElasticMetal(110e9, 0.34, 18.0e-6, 130e6),
    PressFitMaterial.BRASS: ElasticMetal(100e9, 0.34, 19.0e-6, 120e6),
    PressFitMaterial.ALUMINIUM: ElasticMetal(70e9, 0.33, 23.0e-6, 110e6),
}
"""See `METAL_SOURCE`; for steel those of the worked example, its yield that of ASTM A36."""


@dataclass(frozen=True)
class PressFit:
    """What a press fit does.

    Parameters
    ----------
    pressure : ndarray
        At the interface [Pa].
    sleeve_hoop_stress : ndarray
        At the sleeve's bore, in tension [Pa].
    shaft_hoop_stress : ndarray
        At the interface, negative in compression [Pa].
    push_off_force : ndarray
        Along the shaft [N].
    torque : ndarray
        That slips it [N m].
    assembly_temperature_rise : ndarray
        Of the sleeve over the shaft, to go on with the clearance asked for [K].
    """

    pressure: FloatArray
    sleeve_hoop_stress: FloatArray
    shaft_hoop_stress: FloatArray
    push_off_force: FloatArray
    torque: FloatArray
    assembly_temperature_rise: FloatArray


def press_fit_material(name: str, argument: str = "sleeve_material") -> PressFitMaterial:
    """Find a kind of metal by its name.

    Parameters
    ----------
    name : str
        "steel", "cast iron", "bronze", "brass" or "aluminium".
    argument : str
        What the name was given for, for the message.

    Returns
    -------
    PressFitMaterial

    Raises
    ------
    OutOfRange
        For any other name.

    Examples
    --------
    >>> press_fit_material("steel")
    <PressFitMaterial.STEEL: 'steel'>
    """
    try:
        return PressFitMaterial(name)
    except ValueError:
        known = ", ".join(f'"{material.value}"' for material in PressFitMaterial)
        raise OutOfRange(argument, f"one of {known}", name) from None


def press_fit(
    *,
    interface_diameter: Floats,
    sleeve_outer_diameter: Floats,
    length: Floats,
    interference: Floats,
    sleeve_material: PressFitMaterial,
    shaft_material: PressFitMaterial,
    shaft_inner_diameter: Floats = 0.0,
    friction_coefficient: Floats = STEEL_FRICTION,
    assembly_clearance: Floats = 0.0,
) -> PressFit:
    """Compute pressure, stress, grip and assembly temperature of a sleeve pressed on a shaft.

    Parameters
    ----------
    interface_diameter, sleeve_outer_diameter, length : float or ndarray
        [m].
    interference : float or ndarray
        Diametral: shaft less sleeve before assembly; 0 grips with nothing [m].
    sleeve_material, shaft_material : PressFitMaterial
        See `METALS`.
    shaft_inner_diameter : float or ndarray
        0 for a solid shaft [m].
    friction_coefficient : float or ndarray
        At the interface; `STEEL_FRICTION` where left out [-].
    assembly_clearance : float or ndarray
        Diametral, to have in hand while the warm sleeve goes on [m].

    Returns
    -------
    PressFit
        Elastic: see `press_fit_checks` for whether the metals bear it.

    Raises
    ------
    OutOfRange
        For diameters that do not follow one another, or an argument that is negative.

    References
    ----------
    G. Lame, thick cylinders, in machine-design textbooks: p = delta/{d [(Ch + nu_h)/E_h +
    (Cs - nu_s)/E_s]}, Ch = (D^2 + d^2)/(D^2 - d^2), Cs = (d^2 + di^2)/(d^2 - di^2). Roughness
    that is smoothed away takes some of the interference (DIN 7190); measure it after trial, or
    take it off beforehand.

    Examples
    --------
    >>> grip = press_fit(
    ...     interface_diameter=0.05,
    ...     sleeve_outer_diameter=0.08,
    ...     length=0.04,
    ...     interference=40e-6,
    ...     sleeve_material=PressFitMaterial.STEEL,
    ...     shaft_material=PressFitMaterial.STEEL,
    ... )
    >>> round(float(grip.pressure) / 1e6, 1), round(float(grip.torque))
    (51.2, 965)
    """
    d, outer, long, delta, inner, friction, clearance = np.broadcast_arrays(
        require("interface_diameter", interface_diameter, above=0.0, unit="m"),
        require("sleeve_outer_diameter", sleeve_outer_diameter, above=0.0, unit="m"),
        require("length", length, above=0.0, unit="m"),
        require("interference", interference, at_least=0.0, unit="m"),
        require("shaft_inner_diameter", shaft_inner_diameter, at_least=0.0, unit="m"),
        require("friction_coefficient", friction_coefficient, above=0.0, at_most=1.0),
        require("assembly_clearance", assembly_clearance, at_least=0.0, unit="m"),
    )
    for argument, value, good, limit in (
        ("sleeve_outer_diameter", outer, outer > d, "above the interface diameter"),
        ("shaft_inner_diameter", inner, inner < d, "below the interface diameter"),
        ("interference", delta, delta < 0.02 * d, "below a fiftieth of the interface diameter"),
    ):
        if not good.all():
            raise OutOfRange(argument, limit, float(value[~good].flat[0]))
    sleeve, shaft = METALS[sleeve_material], METALS[shaft_material]
    sleeve_shape = (outer**2 + d**2) / (outer**2 - d**2)
    shaft_shape = (d**2 + inner**2) / (d**2 - inner**2)
    give = (sleeve_shape + sleeve.poisson_ratio) / sleeve.youngs_modulus + (
        shaft_shape - shaft.poisson_ratio
    ) / shaft.youngs_modulus
    pressure = delta / (d * give)
    force = friction * np.pi * d * long * pressure
    return PressFit(
        pressure=np.asarray(pressure),
        sleeve_hoop_stress=np.asarray(pressure * sleeve_shape),
        shaft_hoop_stress=np.asarray(-pressure * shaft_shape),
        push_off_force=np.asarray(force),
        torque=np.asarray(0.5 * force * d),
        assembly_temperature_rise=np.asarray((delta + clearance) / (sleeve.expansion * d)),
    )


def press_fit_checks(
    grip: PressFit,
    index: tuple[int, ...] = (),
    *,
    sleeve_material: PressFitMaterial,
    shaft_material: PressFitMaterial,
) -> list[LimitCheck]:
    """Hold one press fit against what its metals bear.

    Parameters
    ----------
    grip : PressFit
        What it does.
    index : tuple of int
        Which of many; left out for one.
    sleeve_material, shaft_material : PressFitMaterial
        As given for it.

    Returns
    -------
    list of LimitCheck

    Examples
    --------
    >>> steel = PressFitMaterial.STEEL
    >>> grip = press_fit(
    ...     interface_diameter=0.05,
    ...     sleeve_outer_diameter=0.08,
    ...     length=0.04,
    ...     interference=40e-6,
    ...     sleeve_material=steel,
    ...     shaft_material=steel,
    ... )
    >>> [c.passed for c in press_fit_checks(grip, sleeve_material=steel, shaft_material=steel)]
    [True, True, True, True]
    """
    pressure = float(grip.pressure[index])
    sleeve = float(grip.sleeve_hoop_stress[index]) + pressure
    shaft = abs(float(grip.shaft_hoop_stress[index]))
    # A hollow shaft is pressed hardest at its own bore: p (Cs + 1), the hoop stress being p Cs.
    if shaft > pressure * (1.0 + 1e-12):
        shaft += pressure
    temperature = ROOM_TEMPERATURE_C + float(grip.assembly_temperature_rise[index])
    return [
        LimitCheck(
            "stress at the sleeve's bore (Tresca)",
            sleeve,
            METALS[sleeve_material].yield_stress,
            "at most",
            "Pa",
            f"{LAME}. {YIELD_SOURCE}",
        ),
        LimitCheck(
            "greatest stress of the shaft",
            shaft,
            METALS[shaft_material].yield_stress,
            "at most",
            "Pa",
            YIELD_SOURCE,
        ),
        LimitCheck(
            "temperature of a hardened sleeve for assembly",
            temperature,
            HARDENED_SLEEVE_TEMPERATURE_C,
            "at most",
            "degC",
            TEMPERATURE_SOURCE,
        ),
        LimitCheck(
            "temperature near white metal for assembly",
            temperature,
            WHITE_METAL_MELTS_C,
            "at most",
            "degC",
            TEMPERATURE_SOURCE,
        ),
    ]
