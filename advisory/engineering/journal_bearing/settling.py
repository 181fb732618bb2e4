"""Where journals settle: a bracketed search through the table, for many bearings at once.

The search runs over the eccentricity ratio. S, the friction variable and friction over flow all
fall steadily with it (a test holds the table to that), so that with oil that thins as it warms
the film that the load needs and the film that the heat allows meet once and no more: farther out
the film asks for a thinner oil, and being cooler has a thicker one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray
from advisory.engineering.journal_bearing.spline import cubic_weights
from advisory.engineering.journal_bearing.table import (
    FilmTable,
    Heat,
    film_table,
    parts,
    short_bearing_number,
)

Excess: TypeAlias = Callable[[FloatArray, FloatArray], FloatArray]
"""From ln S and ln heat of a trial to a number that is positive where the journal goes farther."""


@dataclass(frozen=True)
class Settled:
    """Where each journal settled.

    Parameters
    ----------
    eccentricity_ratio : ndarray
        Within the table; at its end where the search ran into it [-].
    beyond_thin, beyond_thick : ndarray of bool
        Where the journal would go beyond the table's greatest or least eccentricity.
    """

    eccentricity_ratio: FloatArray
    beyond_thin: NDArray[np.bool_]
    beyond_thick: NDArray[np.bool_]


def settle(
    length_to_diameter: FloatArray, heat: Heat, excess_of: Callable[[slice], Excess]
) -> Settled:
    """Find the eccentricity ratio at which the excess vanishes.

    Parameters
    ----------
    length_to_diameter : ndarray
        0.1 to 2, one dimension [-].
    heat : Heat
        Which heat the excess asks for.
    excess_of : callable
        Given a part of the bearings, returns their excess, which falls with eccentricity.

    Returns
    -------
    Settled
        Of the shape of `length_to_diameter`.
    """
    n = length_to_diameter.size
    found = Settled(np.empty(n), np.empty(n, dtype=np.bool_), np.empty(n, dtype=np.bool_))
    table = film_table()
    for part in parts(n):
        search = _Search(table, length_to_diameter[part], heat, excess_of(part))
        (
            found.eccentricity_ratio[part],
            found.beyond_thin[part],
            found.beyond_thick[part],
        ) = search.run()
    return found


class _Search:
    """One part of the bearings: halving between nodes, then a secant inside the cell."""

    def __init__(
        self, table: FilmTable, length_to_diameter: FloatArray, heat: Heat, excess: Excess
    ) -> None:
        log_length = np.log(length_to_diameter)
        self.table, self.excess = table, excess
        self.lines = table.searched[heat].lines(log_length)
        self.minus_two_log = -2.0 * log_length
        self.number_column = heat.number_column
        self.points = log_length.size

    def run(self) -> tuple[FloatArray, NDArray[np.bool_], NDArray[np.bool_]]:
        low = np.zeros(self.points, dtype=np.intp)
        high = np.full(self.points, self.table.first.nodes - 1, dtype=np.intp)
        at_low, at_high = self._at_node(low), self._at_node(high)
        beyond_thick, beyond_thin = ~(at_low >= 0.0), ~(at_high <= 0.0)
        for _ in range(int(np.ceil(np.log2(self.table.first.nodes - 1)))):
            middle = (low + high) // 2
            value = self._at_node(middle)
            up = value > 0.0
            low, at_low = np.where(up, middle, low), np.where(up, value, at_low)
            high, at_high = np.where(up, high, middle), np.where(up, at_high, value)
        fraction = self._in_cell(low, at_low, at_high)
        place = self.table.first.start + self.table.first.step * (low + fraction)
        return np.tanh(place), beyond_thin, beyond_thick & ~beyond_thin

    def _at_node(self, node: NDArray[np.intp]) -> FloatArray:
        return self._excess(
            self.lines.at_node(node), self.table.node_short[node], self.table.node_gap[node]
        )

    def _in_cell(
        self, cell: NDArray[np.intp], at_low: FloatArray, at_high: FloatArray
    ) -> FloatArray:
        """Follow the secant of Anderson and Bjorck, whose bracket shrinks from both sides."""
        coefficients = self.lines.in_cell(cell)
        base = self.table.first.start + self.table.first.step * cell
        a, b = np.zeros(self.points), np.ones(self.points)
        at_a, at_b = at_low.copy(), at_high.copy()
        for _ in range(30):
            width = at_b - at_a
            step = np.divide(at_b * (b - a), width, out=np.zeros_like(b), where=width != 0.0)
            c = np.clip(b - step, 0.0, 1.0)
            e = np.tanh(base + self.table.first.step * c)
            value = np.einsum("kp,kfp->fp", cubic_weights(c), coefficients)
            at_c = self._excess(value, short_bearing_number(e), 0.5 * np.log1p(-e * e))
            crossed = (at_c > 0.0) != (at_b > 0.0)
            ratio = np.divide(at_c, at_b, out=np.zeros_like(b), where=at_b != 0.0)
            shrink = np.where(ratio < 1.0, 1.0 - ratio, 0.5)
            a, at_a = np.where(crossed, b, a), np.where(crossed, at_b, at_a * shrink)
            moved = np.abs(c - b)
            b, at_b = c, at_c
            if not np.any((moved > 1e-8) & (np.abs(at_c) > 1e-10)):
                break
        return b

    def _excess(self, value: FloatArray, short: FloatArray, gap: FloatArray) -> FloatArray:
        number = value[self.number_column] + short + self.minus_two_log
        return self.excess(number, value[1 - self.number_column] + number - gap)
