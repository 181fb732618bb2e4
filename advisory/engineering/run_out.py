"""Run-out of a shaft or face from readings of a dial gauge around it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray, require
from advisory.engineering.errors import OutOfRange

FEWEST_READINGS = 3
FEWEST_FOR_A_SPLIT = 4


@dataclass(frozen=True)
class RunOut:
    """What readings around a turn tell.

    Parameters
    ----------
    total : float
        Highest less lowest reading, the full movement of the pointer [m].
    high_at : float
        Angle of the highest reading from the first one [rad].
    off_centre : float or None
        How far the centre lies off the axis: amplitude of the part that comes once a turn;
        None for fewer than four readings [m].
    form : float or None
        What remains of the run-out without that part: the shape of the surface itself [m].
    """

    total: float
    high_at: float
    off_centre: float | None
    form: float | None


def run_out(readings: FloatArray) -> RunOut:
    """Find the run-out from readings at equal angles around one turn.

    Parameters
    ----------
    readings : ndarray
        In the order of turning; the first is not read again at the end; at least three [m].

    Returns
    -------
    RunOut

    Raises
    ------
    OutOfRange
        For fewer readings or what is no finite number.

    References
    ----------
    Circular run-out: ISO 1101 (from memory). Splitting off the once-a-turn part is the first
    harmonic of a Fourier series at equal angles (mathematics textbooks).

    Examples
    --------
    >>> turn = 2 * np.pi * np.arange(8) / 8
    >>> bent = run_out(10e-6 * np.cos(turn))
    >>> round(bent.total * 1e6, 3), round(bent.off_centre * 1e6, 3), round(bent.form * 1e6, 3)
    (20.0, 10.0, 0.0)
    """
    read = np.atleast_1d(require("readings", readings, unit="m"))
    if read.ndim != 1 or len(read) < FEWEST_READINGS:
        raise OutOfRange("readings", f"at least {FEWEST_READINGS} readings in a row", read.size)
    angles = 2.0 * np.pi * np.arange(len(read)) / len(read)
    total, high_at = float(np.ptp(read)), float(angles[int(np.argmax(read))])
    if len(read) < FEWEST_FOR_A_SPLIT:
        return RunOut(total, high_at, None, None)
    cosine = 2.0 * float(np.mean(read * np.cos(angles)))
    sine = 2.0 * float(np.mean(read * np.sin(angles)))
    rest = read - cosine * np.cos(angles) - sine * np.sin(angles)
    return RunOut(total, high_at, float(np.hypot(cosine, sine)), float(np.ptp(rest)))
