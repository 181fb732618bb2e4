"""The discrete Reynolds equation on one grid: coefficients, rupture, integrals.

How the grid is laid and why is said in `advisory.engineering.journal_bearing.reynolds`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray

NODE_PULL = 0.7
"""0 sets the nodes even in angle, 1 even in Sommerfeld's. The inflow asks for less, the peak for
more; of 0.3 to 1.0, tried at eccentricity 0.1 to 0.99, 0.7 has the least error on all columns."""


@dataclass(frozen=True)
class FilmIntegrals:
    """What is linear in the pressure, so that two grids can be extrapolated term by term."""

    load_across: float  # integral of P sin(theta), mean over the length
    load_along: float  # integral of P cos(theta), mean over the length
    pressure_shear: float  # integral of (H/2) dP/dtheta
    inflow: float  # Q / (R c N L)
    side_flow: float  # Qs / (R c N L)
    peak: float  # highest P

    def extrapolated(self, fine: FilmIntegrals) -> FilmIntegrals:
        """Extrapolate to no cell size, the error falling with its square."""
        return FilmIntegrals(
            *(
                (4.0 * b - a) / 3.0
                for a, b in zip(vars(self).values(), vars(fine).values(), strict=True)
            )
        )


@dataclass(frozen=True)
class _Axial:
    """Nodes along half the length, closer together toward the end where the pressure falls."""

    position: FloatArray
    step: FloatArray
    width: FloatArray


@lru_cache(maxsize=32)
def _axial_nodes(cells: int) -> _Axial:
    even = np.linspace(0.0, 1.0, cells + 1)
    position = 0.2 * even + 0.8 * np.sin(0.5 * np.pi * even)
    step = np.diff(position)
    width = np.zeros(cells + 1)
    width[:-1] += 0.5 * step
    width[1:] += 0.5 * step
    return _Axial(position, step, width)


class FilmGrid:
    """The discrete equation of one bearing on one grid: coefficients, solution, integrals."""

    def __init__(self, eccentricity: float, ratio: float, cells: int, axial_cells: int) -> None:
        e = eccentricity
        self.e, self.n, self.m = e, cells, axial_cells
        self.axial = _axial_nodes(axial_cells)
        nodes = np.linspace(0.0, 2.0 * np.pi, cells + 1)
        spacing = float(nodes[1])
        faces = nodes[:-1] + 0.5 * spacing
        pull = ((1.0 + e) / (1.0 - e)) ** (0.5 * NODE_PULL)
        self.angle = 2.0 * np.arctan2(pull * np.sin(nodes / 2.0), np.cos(nodes / 2.0))
        face_angle = 2.0 * np.arctan2(pull * np.sin(faces / 2.0), np.cos(faces / 2.0))
        self.film = 1.0 + e * np.cos(self.angle)
        self.face_film = 1.0 + e * np.cos(face_angle)
        self.face_cos, self.face_sin = np.cos(face_angle), np.sin(face_angle)
        self.arc = _arc(nodes, pull) * spacing
        self.along = self.face_film**3 / (_arc(faces, pull) * spacing)
        self.edge = self.film**3 * self.arc / ratio**2
        inner_step = 1.0 / self.axial.step
        width = self.axial.width[:axial_cells]
        axial_sum = inner_step.copy()
        axial_sum[1:] += inner_step[:-1]
        inner = slice(1, -1)
        self.diagonal = (self.along[:-1] + self.along[1:])[:, None] * width + self.edge[
            inner, None
        ] * axial_sum
        self.off_axial = -self.edge[inner, None] * inner_step[:-1]
        self.off_around = -self.along[1:-1, None] * width
        self.source = -6.0 * np.diff(self.face_film)[:, None] * width

    def solve(self, active: NDArray[np.bool_]) -> tuple[FloatArray, NDArray[np.bool_]]:
        """Pressure at all nodes and the set of nodes with a full film, from a guess of it."""
        from scipy.linalg import solveh_banded  # here, so that importing the package stays quick

        m = self.m
        tolerance = 1e-12 * float(np.abs(self.source).max())
        for _ in range(4 * (self.n + m)):
            rows = int(np.flatnonzero(active.any(axis=1))[-1]) + 1
            full = active[:rows]
            band = np.zeros((m + 1, rows * m))
            band[0] = np.where(full, self.diagonal[:rows], 1.0).ravel()
            step = band[1].reshape(rows, m)
            step[:, :-1] = np.where(full[:, :-1] & full[:, 1:], self.off_axial[:rows], 0.0)
            band[m, : (rows - 1) * m] += np.where(
                full[:-1] & full[1:], self.off_around[: rows - 1], 0.0
            ).ravel()
            right = np.where(full, self.source[:rows], 0.0).ravel()
            inner = np.zeros((self.n - 1, m))
            inner[:rows] = solveh_banded(
                band, right, overwrite_ab=True, overwrite_b=True, lower=True, check_finite=False
            ).reshape(rows, m)
            updated = np.where(active, inner > 0.0, self._excess(inner) < -tolerance)
            if np.array_equal(updated, active):
                pressure = np.zeros((self.n + 1, m + 1))
                pressure[1:-1, :m] = inner
                return pressure, active
            active = updated
        raise ArithmeticError("The rupture of the film was not found.")

    def _excess(self, inner: FloatArray) -> FloatArray:
        """Outflow less inflow of each control volume; negative where oil would gather."""
        excess: FloatArray = self.diagonal * inner - self.source
        excess[1:] += self.off_around * inner[:-1]
        excess[:-1] += self.off_around * inner[1:]
        excess[:, :-1] += self.off_axial * inner[:, 1:]
        excess[:, 1:] += self.off_axial * inner[:, :-1]
        return excess

    def integrals(self, pressure: FloatArray) -> FilmIntegrals:
        """Load, shear, flow and peak of a solved pressure."""
        mean = pressure @ self.axial.width
        inner = mean[1:-1]
        # The first half cell has no equation of its own: its pressure rises in a straight line.
        first = self.edge[0] * pressure[1, -2] / 8.0
        outflow = self.edge[1:-1] * pressure[1:-1, -2]
        # What is drawn into the outermost, half control volume and not carried on leaves too.
        drawn = -6.0 * np.diff(self.face_film) * self.axial.width[-1] * self.axial.step[-1]
        outflow = np.where(outflow > 0.0, np.maximum(outflow + drawn, 0.0), 0.0)
        side = (float(outflow.sum()) + float(first)) / (6.0 * self.axial.step[-1])
        first_drawn = (self.film[0] - self.face_film[0]) * self.axial.width[-1]
        side += float(first_drawn)
        entry = self.face_film[0] - self.along[0] * mean[1] / 6.0
        entry += first / (6.0 * self.axial.step[-1]) + first_drawn
        return FilmIntegrals(
            load_across=float(inner @ (self.face_cos[:-1] - self.face_cos[1:])),
            load_along=float(inner @ np.diff(self.face_sin)),
            pressure_shear=0.5 * float(self.face_film @ np.diff(mean)),
            inflow=np.pi * float(entry),
            side_flow=np.pi * side,
            peak=_peak(pressure[:, 0]),
        )


def _arc(node: FloatArray, pull: float) -> FloatArray:
    """Angle round the bearing for a step between nodes: tan(theta/2) = pull tan(node/2)."""
    return np.asarray(pull / (np.cos(node / 2.0) ** 2 + (pull * np.sin(node / 2.0)) ** 2))


def _peak(pressure: FloatArray) -> float:
    """Highest value of a parabola through the highest node and its neighbours."""
    i = int(np.argmax(pressure))
    low, high, after = (float(p) for p in pressure[i - 1 : i + 2])
    return high + (after - low) ** 2 / (8.0 * (2.0 * high - low - after))


def refined(active: NDArray[np.bool_], cells: int, axial_cells: int) -> NDArray[np.bool_]:
    """Carry the full film of a coarse grid to a finer one, as a guess."""
    rows = (np.arange(1, cells) * (active.shape[0] + 1)) // cells
    columns = np.minimum(
        (np.arange(axial_cells) * active.shape[1]) // axial_cells, active.shape[1] - 1
    )
    return np.asarray(active[np.clip(rows - 1, 0, active.shape[0] - 1)][:, columns])
