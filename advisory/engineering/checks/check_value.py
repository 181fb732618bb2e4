"""A published value beside the computation that must meet it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

Mark = Literal["R", "M", "C", "P"]
"""How a published value was come by.

R: read in the source named, or in a reproduction of it. M: from memory of that source.
C: computed independently. P: common practice, no source.
"""

MARK_WORDS: dict[Mark, str] = {
    "R": "read",
    "M": "from memory",
    "C": "computed independently",
    "P": "common practice, no source",
}


@dataclass(frozen=True)
class CheckValue:
    """One published value, where it stands, and how to compute it here.

    Parameters
    ----------
    what : str
        The quantity and its case, in words.
    published : float
        The value of the source, in `unit`.
    unit : str
        Unit of both values; empty for a bare number.
    compute : callable
        Without arguments; gives the value of this package in `unit`.
    tolerance : float
        Largest difference allowed: a share of the published value, or, where `absolute`, in `unit`.
    source : str
        Author, title, edition and page, clause or DOI.
    marks : tuple of str
        How the published value was come by, see `Mark`.
    absolute : bool
        Whether the tolerance is in `unit` and not a share.
    remark : str
        What a reader must know of the source's own errors or of the tolerance.
    """

    what: str
    published: float
    unit: str
    compute: Callable[[], float]
    tolerance: float
    source: str
    marks: tuple[Mark, ...]
    absolute: bool = False
    remark: str = ""

    @property
    def allowed(self) -> float:
        """Largest difference allowed, in `unit`."""
        return self.tolerance if self.absolute else self.tolerance * abs(self.published)

    def met_by(self, computed: float) -> bool:
        """Tell whether a computed value lies within the tolerance of the published one."""
        return abs(computed - self.published) <= self.allowed * (1.0 + 1e-12)

    def holds(self) -> bool:
        """Compute the value, and tell whether it meets the published one."""
        return self.met_by(self.compute())
