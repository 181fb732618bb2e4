"""Oil feed pipes: how much oil comes through, round or squashed, and how long a filling takes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.viscosity import TYPICAL_DENSITY

LAMINAR_REYNOLDS_NUMBER = 2000.0
"""Above it pipe flow may turn turbulent, and Poiseuille's law overstates it: O. Reynolds, Phil.
Trans. R. Soc. 174 (1883) 935-982, and every textbook of fluid mechanics."""

NOT_LAMINAR = "not_laminar"
NOT_LAMINAR_REASON = (
    "The flow would not be laminar (Reynolds number above 2000), and less comes through than the "
    "law used here gives: no flow is stated. Thicker oil, less pressure or a narrower or longer "
    "pipe comes within its range."
)


@dataclass(frozen=True)
class FeedPipeFlow:
    """What a feed pipe lets through; NaN where the flow would not be laminar.

    Parameters
    ----------
    flow, flow_round : ndarray
        Through the pipe as it is, and as it was when round [m3/s].
    flow_ratio : ndarray
        The one over the other [-].
    reynolds_number : ndarray
        In the pipe as it is, as reckoned by the laminar law [-].
    laminar : ndarray of bool
        Whether that is at most 2000.
    filling_time : ndarray or None
        For the volume to fill; None where none was given [s].
    """

    flow: FloatArray
    flow_round: FloatArray
    flow_ratio: FloatArray
    reynolds_number: FloatArray
    laminar: NDArray[np.bool_]
    filling_time: FloatArray | None


def squashed_half_width(bore: Floats, height: Floats) -> FloatArray:
    """Half the width of a round pipe squashed to an ellipse, its wall neither longer nor shorter.

    Parameters
    ----------
    bore : float or ndarray
        Inside diameter when round [m].
    height : float or ndarray
        Inside height when squashed, above 0, at most the bore [m].

    Returns
    -------
    ndarray
        The greater half axis [m].

    Raises
    ------
    OutOfRange
        For a bore that is not positive, or a height that is not or is above the bore.

    References
    ----------
    Perimeter of an ellipse, 4 a E(1 - (b/a)^2): NIST Digital Library of Mathematical Functions,
    19.9.9, https://dlmf.nist.gov/19.9.E9.

    Examples
    --------
    >>> round(float(squashed_half_width(0.006, 0.003)) * 1e3, 3)
    4.179
    """
    from scipy.special import ellipe  # here, so that importing the package stays quick

    d, h = np.broadcast_arrays(
        require("bore", bore, above=0.0, unit="m"),
        require("flattened_to", height, above=0.0, unit="m"),
    )
    high = ~(h <= d * (1.0 + 1e-12))
    if high.any():
        raise OutOfRange("flattened_to", "at most the bore", float(h[high].flat[0]))
    quarter = 0.25 * np.pi * d
    b = np.minimum(0.5 * h, 0.5 * d)
    # From a round pipe (a = b = d/2) to a flat one (a = a quarter of the wall): halving needs no
    # slope, which vanishes for the round pipe.
    low, high_end = 0.5 * d, quarter
    for _ in range(60):
        a = 0.5 * (low + high_end)
        short = a * ellipe(1.0 - (b / a) ** 2) < quarter
        low, high_end = np.where(short, a, low), np.where(short, high_end, a)
    return np.asarray(0.5 * (low + high_end))


def _resistance(half_width: FloatArray, half_height: FloatArray) -> FloatArray:
    """Pressure gradient over flow and viscosity, 4 (a^2 + b^2)/(pi a^3 b^3) [1/m4]."""
    a, b = half_width, half_height
    return np.asarray(4.0 * (a**2 + b**2) / (np.pi * a**3 * b**3))


def feed_pipe_flow(
    *,
    bore: Floats,
    length: Floats,
    pressure_difference: Floats,
    viscosity: Floats,
    density: Floats = TYPICAL_DENSITY,
    flattened_to: Floats | None = None,
    flattened_length: Floats | None = None,
    volume_to_fill: Floats | None = None,
) -> FeedPipeFlow:
    """Compute the laminar flow through a feed pipe, round or squashed.

    Parameters
    ----------
    bore : float or ndarray
        Inside diameter when round [m].
    length : float or ndarray
        Of the whole pipe [m].
    pressure_difference : float or ndarray
        From end to end [Pa].
    viscosity : float or ndarray
        Dynamic, of the oil in the pipe [Pa s].
    density : float or ndarray
        Of the oil, for the Reynolds number; that of a typical oil where left out [kg/m3].
    flattened_to : float or ndarray, optional
        Inside height of the squashed section: an ellipse with the round pipe's wall [m].
    flattened_length : float or ndarray, optional
        How much of the length is squashed; all of it where left out [m].
    volume_to_fill : float or ndarray, optional
        To be filled through the pipe at this pressure [m3].

    Returns
    -------
    FeedPipeFlow

    Raises
    ------
    OutOfRange
        For an argument that is not positive, a squashed height above the bore or length above
        the whole.

    References
    ----------
    Round: Q = pi R^4 dp/(8 mu L) (Hagen and Poiseuille). Ellipse: Q = pi a^3 b^3 dp/(4 mu L
    (a^2 + b^2)) (J. Boussinesq 1868; F. M. White, Viscous Fluid Flow, section 3-3). Both exact.
    Losses at the ends are not counted. The wall being the same, so is the Reynolds number
    4 rho Q/(mu perimeter) in the round and in the squashed part.

    Examples
    --------
    >>> pipe = feed_pipe_flow(
    ...     bore=0.006,
    ...     length=0.8,
    ...     pressure_difference=1e5,
    ...     viscosity=0.1,
    ...     flattened_to=0.003,
    ... )
    >>> round(float(pipe.flow_ratio), 3)
    0.309
    """
    d, total, drop, mu, rho = np.broadcast_arrays(
        require("bore", bore, above=0.0, unit="m"),
        require("length", length, above=0.0, unit="m"),
        require("pressure_difference", pressure_difference, above=0.0, unit="Pa"),
        require("viscosity", viscosity, above=0.0, unit="Pa s"),
        require("density", density, above=0.0, unit="kg/m3"),
    )
    radius = 0.5 * d
    per_length = _resistance(radius, radius)
    resistance = per_length * total
    flow_round = drop / (mu * resistance)
    if flattened_to is not None:
        half_width = squashed_half_width(d, flattened_to)
        squashed = np.asarray(total)
        if flattened_length is not None:
            squashed = require("flattened_length", flattened_length, above=0.0, unit="m")
            if not np.all(squashed <= total * (1.0 + 1e-12)):
                raise OutOfRange("flattened_length", "at most the length", float(np.max(squashed)))
        height = np.asarray(flattened_to, dtype=np.float64)
        more = _resistance(half_width, np.minimum(0.5 * height, radius)) - per_length
        resistance = resistance + more * squashed
    elif flattened_length is not None:
        raise OutOfRange("flattened_length", "left out where the pipe is round", "a length")
    flow = np.asarray(drop / (mu * resistance))
    perimeter = np.pi * d
    reynolds = np.asarray(4.0 * rho * flow / (mu * perimeter))
    laminar = reynolds <= LAMINAR_REYNOLDS_NUMBER
    round_laminar = 4.0 * rho * flow_round / (mu * perimeter) <= LAMINAR_REYNOLDS_NUMBER
    stated = np.where(laminar, flow, np.nan)
    stated_round = np.where(round_laminar, flow_round, np.nan)
    filling = None
    if volume_to_fill is not None:
        filling = (
            np.asarray(require("volume_to_fill", volume_to_fill, above=0.0, unit="m3")) / stated
        )
    return FeedPipeFlow(
        flow=stated,
        flow_round=stated_round,
        flow_ratio=np.asarray(stated / stated_round),
        reynolds_number=reynolds,
        laminar=np.asarray(laminar),
        filling_time=filling,
    )
