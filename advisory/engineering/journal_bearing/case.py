"""Bearings and their loads: checked, brought to one shape, and what follows from them at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.journal_bearing.table_nodes import LENGTH_ENDS


@dataclass(frozen=True)
class BearingCase:
    """Bearings and their loads, checked and brought to one shape.

    Parameters
    ----------
    diameter, length : ndarray
        Of the journal, and of the bearing along it [m].
    running_clearance : ndarray
        DIAMETRAL: bore less journal [m].
    speed : ndarray
        Of the journal against bearing and load [rev/s].
    load : ndarray
        Steady [N].
    """

    diameter: FloatArray
    length: FloatArray
    running_clearance: FloatArray
    speed: FloatArray
    load: FloatArray

    @property
    def radial_clearance(self) -> FloatArray:
        """Half the running clearance [m]."""
        return 0.5 * self.running_clearance

    @property
    def length_to_diameter(self) -> FloatArray:
        """Length over diameter [-]."""
        return self.length / self.diameter

    @property
    def tabled_length(self) -> FloatArray:
        """Length over diameter, rounding at the table's ends taken off [-]."""
        return np.clip(self.length_to_diameter, *LENGTH_ENDS)

    @property
    def unit_load(self) -> FloatArray:
        """Load over projected area [Pa]."""
        return self.load / (self.length * self.diameter)

    @property
    def clearance_ratio(self) -> FloatArray:
        """Radius over radial clearance, as diameter over running clearance [-]."""
        return self.diameter / self.running_clearance

    @property
    def sliding_speed(self) -> FloatArray:
        """Of the journal's surface [m/s]."""
        return np.pi * self.diameter * self.speed


def bearing_case(
    diameter: Floats,
    length: Floats,
    running_clearance: Floats,
    speed: Floats,
    load: Floats,
    *others: FloatArray,
) -> tuple[BearingCase, list[FloatArray]]:
    """Check the bearings and bring all arguments to one shape.

    Parameters
    ----------
    diameter, length, running_clearance, speed, load : float or ndarray
        As in `BearingCase`.
    *others : ndarray
        Further arguments, already checked.

    Returns
    -------
    tuple of BearingCase and list of ndarray
        The bearings, and the others broadcast.

    Raises
    ------
    OutOfRange
        For an argument that is not positive, a clearance that is no clearance of this diameter
        (above a tenth of it), or a length beyond 0.1 to 2 diameters.
    """
    arrays = np.broadcast_arrays(
        require("diameter", diameter, above=0.0, unit="m"),
        require("length", length, above=0.0, unit="m"),
        require("running_clearance", running_clearance, above=0.0, unit="m"),
        require("speed", speed, above=0.0, unit="rev/s"),
        require("load", load, above=0.0, unit="N"),
        *others,
    )
    case = BearingCase(*arrays[:5])
    low, high = LENGTH_ENDS
    # One part in 1e12 is allowed, so that a length of just two diameters passes in any unit.
    ratio = case.length_to_diameter
    bad = ~((ratio >= low * (1.0 - 1e-12)) & (ratio <= high * (1.0 + 1e-12)))
    if bad.any():
        raise OutOfRange(
            "length", f"{low:g} to {high:g} times the diameter", float(case.length[bad].flat[0])
        )
    wide = ~(case.running_clearance < 0.1 * case.diameter)
    if wide.any():
        raise OutOfRange(
            "running_clearance",
            "below a tenth of the diameter",
            float(case.running_clearance[wide].flat[0]),
        )
    return case, list(arrays[5:])
