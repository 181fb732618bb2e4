"""Geometry of the small drawings on the pages: the dimension line of a plan item, and comparisons.

Positions are percentages of the drawing's width, so that one SVG fits a phone and a bench screen.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import floor, isfinite, log10

# Below this share of the width the words about what is left don't fit over their own stretch.
ROOM_FOR_WORDS = 42.0
# Beyond this share the words under the due mark would run into those under today's.
ROOM_UNDER_MARK = 60
# However long overdue, the stretch up to the due mark keeps this share of the width.
LEAST_DUE = 30.0
TICKS_WANTED = 12


def nice_step(span: float, wanted: int) -> float:
    """Return the round step (1, 2 or 5 times a power of ten) that cuts `span` in about `wanted`."""
    raw = span / wanted
    power = 10.0 ** floor(log10(raw))
    for factor in (1.0, 2.0, 5.0):
        if raw <= factor * power:
            return factor * power
    return 10.0 * power


def per_cent(share: float) -> str:
    """Write a position for an SVG attribute: never in the reader's locale."""
    return f"{share:.2f}%"


@dataclass(frozen=True)
class Tick:
    """One graduation of a scale."""

    x: str
    major: bool


@dataclass(frozen=True)
class Gauge:
    """Where something stands between when it was last done and when it is due.

    `done`, `now` and `due` are on one scale (metres, seconds, days: any); None is 'not known'. The
    words say the same, and what is left, for the reader; they are what a screen reader hears.
    """

    now: float | None
    due: float | None
    done: float | None = None
    left_words: str = ""
    done_words: str = ""
    due_words: str = ""
    now_words: str = ""
    soon: bool = False
    # what its two ends and the pointer are called, where it is not about last done and due
    done_label: str = ""
    due_label: str = ""
    now_label: str = ""

    @cached_property
    def known(self) -> bool:
        """Whether there is a scale to draw at all."""
        return (
            self.now is not None
            and self.due is not None
            and isfinite(self.now)
            and isfinite(self.due)
            and (self.due > self._start or self.now > self._start)
        )

    @property
    def _start(self) -> float:
        if self.done is not None:
            return self.done
        return min(self.now or 0.0, self.due or 0.0)

    @cached_property
    def state(self) -> str:
        """One of `unknown`, `over`, `soon`, `in-hand`: for the drawing; words stand beside it."""
        if not self.known or self.now is None or self.due is None:
            return "unknown"
        if self.now > self.due:
            return "over"
        return "soon" if self.soon else "in-hand"

    def _share(self, value: float) -> float:
        now, due, start = self.now or 0.0, self.due or 0.0, self._start
        if now <= due:
            return 100.0 * (value - start) / (due - start)
        due_share = max(LEAST_DUE, 100.0 * (due - start) / (now - start))
        if value <= due:
            return due_share * (value - start) / (due - start) if due > start else due_share
        return due_share + (100.0 - due_share) * (value - due) / (now - due)

    @cached_property
    def now_share(self) -> float:
        """The pointer, in per cent of the width."""
        return max(0.0, min(100.0, self._share(self.now or 0.0)))

    @cached_property
    def due_share(self) -> float:
        """The due mark, in per cent of the width."""
        return self._share(self.due or 0.0)

    @property
    def now_x(self) -> str:
        """The pointer as an SVG position."""
        return per_cent(self.now_share)

    @property
    def due_x(self) -> str:
        """The due mark as an SVG position."""
        return per_cent(self.due_share)

    @cached_property
    def broken(self) -> bool:
        """Whether the stretch past due is drawn shorter than it is, and so gets a break mark."""
        if self.state != "over" or self.now is None or self.due is None:
            return False
        return 100.0 * (self.due - self._start) < LEAST_DUE * (self.now - self._start)

    @property
    def break_x(self) -> str:
        """Where the break mark stands."""
        return per_cent((self.due_share + 100.0) / 2)

    @property
    def due_column(self) -> str:
        """The due mark to the nearest tenth, for the words under it, where they have room there."""
        tenth = round(self.due_share / 10.0) * 10
        return str(tenth) if self.state == "over" and tenth <= ROOM_UNDER_MARK else ""

    @property
    def over_width(self) -> str:
        """The width of the stretch past due."""
        return per_cent(self.now_share - self.due_share)

    @property
    def words_x(self) -> str:
        """Where the words about what is left stand."""
        if self.state == "over":
            return per_cent(100.0)
        if 100.0 - self.now_share >= ROOM_FOR_WORDS:
            return per_cent((100.0 + self.now_share) / 2)
        return per_cent(100.0)

    @property
    def words_anchor(self) -> str:
        """How they stand there."""
        return "middle" if self.words_x != per_cent(100.0) else "end"

    @cached_property
    def ticks(self) -> list[Tick]:
        """Round graduations from the start up to the due mark."""
        if not self.known or self.due is None or self.due <= self._start:
            return []
        step = nice_step(self.due - self._start, TICKS_WANTED)
        count = floor((self.due - self._start) / step + 1e-9)
        return [
            Tick(per_cent(self._share(self._start + i * step)), i % 5 == 0)
            for i in range(count + 1)
        ]


@dataclass(frozen=True)
class Compared:
    """One row of a side-by-side comparison: a kind, its amount, and the words for both."""

    label: str
    amount: float | None
    words: str
    why: str = ""
    current: bool = False


@dataclass(frozen=True)
class Comparison:
    """Rows measured from one datum, like dimensions on a drawing."""

    rows: Sequence[Compared]

    @property
    def drawn(self) -> list[tuple[Compared, str]]:
        """Each row with the length of its line."""
        longest = max((row.amount or 0.0 for row in self.rows), default=0.0)
        return [
            (row, per_cent(100.0 * (row.amount or 0.0) / longest) if longest > 0 else "")
            for row in self.rows
        ]
