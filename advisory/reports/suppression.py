"""Which figures of a table may be shown, so that none tells of fewer than five owners.

Rows of a table divide the units between them; beside them stands the total. A reader can add and
subtract what is shown. Since the rows share no unit, everything that can be worked out so is a sum
of shown rows, with or without the rest: the total less all shown rows. So each shown row and the
rest must have owners enough behind it. Unions of such sets have enough as well.
"""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

LEAST_OWNERS = 5

Key = TypeVar("Key", bound=Hashable)
Owners = frozenset[int]
NOBODY: Owners = frozenset()


@dataclass(frozen=True)
class Showable(Generic[Key]):
    """What of a table may be shown."""

    total: bool
    rows: frozenset[Key]


def enough_behind(owners: Owners, known: Owners = NOBODY) -> bool:
    """Say whether a figure about these owners may be shown.

    `known` are owners whose part in the figure the reader is told elsewhere, by name: taking it off
    must leave nobody, or again enough.
    """
    others = owners - known
    return len(owners) >= LEAST_OWNERS and (not others or len(others) >= LEAST_OWNERS)


def showable(owners_of_row: Mapping[Key, Owners], known: Owners = NOBODY) -> Showable[Key]:
    """Choose the rows of one column that may be shown, given the owners behind each.

    Where the rest could be worked out and has too few behind it, the row with the fewest owners is
    left out too, and the next, until the rest has enough. Of rows with as many the first is left
    out, always: whoever saw now one and now the other could take both off the total.
    """
    place = {key: number for number, key in enumerate(owners_of_row)}
    everybody = NOBODY.union(*owners_of_row.values())
    total = enough_behind(everybody, known)
    shown = {key for key, owners in owners_of_row.items() if enough_behind(owners, known)}
    while total and shown:
        rest = NOBODY.union(*(owners for key, owners in owners_of_row.items() if key not in shown))
        if not rest or enough_behind(rest, known):
            break
        shown.remove(min(shown, key=lambda key: (len(owners_of_row[key]), place[key])))
    return Showable(total, frozenset(shown))
