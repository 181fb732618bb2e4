"""Thrust washers: pressure, sliding speed and their product against what the pair bears."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.limit_check import LimitCheck
from advisory.engineering.metals import ALLOWABLES, PRESSURE_VELOCITY_SOURCE, BearingMaterial

GROOVED_WASHER_PRESSURE = 0.3e6 / (np.pi / 4.0)
"""Load of a plain grooved thrust washer with oil, 0.3 (D^2 - d^2) N in mm, over its face [Pa]."""

GROOVED_WASHER_SOURCE = (
    "Plain grooved thrust washer, 0.3 (D^2 - d^2) N in mm: Tribology Handbook, 2nd ed., A15 (read)"
)

WHITE_METAL_FACE_PRESSURE = 0.52e6
WHITE_METAL_FACE_SOURCE = (
    "Flat white-metal thrust faces below 0.52 MPa: bearing section of a mechanical engineering "
    "handbook (read)"
)


@dataclass(frozen=True)
class ThrustWasherDuty:
    """What a thrust washer is asked for, at one face.

    Parameters
    ----------
    pressure : ndarray
        Load over the ring's face [Pa].
    sliding_speed : ndarray
        At the mean diameter [m/s].
    pressure_velocity : ndarray
        Their product [Pa m/s].
    """

    pressure: FloatArray
    sliding_speed: FloatArray
    pressure_velocity: FloatArray


def thrust_washer_duty(
    *,
    inner_diameter: Floats,
    outer_diameter: Floats,
    load: Floats,
    speed: Floats,
    floating: bool = True,
) -> ThrustWasherDuty:
    """Compute pressure and sliding speed at a thrust washer's face.

    Parameters
    ----------
    inner_diameter, outer_diameter : float or ndarray
        Of the face that bears [m].
    load : float or ndarray
        Along the shaft [N].
    speed : float or ndarray
        Of the shaft against the housing [rev/s].
    floating : bool
        Whether the washer turns freely: each of its faces then slides at half the speed.

    Returns
    -------
    ThrustWasherDuty

    Raises
    ------
    OutOfRange
        For an argument that is not positive, or an inner diameter not below the outer.

    References
    ----------
    Definitions: p = W/(pi (D^2 - d^2)/4), v = pi (D + d)/2 N. That a floating washer settles at
    half the speed holds where friction at both faces is alike.

    Examples
    --------
    >>> duty = thrust_washer_duty(
    ...     inner_diameter=0.03, outer_diameter=0.05, load=300.0, speed=50.0
    ... )
    >>> round(float(duty.pressure) / 1e6, 3), round(float(duty.sliding_speed), 3)
    (0.239, 3.142)
    """
    inner, outer, force, rate = np.broadcast_arrays(
        require("inner_diameter", inner_diameter, above=0.0, unit="m"),
        require("outer_diameter", outer_diameter, above=0.0, unit="m"),
        require("load", load, above=0.0, unit="N"),
        require("speed", speed, above=0.0, unit="rev/s"),
    )
    bad = ~(inner < outer)
    if bad.any():
        raise OutOfRange("inner_diameter", "below the outer diameter", float(inner[bad].flat[0]))
    pressure = force / (0.25 * np.pi * (outer**2 - inner**2))
    sliding = 0.5 * np.pi * (inner + outer) * rate * (0.5 if floating else 1.0)
    return ThrustWasherDuty(
        np.asarray(pressure), np.asarray(sliding), np.asarray(pressure * sliding)
    )


def thrust_washer_checks(
    duty: ThrustWasherDuty,
    index: tuple[int, ...] = (),
    *,
    material: BearingMaterial | None = None,
) -> list[LimitCheck]:
    """Hold one thrust washer against its allowables.

    Parameters
    ----------
    duty : ThrustWasherDuty
        What it is asked for.
    index : tuple of int
        Which of many washers; left out for one.
    material : BearingMaterial, optional
        Of the faces that slide on steel; without it only the oiled, grooved washer's pressure is
        checked.

    Returns
    -------
    list of LimitCheck

    Examples
    --------
    >>> duty = thrust_washer_duty(
    ...     inner_diameter=0.03, outer_diameter=0.05, load=300.0, speed=50.0
    ... )
    >>> for check in thrust_washer_checks(duty, material=BearingMaterial.BRONZE):
    ...     print(check.name, check.passed)
    pressure on an oiled, grooved washer True
    pressure times sliding speed True
    """
    pressure = float(duty.pressure[index])
    checks = [
        LimitCheck(
            "pressure on an oiled, grooved washer",
            pressure,
            GROOVED_WASHER_PRESSURE,
            "at most",
            "Pa",
            GROOVED_WASHER_SOURCE,
        )
    ]
    if material in {BearingMaterial.TIN_WHITE_METAL, BearingMaterial.LEAD_WHITE_METAL}:
        checks.append(
            LimitCheck(
                "pressure on a flat white-metal face",
                pressure,
                WHITE_METAL_FACE_PRESSURE,
                "at most",
                "Pa",
                WHITE_METAL_FACE_SOURCE,
            )
        )
    product = None if material is None else ALLOWABLES[material].pressure_velocity
    if product is not None:
        checks.append(
            LimitCheck(
                "pressure times sliding speed",
                float(duty.pressure_velocity[index]),
                product,
                "at most",
                "Pa m/s",
                PRESSURE_VELOCITY_SOURCE,
            )
        )
    return checks
