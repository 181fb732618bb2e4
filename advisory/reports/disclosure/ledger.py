"""Who stands behind the figures of one column, and which figures may be told.

A column is one additive quantity: units, pieces of work, distance watched. What an owner brings to
it lies in cells, by what a reader may ask for (design, filter, years). Each figure that is told is
the sum over some cells. A reader can add and subtract figures, of all choices, as they like.

The figures that are told cut the cells into blocks: two cells are of one block where every figure
has both or neither. Whatever is worked out from sums over whole blocks counts all of a block alike,
so it is about nobody, or about at least one whole block. A figure is therefore admitted only where
each block, with it, still has five owners or more. It is the same for what differs between two
reports: those who bring something else than before must, in each figure and each block, be nobody
or five.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from advisory.reports.columns import places_among, ranked

LEAST_OWNERS = 5

Places = NDArray[np.int64]
Mask = NDArray[np.bool_]
# Which values of a dimension a figure is about; a dimension left out: all.
Query = Mapping[str, Sequence[int]]


@dataclass(frozen=True)
class Contributions:
    """What each owner brings to each cell: rows of owner, cell, and a digest of what it is."""

    dimensions: tuple[str, ...]
    owner: Places
    cell: Places  # rows by dimensions
    digest: NDArray[np.uint64]


def contributions(
    owner: Places,
    dimensions: Mapping[str, Places],
    values: Sequence[NDArray[np.float64] | Places],
) -> Contributions:
    """Sum up rows of the same owner and cell; the digest is over `values`, whatever their order."""
    names = tuple(dimensions)
    rows = np.column_stack([owner, *dimensions.values()]).astype(np.int64)
    digest = np.zeros(len(rows), dtype=np.uint64)
    for value in values:
        whole = np.round(np.nan_to_num(value, nan=-1.0)).astype(np.int64).view(np.uint64)
        digest = _mixed(digest ^ whole)
    kept, place, order = _different(rows)
    starts = np.flatnonzero(np.diff(place[order], prepend=-1))
    summed = np.add.reduceat(digest[order], starts) if len(kept) else digest[:0]
    return Contributions(names, kept[:, 0], kept[:, 1:], summed)


def _different(rows: Places) -> tuple[Places, Places, Places]:
    """Return the different rows, the place of each row among them, and the order of the rows."""
    place, order = ranked(*rows.T)
    kept = np.empty((int(place[order[-1]]) + 1 if order.size else 0, rows.shape[1]), dtype=np.int64)
    kept[place] = rows
    return kept, place, order


def _mixed(number: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """Scatter a number over 64 bits (G. L. Steele et al., splitmix64, OOPSLA 2014)."""
    with np.errstate(over="ignore"):
        number = number + np.uint64(0x9E3779B97F4A7C15)
        number = (number ^ (number >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        number = (number ^ (number >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        return number ^ (number >> np.uint64(31))


@dataclass
class _Side:
    """One report's contributions, each row with its cell's place among all cells."""

    owner: Places  # places among all owners
    cell: Places
    digest: NDArray[np.uint64]

    def of(self, mask: Mask, owners: int) -> NDArray[np.uint64]:
        """Return a digest of what each owner brings to the cells of a mask; 0: nothing."""
        inside = mask[self.cell]
        total = np.zeros(owners, dtype=np.uint64)
        np.add.at(total, self.owner[inside], self.digest[inside])
        return total


@dataclass
class Ledger:
    """The cells of one column and the blocks into which the admitted figures cut them."""

    now: Contributions
    earlier: Sequence[Contributions] = ()
    # owners whose part a reader is told by name elsewhere, and can take off
    known: frozenset[int] = frozenset()
    least: int = LEAST_OWNERS
    _cells: Places = field(init=False)
    _sides: list[_Side] = field(init=False)
    _owners: Places = field(init=False)
    _few: list[frozenset[int]] = field(init=False)
    _block: Places = field(init=False)
    _answers: dict[bytes, bool] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        """Lay all cells, of now and earlier, in one order."""
        every = (self.now, *self.earlier)
        stacked = np.concatenate([each.cell for each in every])
        self._cells, place, _order = _different(stacked)
        owners, owner = places_among(np.concatenate([each.owner for each in every]))
        self._owners = owners
        edges = np.cumsum([0, *(each.owner.size for each in every)])
        self._sides = [
            _Side(owner[a:b], place[a:b], each.digest)
            for each, a, b in zip(every, edges, edges[1:], strict=False)
        ]
        self._few = [self._some_of(cell) for cell in self._by_cell()]
        self._block = np.zeros(len(self._cells), dtype=np.int64)

    def _by_cell(self) -> list[Places]:
        now = self._sides[0]
        order = np.argsort(now.cell, kind="stable")
        edges = np.searchsorted(now.cell[order], np.arange(len(self._cells) + 1))
        owner = self._owners[now.owner[order]]
        return [owner[a:b] for a, b in pairwise(edges)]

    def _some_of(self, owners: Places) -> frozenset[int]:
        """Keep as many of a cell's owners as tell whether there are enough: first the unknown."""
        if not self.known:
            return frozenset(owners[: self.least].tolist())
        every = owners.tolist()
        unknown = [owner for owner in every if owner not in self.known][: self.least]
        return frozenset(unknown + [o for o in every if o in self.known][: self.least])

    @property
    def told_any(self) -> bool:
        """Whether any figure was admitted."""
        return any(self._answers.values())

    def mask(self, query: Query) -> Mask:
        """Return which cells a figure is about."""
        mask = np.ones(len(self._cells), dtype=bool)
        for name, values in query.items():
            mask &= np.isin(self._cells[:, self.now.dimensions.index(name)], list(values))
        return mask

    def admits(self, query: Query) -> bool:
        """Say whether a figure may be told, beside all that were admitted before it."""
        mask = self.mask(query)
        key = mask.tobytes()
        if key not in self._answers:
            self._answers[key] = self._admitted(mask)
        return self._answers[key]

    def _admitted(self, mask: Mask) -> bool:
        if self.least <= 1:
            return bool(self._some(mask))
        if not self._enough(mask):
            return False
        _, split = np.unique(self._block * 2 + mask, return_inverse=True)
        for block in np.unique(split):
            cells = split == block
            before = self._block == self._block[np.argmax(cells)]
            fresh = int(cells.sum()) != int(before.sum()) or not self._answers
            # a block that nobody is in tells nothing
            if fresh and self._some(cells) and not self._enough(cells):
                return False
            if fresh and not self._differs_enough(cells):
                return False
        if not self._differs_enough(mask):
            return False
        self._block = split.astype(np.int64)
        return True

    def _some(self, mask: Mask) -> bool:
        return any(self._few[i] for i in np.flatnonzero(mask))

    def _enough(self, mask: Mask) -> bool:
        """Whether five stand behind, and after taking off the known nobody or five."""
        found: set[int] = set()
        for i in np.flatnonzero(mask):
            found |= self._few[i]
            others = found - self.known
            if len(others) >= self.least:
                return True
        return len(found) >= self.least and not found - self.known

    def _differs_enough(self, mask: Mask) -> bool:
        """Whether those who bring something else than in an earlier report are nobody or five."""
        if len(self._sides) == 1:
            return True
        owners = self._owners.size
        now = self._sides[0].of(mask, owners)
        for side in self._sides[1:]:
            changed = int((side.of(mask, owners) != now).sum())
            if 0 < changed < self.least:
                return False
        return True
