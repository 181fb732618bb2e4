"""A second solution of the finite bearing, written apart, that conserves mass in the rupture too.

Jakobsson, Floberg and Olsson's rupture, with the share of the gap that oil fills as unknown where
there is no pressure. Cell-centred volumes, even in angle and length, sparse LU: nothing in common
with the solution in the package but Reynolds' equation.

K. Jakobsson, L. Floberg, The finite journal bearing considering vaporization, Trans. Chalmers
Univ. Techn. 190 (1957); K. O. Olsson, Cavitation in dynamically loaded bearings, ibid. 308 (1965).
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve


def solve(eccentricity_ratio, length_to_diameter, around=360, along=24):
    """S, attitude angle, flow and side flow (over R c N L), pressure ratio, on one grid."""
    e, lam = eccentricity_ratio, 1.0 / length_to_diameter**2
    step, width = 2.0 * np.pi / around, 1.0 / along
    centre = (np.arange(around) + 0.5) * step
    face = np.arange(around + 1) * step
    gap, face_gap = 1.0 + e * np.cos(centre), 1.0 + e * np.cos(face)
    index = np.arange(around * along).reshape(around, along)
    rows, columns, values = [], [], []

    def add(row, column, value):
        rows.append(np.broadcast_to(row, np.shape(value)).ravel())
        columns.append(np.broadcast_to(column, np.shape(value)).ravel())
        values.append(np.ravel(value))

    # Pressure part: conductances between centres; half a cell to the groove and to the ends.
    around_k = np.repeat((face_gap[1:-1] ** 3 / 6.0 / step * width)[:, None], along, axis=1)
    for a, b in ((index[:-1], index[1:]), (index[1:], index[:-1])):
        add(a, a, around_k)
        add(a, b, -around_k)
    for i, f in ((0, 0), (around - 1, around)):
        add(index[i], index[i], np.full(along, face_gap[f] ** 3 / 6.0 / (step / 2.0) * width))
    along_k = np.repeat((gap**3 / 6.0 * lam / width * step)[:, None], along - 1, axis=1)
    for a, b in ((index[:, :-1], index[:, 1:]), (index[:, 1:], index[:, :-1])):
        add(a, a, along_k)
        add(a, b, -along_k)
    end_k = gap**3 / 6.0 * lam / (width / 2.0) * step
    add(index[:, -1], index[:, -1], end_k)
    n = around * along
    pressure_part = coo_matrix(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=(n, n)
    ).tocsc()
    # Drag part: the share that fills a cell goes on with the wall, through the face downstream.
    out = np.repeat((face_gap[1:] * width)[:, None], along, axis=1)
    drag_part = coo_matrix(
        (
            np.concatenate([out.ravel(), -out[:-1].ravel()]),
            (
                np.concatenate([index.ravel(), index[1:].ravel()]),
                np.concatenate([index.ravel(), index[:-1].ravel()]),
            ),
        ),
        shape=(n, n),
    ).tocsc()
    supplied = np.zeros((around, along))
    supplied[0] = face_gap[0] * width  # the groove keeps the widest gap full
    supplied = supplied.ravel()
    full = np.repeat((centre < np.pi)[:, None], along, axis=1).ravel()
    for _ in range(400):
        # One unknown a cell: pressure where full, what is missing from full where ruptured.
        system = pressure_part.multiply(full) - drag_part.multiply(~full)
        unknown = spsolve(system.tocsc(), supplied - drag_part @ np.ones(n))
        updated = np.where(full, unknown > 0.0, unknown < 0.0)
        # Where all cells change at once the set can swing: let the boundary move a cell a time.
        if np.array_equal(updated, full):
            break
        full = updated
    else:
        raise AssertionError("the second solution did not settle")
    pressure = np.where(full, unknown, 0.0).reshape(around, along)
    mean = pressure.sum(axis=1) * width
    across = float(mean @ (np.cos(face[:-1]) - np.cos(face[1:])))
    along_line = float(mean @ (np.sin(face[1:]) - np.sin(face[:-1])))
    load = np.hypot(across, along_line)
    inflow = face_gap[0] - face_gap[0] ** 3 / 6.0 / (step / 2.0) * mean[0]
    side = float((end_k * pressure[:, -1]).sum())
    i = int(np.argmax(pressure[:, 0]))
    low, high, after = pressure[i - 1 : i + 2, 0]
    peak = high + (after - low) ** 2 / (8.0 * (2.0 * high - low - after))
    # The line of centres nearest to mid length lies half a cell off it.
    low = pressure[i, 1]
    peak += (pressure[i, 0] - low) / 8.0
    return np.array([across, along_line, np.pi * inflow, np.pi * side, peak, load])


def extrapolated(eccentricity_ratio, length_to_diameter, around=360, along=24):
    """S, attitude angle [rad], flow variable, side flow ratio and pressure ratio."""
    coarse = solve(eccentricity_ratio, length_to_diameter, around // 2, along // 2)
    fine = solve(eccentricity_ratio, length_to_diameter, around, along)
    across, along_line, flow, side, peak, _ = (4.0 * fine - coarse) / 3.0
    load = np.hypot(across, along_line)
    return {
        "sommerfeld_number": 1.0 / (np.pi * load),
        "attitude_angle": np.arctan2(across, -along_line),
        "flow_variable": flow,
        "side_flow_ratio": side / flow,
        "pressure_ratio": 0.5 * load / peak,
    }
