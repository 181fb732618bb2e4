"""The table of the finite journal bearing, read at many places at once.

The kept values (``film_table.npz``, made by `advisory.engineering.journal_bearing.make_table`)
are divided by what the short bearing has in closed form, so that smooth figures of order one are
left to the splines: ln S and friction run over six decades, their remainders do not.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from typing import Any

import numpy as np

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.journal_bearing.spline import EvenAxis, SplineTable, cubic_weights
from advisory.engineering.journal_bearing.table_nodes import (
    ECCENTRICITY_ENDS,
    LENGTH_ENDS,
    TABLE_PATH,
)

OIL_FLOW_HEAT, SOMMERFELD, FRICTION_HEAT, ATTITUDE, FLOW, SIDE, PRESSURE = range(7)
"""Order of the figures in the splines: ln S stands beside both heats, see `Heat`."""

PART = 8_192
"""How many bearings are read together: their arrays stay in the processor's cache."""


class Heat(Enum):
    """The heat that a search asks for beside ln S."""

    OIL_FLOW = slice(OIL_FLOW_HEAT, SOMMERFELD + 1)
    """ln of (R/c) f / (Q/(R c N L)) / (1 - Qs/(2 Q)): what warms the oil that flows through."""

    FRICTION = slice(SOMMERFELD, FRICTION_HEAT + 1)
    """ln of (R/c) f: the friction itself."""

    @property
    def number_column(self) -> int:
        """Which of the two figures is ln S; the other is the heat."""
        return SOMMERFELD - int(self.value.start)


def parts(points: int) -> Iterator[slice]:
    """Cut many points into parts of `PART`.

    Examples
    --------
    >>> list(parts(10000))
    [slice(0, 8192, None), slice(8192, 10000, None)]
    """
    for start in range(0, points, PART):
        yield slice(start, min(start + PART, points))


@dataclass(frozen=True)
class FilmFigures:
    """The film of many bearings in dimensionless terms; fields as in `FilmSolution`.

    Parameters
    ----------
    sommerfeld_number, attitude_angle, friction_variable, flow_variable, side_flow_ratio, \
pressure_ratio : ndarray
        See `advisory.engineering.journal_bearing.reynolds.FilmSolution`.
    """

    sommerfeld_number: FloatArray
    attitude_angle: FloatArray
    friction_variable: FloatArray
    flow_variable: FloatArray
    side_flow_ratio: FloatArray
    pressure_ratio: FloatArray


def short_bearing_number(eccentricity_ratio: FloatArray) -> FloatArray:
    """Compute ln(S (L/D)^2) of the short bearing with its half film.

    Parameters
    ----------
    eccentricity_ratio : ndarray
        Above 0 and below 1 [-].

    Returns
    -------
    ndarray
        ln(S (L/D)^2) [-].

    References
    ----------
    F. W. Ocvirk, Short-bearing approximation for full journal bearings, NACA TN 2808 (1952).

    Examples
    --------
    >>> float(np.exp(short_bearing_number(np.array(0.5))).round(3))
    0.106
    """
    square = eccentricity_ratio * eccentricity_ratio
    gap = 1.0 - square
    root = np.sqrt(np.pi**2 * gap + 16.0 * square)
    return np.asarray(np.log(gap * gap / (np.pi * eccentricity_ratio * root)))


def friction_from(
    eccentricity_ratio: FloatArray, sommerfeld_number: FloatArray, attitude_angle: FloatArray
) -> FloatArray:
    """Compute (R/c) f at the journal from S and the attitude angle: an identity.

    Parameters
    ----------
    eccentricity_ratio, sommerfeld_number : ndarray
        [-].
    attitude_angle : ndarray
        [rad].

    Returns
    -------
    ndarray
        The friction variable (R/c) f, shear all round [-].

    References
    ----------
    Integral of the shear (mu U/h + (h/2) dp/dx) by parts: A. Cameron, The Principles of
    Lubrication, Longmans 1966, ch. 14 (from memory); tested against the direct solution's shear.

    Examples
    --------
    >>> round(float(friction_from(np.array(0.6), np.array(0.1209), np.array(0.8819))), 2)
    3.21
    """
    gap = 1.0 - eccentricity_ratio * eccentricity_ratio
    return np.asarray(
        2.0 * np.pi**2 * sommerfeld_number / np.sqrt(gap)
        + 0.5 * eccentricity_ratio * np.sin(attitude_angle)
    )


class FilmTable:
    """The table, ready to be read.

    Parameters
    ----------
    kept : dict
        What `make_table` gives.
    making : dict
        The record of its making.
    """

    def __init__(self, kept: dict[str, FloatArray], making: dict[str, Any]) -> None:
        self.making = making
        e, length = kept["eccentricity_ratio"], kept["length_to_diameter"]
        x, y = np.arctanh(e), np.log(length)
        number = np.log(kept["sommerfeld_number"])
        friction = np.log(kept["friction_variable"])
        side = kept["side_flow_ratio"]
        self.node_short = short_bearing_number(e)
        self.node_gap = 0.5 * np.log1p(-e * e)
        gap = self.node_gap[:, None]
        values = np.empty((7, e.size, length.size))
        values[SOMMERFELD] = number - self.node_short[:, None] + 2.0 * y
        values[FRICTION_HEAT] = friction - number + gap
        values[OIL_FLOW_HEAT] = values[FRICTION_HEAT] - np.log(
            kept["flow_variable"] * (1.0 - 0.5 * side)
        )
        values[ATTITUDE] = kept["attitude_angle"]
        values[FLOW] = kept["flow_variable"]
        values[SIDE] = side * kept["flow_variable"] / e[:, None]
        values[PRESSURE] = kept["pressure_ratio"]
        self.first = EvenAxis(float(x[0]), float((x[-1] - x[0]) / (x.size - 1)), x.size)
        second = EvenAxis(float(y[0]), float((y[-1] - y[0]) / (y.size - 1)), y.size)
        self.splines = SplineTable(self.first, second, values)
        self.searched = {heat: self.splines.pick(heat.value) for heat in Heat}

    def figures(self, eccentricity_ratio: Floats, length_to_diameter: Floats) -> FilmFigures:
        """Read all figures; arguments beyond the table are the caller's to refuse."""
        e, length = np.broadcast_arrays(
            np.asarray(eccentricity_ratio, dtype=np.float64),
            np.asarray(length_to_diameter, dtype=np.float64),
        )
        shape, e, log_length = e.shape, e.ravel(), np.log(length.ravel())
        value = np.empty((len(self.splines), e.size))
        for part in parts(e.size):
            cell, fraction = self.first.locate(np.arctanh(e[part]))
            lines = self.splines.lines(log_length[part])
            np.einsum(
                "kp,kfp->fp", cubic_weights(fraction), lines.in_cell(cell), out=value[:, part]
            )
        number = np.exp(value[SOMMERFELD] + short_bearing_number(e) - 2.0 * log_length)
        return FilmFigures(
            *(
                figure.reshape(shape)
                for figure in (
                    number,
                    value[ATTITUDE],
                    friction_from(e, number, value[ATTITUDE]),
                    value[FLOW],
                    value[SIDE] * e / value[FLOW],
                    value[PRESSURE],
                )
            )
        )


@lru_cache(maxsize=1)
def film_table() -> FilmTable:
    """Load the kept table, once.

    Returns
    -------
    FilmTable

    Examples
    --------
    >>> film_table().making["circumferential_cells"]
    256
    """
    with np.load(TABLE_PATH, allow_pickle=False) as kept:
        arrays = {name: kept[name] for name in kept.files if name != "making"}
        return FilmTable(arrays, json.loads(str(kept["making"])))


def film_figures(eccentricity_ratio: Floats, length_to_diameter: Floats) -> FilmFigures:
    """Read the film's dimensionless figures from the table.

    Parameters
    ----------
    eccentricity_ratio : float or ndarray
        0.01 to 0.99 [-].
    length_to_diameter : float or ndarray
        0.1 to 2 [-].

    Returns
    -------
    FilmFigures
        Arrays of the shape to which the arguments broadcast; within 0.1 % of the direct
        solution in S and friction, 0.3 % in the others.

    Raises
    ------
    OutOfRange
        For an argument beyond the table.

    References
    ----------
    Reynolds' equation solved by `advisory.engineering.journal_bearing.reynolds`.

    Examples
    --------
    >>> float(film_figures(0.6, 1.0).sommerfeld_number.round(4))
    0.1209
    """
    low, high = ECCENTRICITY_ENDS
    e = require("eccentricity_ratio", eccentricity_ratio, at_least=low, at_most=high)
    low, high = LENGTH_ENDS
    length = require("length_to_diameter", length_to_diameter, at_least=low, at_most=high)
    return film_table().figures(e, length)
