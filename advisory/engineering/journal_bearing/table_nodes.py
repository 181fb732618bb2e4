"""Where the nodes of the kept table stand, and where it is kept."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from advisory.engineering.arguments import FloatArray

TABLE_PATH = Path(__file__).with_name("film_table.npz")

ECCENTRICITY_ENDS = (0.01, 0.99)
LENGTH_ENDS = (0.1, 2.0)
ECCENTRICITY_NODES = 72
LENGTH_NODES = 32


def table_nodes() -> tuple[FloatArray, FloatArray]:
    """Lay out the nodes, even in artanh(eccentricity ratio) and in ln(length/diameter).

    Returns
    -------
    tuple of ndarray
        Eccentricity ratios and length-to-diameter ratios [-].

    Examples
    --------
    >>> eccentricity_ratio, length_to_diameter = table_nodes()
    >>> len(eccentricity_ratio), len(length_to_diameter)
    (72, 32)
    """
    low, high = np.arctanh(ECCENTRICITY_ENDS)
    eccentricity = np.tanh(np.linspace(low, high, ECCENTRICITY_NODES))
    short, long = np.log(LENGTH_ENDS)
    length = np.exp(np.linspace(short, long, LENGTH_NODES))
    eccentricity[[0, -1]] = ECCENTRICITY_ENDS
    length[[0, -1]] = LENGTH_ENDS
    return eccentricity, length
