"""The ways in which findings are counted: what was watched under which cell, and what was found.

Cells of one stratum are compared with each other and with nothing else: a bearing with bearings. A
cell that is not `told` (no batch was written down) only stands among the others of its stratum.
"""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from advisory.lubrication.enums import Filtration
from advisory.register.enums import PositionKind
from advisory.register.sheet_fields import ORIGIN as ORIGINS
from advisory.reports.enums import Cut
from advisory.reports.gathering import FILTRATIONS
from advisory.reports.gathering.distances import Places
from advisory.reports.recurring.gathering import BATCH, CAUSES, MARKS, ORIGIN, Watched, one_spelling
from advisory.reports.recurring.stretches import Stretches, cut


@dataclass(frozen=True)
class Cell:
    """What is counted together, and with which others it is compared."""

    key: str
    name: str  # as somebody wrote it, or the value of an enum
    of: str  # the design or the kind of position that it is told with, if any
    stratum: Hashable
    told: bool = True


@dataclass(frozen=True)
class Counted:
    """One cut: its cells, the stretches watched in them, and the findings that fell there.

    `unit` is of each stretch, `cell` too; `found` are places among the findings.
    """

    cut: Cut
    cells: tuple[Cell, ...]
    unit: Places
    cell: Places
    stretches: Stretches
    found: Places
    found_cell: Places


def _made(
    which: Cut,
    cells: list[Cell],
    unit: Places,
    stretches: Stretches,
    subject: Places,
    seen: Watched,
) -> Counted:
    """Put each finding into the stretch that holds it; `subject` is what it was found on, or -1."""
    holding = np.where(subject >= 0, stretches.holding(np.maximum(subject, 0), seen.found_day), -1)
    found = np.flatnonzero(holding >= 0)
    return Counted(
        cut=which,
        cells=tuple(cells),
        unit=unit[stretches.subject],
        cell=stretches.value,
        stretches=stretches,
        found=found,
        found_cell=stretches.value[holding[found]],
    )


def _as_they_are(seen: Watched, value: Places, subject: Places | None = None) -> Stretches:
    """Return one stretch a subject, of a value that never changes."""
    unit = np.arange(seen.units) if subject is None else subject
    kept = seen.until[unit] > seen.begin[unit]
    return Stretches(
        np.flatnonzero(kept), seen.begin[unit][kept], seen.until[unit][kept], value[kept]
    )


def by_design(seen: Watched) -> Counted:
    """Count by design, all versions of one together."""
    cells = [Cell(f"design-{pk}", name, "", None) for pk, name in seen.designs]
    stretches = _as_they_are(seen, seen.design)
    return _made(Cut.DESIGN, cells, np.arange(seen.units), stretches, seen.found_unit, seen)


def by_filter(seen: Watched) -> Counted:
    """Count by the filter that was there at the time."""
    unknown = FILTRATIONS.index(Filtration.UNKNOWN)
    cells = [Cell(f"filter-{each.value}", each.value, "", None) for each in FILTRATIONS]
    stretches = cut(
        seen.begin, seen.until, seen.oiled_unit, seen.oiled_day, seen.oiled_filter, before=unknown
    )
    return _made(Cut.FILTER, cells, np.arange(seen.units), stretches, seen.found_unit, seen)


def _subjects(seen: Watched) -> tuple[Places, Places]:
    """Return unit and place of every place of every unit, in order of both."""
    of_design: dict[int, list[int]] = {}
    for number, row in enumerate(seen.places):
        of_design.setdefault(row.design, []).append(number)
    there = [np.array(of_design.get(d, ()), dtype=np.int64) for d in range(len(seen.designs))]
    many = np.array([each.size for each in there], dtype=np.int64)
    unit = np.repeat(np.arange(seen.units), many[seen.design])
    parts = [there[d] for d in seen.design.tolist()]
    place = np.concatenate(parts) if parts else np.zeros(0, dtype=np.int64)
    return unit, place


def _subject_at(seen: Watched, unit: Places, place: Places, at: Places, where: Places) -> Places:
    """Return the subject that is a unit's place; -1 where it has no such place."""
    if not unit.size:
        return np.full(at.shape, -1, dtype=np.int64)
    wide = len(seen.places) + 1
    keys = unit * wide + place
    wanted = at * wide + where
    found = np.minimum(np.searchsorted(keys, wanted), keys.size - 1)
    return np.where((where >= 0) & (keys[found] == wanted), found, -1)


def by_position(seen: Watched) -> Counted:
    """Count by the place of a design; places of a kind are compared, on whichever unit."""
    cells = [
        Cell(f"position-{row.key}", row.name, seen.designs[row.design][1], row.kind)
        for row in seen.places
    ]
    unit, place = _subjects(seen)
    subject = _subject_at(seen, unit, place, seen.found_unit, seen.found_place)
    return _made(Cut.POSITION, cells, unit, _as_they_are(seen, place, unit), subject, seen)


def _by_word(seen: Watched, which: Cut, words: Sequence[str], said: Places) -> Counted:
    """Count by what a finding is called, on each design; a word is compared with itself elsewhere.

    `said` is each finding's place in `words`, or -1. Every unit is watched for every word.
    """
    there = np.unique(said[said >= 0])
    number = np.searchsorted(there, said)
    cells = [
        Cell(f"{which.value}-{words[word]}-design-{pk}", words[word], name, words[word])
        for word in there.tolist()
        for pk, name in seen.designs
    ]
    unit = np.tile(np.arange(seen.units), there.size)
    value = np.repeat(np.arange(there.size), seen.units) * len(seen.designs) + seen.design[unit]
    subject = np.where(said >= 0, number * seen.units + seen.found_unit, -1)
    return _made(which, cells, unit, _as_they_are(seen, value, unit), subject, seen)


def by_mark(seen: Watched) -> Counted:
    """Count by the damage mark that was picked."""
    return _by_word(seen, Cut.MARK, [mark.value for mark in MARKS], seen.found_mark)


def by_cause(seen: Watched) -> Counted:
    """Count by what was found to be the cause when it was closed."""
    return _by_word(seen, Cut.CAUSE, [cause.value for cause in CAUSES], seen.found_cause)


def _by_part(seen: Watched, which: Cut, what: str, *, not_written: bool) -> Counted:
    """Count by what build sheets say of the part that was there; it stays until one says other."""
    unit, place = _subjects(seen)
    kinds = list(PositionKind)
    kind = np.array([kinds.index(row.kind) for row in seen.places] or [0], dtype=np.int64)
    cells = [
        Cell(f"{what}-{each.value}-", "", each.value, each, told=not_written) for each in kinds
    ]
    known: dict[tuple[PositionKind, str], int] = {}
    written = [part for part in seen.parts if part.what == what]
    value = []
    for part in written:
        of = seen.places[part.place].kind
        text = one_spelling(part.text)
        cell = known.setdefault((of, text), len(cells))
        if cell == len(cells):
            name = " ".join(part.text.split())
            cells.append(Cell(f"{what}-{of.value}-{text}", name, of.value, of))
        value.append(cell)
    at = np.array([part.unit for part in written], dtype=np.int64)
    where = np.array([part.place for part in written], dtype=np.int64)
    days = np.array([part.day for part in written], dtype=np.float64)
    changed = _subject_at(seen, unit, place, at, where)
    there = changed >= 0
    stretches = cut(
        seen.begin[unit],
        seen.until[unit],
        changed[there],
        days[there],
        np.array(value, dtype=np.int64)[there],
        before=-1,
    )
    # before anything was written: the cell of its kind without a name
    none = kind[place[stretches.subject]]
    stretches = Stretches(
        stretches.subject,
        stretches.begin,
        stretches.until,
        np.where(stretches.value < 0, none, stretches.value),
    )
    subject = _subject_at(seen, unit, place, seen.found_unit, seen.found_place)
    return _made(which, cells, unit, stretches, subject, seen)


def by_batch(seen: Watched) -> Counted:
    """Count by the batch that the part at the place is of."""
    return _by_part(seen, Cut.BATCH, BATCH, not_written=False)


def by_origin(seen: Watched) -> Counted:
    """Count by whether the part at the place is original, remade or from a donor unit."""
    return _by_part(seen, Cut.ORIGIN, ORIGIN, not_written=True)


ORIGIN_WORDS = dict(ORIGINS)
CUTS: dict[Cut, Callable[[Watched], Counted]] = {
    Cut.DESIGN: by_design,
    Cut.POSITION: by_position,
    Cut.MARK: by_mark,
    Cut.CAUSE: by_cause,
    Cut.FILTER: by_filter,
    Cut.BATCH: by_batch,
    Cut.ORIGIN: by_origin,
}
