"""One figure against its allowable, with the source of the limit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

LimitKind = Literal["at least", "at most"]


@dataclass(frozen=True)
class LimitCheck:
    """A figure of a computation beside the limit that it is held to.

    Parameters
    ----------
    name : str
        What is checked, in words.
    value : float or None
        The figure, in `unit`; None where there is none, which never passes.
    limit : float
        The allowable, in `unit`.
    kind : str
        Whether the figure must be "at least" or "at most" the limit.
    unit : str
        SI unit of both, "degC" for temperatures; empty for a bare number.
    source : str
        Where the limit stands, with how it was come by.
    """

    name: str
    value: float | None
    limit: float
    kind: LimitKind
    unit: str
    source: str

    @property
    def passed(self) -> bool:
        """Whether the figure keeps its limit; a figure that is missing or not a number does not.

        A part in 1e9 is allowed, so that a figure on its limit passes whatever unit it came in.
        """
        if self.value is None or math.isnan(self.value):
            return False
        margin = 1e-9 * abs(self.limit)
        if self.kind == "at least":
            return self.value >= self.limit - margin
        return self.value <= self.limit + margin
