"""Many cases as arrays: cases of one kind are computed together, and answered in their order."""

from collections.abc import Callable, Hashable, Sequence

import numpy as np

from advisory.common.calculation.answers import Answer
from advisory.common.calculation.fields import Values
from advisory.engineering.arguments import FloatArray


def column(rows: Sequence[Values], name: str) -> FloatArray:
    """Return one field of many cases as an array."""
    return np.array([row[name] for row in rows], dtype=np.float64)


def by_kind(
    rows: Sequence[Values],
    kind_of: Callable[[Values], Hashable],
    compute: Callable[[Sequence[Values]], Sequence[Answer]],
) -> list[Answer]:
    """Compute the cases of each kind together, where a relation takes one kind at a time."""
    places: dict[Hashable, list[int]] = {}
    for place, row in enumerate(rows):
        places.setdefault(kind_of(row), []).append(place)
    answers: dict[int, Answer] = {}
    for those in places.values():
        answers.update(zip(those, compute([rows[place] for place in those]), strict=True))
    return [answers[place] for place in range(len(rows))]
