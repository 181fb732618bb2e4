"""Cubic splines on even nodes in two directions, read at many points at once.

A point is read in two steps, so that a search along the first direction costs little: `lines`
takes the splines across at fixed places of the second direction, and what it gives is read at
nodes or inside cells of the first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray

IntArray = NDArray[np.intp]


def cubic_weights(fraction: FloatArray) -> FloatArray:
    """Compute the four weights of a uniform cubic B-spline in a cell.

    Parameters
    ----------
    fraction : ndarray
        Place in the cell, 0 to 1.

    Returns
    -------
    ndarray
        The weights, shape (4,) and that of `fraction`.

    References
    ----------
    C. de Boor, A Practical Guide to Splines, revised edition, Springer 2001, ch. IX.

    Examples
    --------
    >>> (cubic_weights(np.array(0.0)) * 6).round(12).tolist()
    [1.0, 4.0, 1.0, 0.0]
    """
    rest = 1.0 - fraction
    square, rest_square = fraction * fraction, rest * rest
    return np.stack(
        [
            rest_square * rest / 6.0,
            2.0 / 3.0 - square * (1.0 + rest) / 2.0,
            2.0 / 3.0 - rest_square * (1.0 + fraction) / 2.0,
            square * fraction / 6.0,
        ]
    )


def _coefficients(values: FloatArray) -> FloatArray:
    """Return coefficients along the first axis; the third derivative runs on at the ends."""
    n = values.shape[0]
    system = np.zeros((n + 2, n + 2))
    for k in range(n):
        system[k, k : k + 3] = (1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0)
    system[n, :5] = (1.0, -4.0, 6.0, -4.0, 1.0)
    system[n + 1, -5:] = (1.0, -4.0, 6.0, -4.0, 1.0)
    right = np.concatenate([values, np.zeros((2, values.shape[1]))])
    return np.asarray(np.linalg.solve(system, right))


@dataclass(frozen=True)
class EvenAxis:
    """Even nodes along one direction.

    Parameters
    ----------
    start, step : float
        First node and spacing.
    nodes : int
        How many.
    """

    start: float
    step: float
    nodes: int

    def locate(self, place: FloatArray) -> tuple[IntArray, FloatArray]:
        """Find the cell of each place and the fraction of the cell that it lies in."""
        steps = (place - self.start) / self.step
        cell = np.clip(steps.astype(np.intp), 0, self.nodes - 2)
        return cell, steps - cell


class SplineTable:
    """Several figures on the same even nodes, each a bicubic spline.

    The four coefficients across that a point needs are kept for each node, and the sixteen of a
    cell likewise, points last: each is then one look-up and one contraction over long rows.

    Parameters
    ----------
    first, second : EvenAxis
        Nodes of both directions.
    values : ndarray
        Shape (figures, first nodes, second nodes).
    """

    def __init__(self, first: EvenAxis, second: EvenAxis, values: FloatArray) -> None:
        self.first, self.second = first, second
        spline = np.stack([_coefficients(_coefficients(figure).T).T for figure in values])
        at_nodes = (spline[:, :-2] + 4.0 * spline[:, 1:-1] + spline[:, 2:]) / 6.0
        across, along = second.nodes - 1, first.nodes - 1
        self._nodes = np.stack([at_nodes[..., k : k + across] for k in range(4)])
        four = np.stack([spline[..., k : k + across] for k in range(4)])
        self._cells = np.stack([four[:, :, k : k + along] for k in range(4)], axis=1)

    def __len__(self) -> int:
        return int(self._nodes.shape[1])

    def pick(self, figures: slice) -> SplineTable:
        """Keep only some of the figures."""
        picked = object.__new__(SplineTable)
        picked.first, picked.second = self.first, self.second
        picked._nodes = np.ascontiguousarray(self._nodes[:, figures])
        picked._cells = np.ascontiguousarray(self._cells[:, :, figures])
        return picked

    def lines(self, place: FloatArray) -> SplineLines:
        """Take the splines along the first direction at places of the second, one dimension."""
        column, fraction = self.second.locate(place)
        columns = self.second.nodes - 1
        return SplineLines(
            self._nodes.reshape(4, len(self), -1),
            self._cells.reshape(4, 4 * len(self), -1),
            column,
            columns,
            cubic_weights(fraction),
        )


class SplineLines:
    """For each point, the figures as splines along the first direction."""

    def __init__(
        self,
        nodes: FloatArray,
        cells: FloatArray,
        column: IntArray,
        columns: int,
        weights: FloatArray,
    ) -> None:
        self._nodes, self._cells = nodes, cells
        self._column, self._columns, self._weights = column, columns, weights

    def at_node(self, node: IntArray) -> FloatArray:
        """Read the figures at nodes of the first direction, shape (figures, points)."""
        return self._across(self._nodes, node)

    def in_cell(self, cell: IntArray) -> FloatArray:
        """Read the coefficients of a cell for `cubic_weights`, shape (4, figures, points)."""
        return self._across(self._cells, cell).reshape(4, -1, cell.size)

    def _across(self, table: FloatArray, row: IntArray) -> FloatArray:
        four = table.take(row * self._columns + self._column, axis=2)
        return np.asarray(np.einsum("kp,kfp->fp", self._weights, four))
