"""Lip seals: whether a shaft's track is hard, smooth and slow enough, and true to size."""

from __future__ import annotations

from enum import Enum

import numpy as np

from advisory.engineering.arguments import require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.limit_check import LimitCheck
from advisory.engineering.tolerances import tolerance_zone

ISO_6194 = "ISO 6194-1, read in a summary"
ROUGHNESS_LIMITS = (0.2e-6, 0.8e-6)
"""Ra of the track; smoother holds no oil under the lip (ISO 6194-1, read in a summary) [m]."""

HARDNESS = 45.0
HARDNESS_IN_DIRT = 55.0
"""Least Rockwell C hardness, and in dirt or above 4 m/s (ISO 6194-1, read in a summary)."""

FAST = 4.0
"""Track speed above which the harder track is wanted [m/s]."""

TRACK_CLASS = "h11"


class SealMaterial(Enum):
    """What the lip is made of."""

    LEATHER = "leather"
    NITRILE = "nitrile rubber"
    ACRYLIC = "acrylic rubber"
    SILICONE = "silicone rubber"
    FLUORO = "fluoro rubber"


TRACK_SPEEDS: dict[SealMaterial, float] = {
    SealMaterial.LEATHER: 3.0,
    SealMaterial.NITRILE: 10.0,
    SealMaterial.ACRYLIC: 16.0,
    SealMaterial.SILICONE: 25.0,
    SealMaterial.FLUORO: 30.0,
}
"""Greatest speed of the track by the lip's material, the careful end of each range: 3-5, 10-14,
16-20, 25-38, 30-38 (from memory) [m/s]."""


def track_speed(diameter: float, turns_per_second: float) -> float:
    """Speed at which a shaft's surface runs under the lip.

    Parameters
    ----------
    diameter : float
        Of the track [m].
    turns_per_second : float
        Of the shaft [1/s].

    Returns
    -------
    float
        [m/s]

    Raises
    ------
    OutOfRange
        For a diameter that is not above nought, or a speed below it.

    References
    ----------
    Kinematics: pi d n.

    Examples
    --------
    >>> round(track_speed(0.038, 54.0), 2)
    6.45
    """
    size = require("diameter", diameter, above=0.0, unit="m")
    turns = require("turns_per_second", turns_per_second, at_least=0.0, unit="1/s")
    return float(np.pi * size * turns)


def seal_track_checks(
    *,
    speed: float | None = None,
    hardness: float | None = None,
    roughness: float | None = None,
    diameter: float | None = None,
    nominal: float | None = None,
    material: SealMaterial | None = None,
    dirty: bool = False,
) -> list[LimitCheck]:
    """Hold what is known of a seal track against what a lip seal asks of it.

    Parameters
    ----------
    speed : float, optional
        Of the track [m/s].
    hardness : float, optional
        Rockwell C [HRC].
    roughness : float, optional
        Ra of the track [m].
    diameter, nominal : float, optional
        Measured, and as the seal is made for [m].
    material : SealMaterial, optional
        Of the lip; without it the speed has no limit of its own.
    dirty : bool
        Whether dirt reaches the lip from outside.

    Returns
    -------
    list of LimitCheck
        One for each figure that is known.

    Raises
    ------
    OutOfRange
        For a figure that makes no sense.

    References
    ----------
    ISO 6194-1: shaft h11, Ra 0.2 to 0.8 um, 45 HRC, 55 HRC in dirt or above 4 m/s (read in a
    summary); greatest track speeds from memory.

    Examples
    --------
    >>> found = seal_track_checks(speed=6.4, hardness=48.0, material=SealMaterial.NITRILE)
    >>> [(check.name, check.passed) for check in found]
    [('speed of the track', True), ('hardness of the track', False)]
    """
    checks: list[LimitCheck] = []
    if speed is not None and material is not None:
        require("speed", speed, at_least=0.0, unit="m/s")
        most, source = TRACK_SPEEDS[material], f"for {material.value}, from memory"
        checks.append(LimitCheck("speed of the track", speed, most, "at most", "m/s", source))
    if hardness is not None:
        if not 0.0 < hardness <= 72.0:
            raise OutOfRange("hardness", "above 0 and at most 72 HRC", hardness)
        harder = dirty or (speed is not None and speed > FAST)
        wanted = HARDNESS_IN_DIRT if harder else HARDNESS
        checks.append(
            LimitCheck("hardness of the track", hardness, wanted, "at least", "HRC", ISO_6194)
        )
    if roughness is not None:
        require("roughness", roughness, above=0.0, unit="m")
        least, most = ROUGHNESS_LIMITS
        checks += [
            LimitCheck("roughness of the track", roughness, most, "at most", "m", ISO_6194),
            LimitCheck("roughness of the track", roughness, least, "at least", "m", ISO_6194),
        ]
    if diameter is not None and nominal is not None:
        zone = tolerance_zone(nominal, TRACK_CLASS)
        low, high = nominal + zone.lower_deviation, nominal + zone.upper_deviation
        source = f"{ISO_6194}: shaft {TRACK_CLASS}"
        checks += [
            LimitCheck("diameter of the track", diameter, low, "at least", "m", source),
            LimitCheck("diameter of the track", diameter, high, "at most", "m", source),
        ]
    return checks
