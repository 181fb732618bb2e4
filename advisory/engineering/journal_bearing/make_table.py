"""Make the table of the finite journal bearing: ``python -m`` with this module's name.

The table is kept in the package as ``film_table.npz``: the physical values at every node, and
the record of their making. It takes about half a minute.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np

from advisory.engineering.arguments import FloatArray
from advisory.engineering.journal_bearing.reynolds import FilmSolution, solve_films
from advisory.engineering.journal_bearing.table_nodes import (
    ECCENTRICITY_ENDS,
    ECCENTRICITY_NODES,
    LENGTH_ENDS,
    LENGTH_NODES,
    TABLE_PATH,
    table_nodes,
)

CIRCUMFERENTIAL_CELLS = 256
AXIAL_CELLS = 24

MAKING = {
    "made_by": "python -m advisory.engineering.journal_bearing.make_table",
    "solution": "advisory.engineering.journal_bearing.reynolds.solve_films",
    "circumferential_cells": CIRCUMFERENTIAL_CELLS,
    "axial_cells_of_half_the_length": AXIAL_CELLS,
    "extrapolation": "Richardson, from half the cells",
    "eccentricity_ratio": f"{ECCENTRICITY_NODES} nodes, even in artanh, {ECCENTRICITY_ENDS}",
    "length_to_diameter": f"{LENGTH_NODES} nodes, even in ln, {LENGTH_ENDS}",
}
"""The record kept with the table; a test recomputes nodes by it."""


def make_table(report: Callable[[str], None] = lambda line: None) -> dict[str, FloatArray]:
    """Solve Reynolds' equation at every node of the table.

    Parameters
    ----------
    report : callable, optional
        Is told how far the work has come.

    Returns
    -------
    dict of str to ndarray
        The nodes, and each figure of `FilmSolution` with shape (eccentricities, lengths).
    """
    eccentricity, lengths = table_nodes()
    names = [f.name for f in fields(FilmSolution)][2:]
    table = {name: np.empty((eccentricity.size, lengths.size)) for name in names}
    for j, length in enumerate(lengths):
        films = solve_films(
            eccentricity,
            float(length),
            circumferential_cells=CIRCUMFERENTIAL_CELLS,
            axial_cells=AXIAL_CELLS,
        )
        for name in names:
            table[name][:, j] = [getattr(film, name) for film in films]
        report(f"L/D {length:.4f}: {j + 1} of {lengths.size}")
    return {"eccentricity_ratio": eccentricity, "length_to_diameter": lengths, **table}


def main() -> None:
    """Make the table and keep it in the package, or where told."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--output", type=Path, default=TABLE_PATH, help="where to write it")
    arguments = parser.parse_args()
    table = make_table(lambda line: print(line, file=sys.stderr))  # noqa: T201
    making: Any = np.array(json.dumps(MAKING, sort_keys=True))
    np.savez_compressed(arguments.output, allow_pickle=False, making=making, **table)


if __name__ == "__main__":
    main()
