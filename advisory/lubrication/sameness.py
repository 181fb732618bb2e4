"""Whether two results say the same to a person, and what moved one to the other.

Estimates drift with every reading, advice must not: figures within `ALIKE` of each other are the
same figure. The new one is held against the one that was kept, so that what drifts on and on is
told in the end.
"""

from collections.abc import Callable, Mapping, Sequence
from math import isclose
from typing import Any

ALIKE = 0.01
#: By this name stands a new version of the method among what moved an advice.
THE_METHOD = "method"

Record = Mapping[str, Any]
#: What the method as it stands makes of records of inputs; None where it can't read one.
Compute = Callable[[Sequence[Record]], Sequence[Any]]


def says_the_same(one: Any, other: Any) -> bool:
    """Say whether two results, as they are kept, differ in nothing that a person would tell."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(says_the_same(one[k], other[k]) for k in one)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(says_the_same, one, other))
    if _is_number(one) and _is_number(other):
        return isclose(one, other, rel_tol=ALIKE)
    return bool(one == other)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def moved_by(
    before: Record,
    after: Record,
    *,
    said_before: Any,
    versions: tuple[str, str],
    compute: Compute,
) -> list[dict[str, Any]]:
    """Name what moved an advice: the method, and each input that by itself moves the result.

    Each input that differs is changed alone, and the result looked at again, so that what merely
    differs is not blamed. Where none does it alone, all that differ are named.
    """
    differing = [name for name in {**before, **after} if before.get(name) != after.get(name)]
    trials: list[Record] = [before, *({**before, name: after.get(name)} for name in differing)]
    as_it_stands, *changed = compute(trials)
    moved: list[dict[str, Any]] = []
    new_version = versions[0] != versions[1]
    if new_version and (as_it_stands is None or not says_the_same(as_it_stands, said_before)):
        moved.append({"name": THE_METHOD, "before": versions[0], "after": versions[1]})
    by_itself = [
        name
        for name, result in zip(differing, changed, strict=True)
        if result is not None
        and as_it_stands is not None
        and not says_the_same(result, as_it_stands)
    ]
    if not by_itself and (not moved or as_it_stands is None):
        by_itself = differing
    moved += [
        {"name": name, "before": before.get(name), "after": after.get(name)} for name in by_itself
    ]
    if not moved:
        moved.append({"name": THE_METHOD, "before": versions[0], "after": versions[1]})
    return moved
