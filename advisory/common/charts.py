"""Geometry of the small charts, drawn by a template as SVG, with the same figures as a table."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import ceil, floor

from advisory.common.drawing import nice_step

# From here on a figure is written out rather than to six digits.
A_MILLION = 1_000_000


@dataclass(frozen=True)
class Series:
    """One line or row of bars; `style` picks its stroke: solid, dashed, chain or dotted.

    A curve that was computed closely is drawn without `dots`.
    """

    label: str
    points: Sequence[tuple[float, float]]
    style: str = "solid"
    dots: bool = True


@dataclass(frozen=True)
class Mark:
    """A level that the eye should compare with, such as a wear limit."""

    label: str
    y: float


@dataclass(frozen=True)
class Chart:
    """A small line or bar chart with its table; the template draws it.

    `sentence` says what it shows. `x_words` names the categories of a bar chart.
    """

    title: str
    sentence: str
    series: Sequence[Series]
    x_label: str
    y_label: str
    kind: str = "line"
    marks: Sequence[Mark] = ()
    x_words: Sequence[str] = ()
    from_zero: bool = True

    WIDTH = 640.0
    HEIGHT = 320.0
    LEFT, RIGHT, TOP, BOTTOM = 72.0, 32.0, 36.0, 64.0

    @cached_property
    def empty(self) -> bool:
        """Nothing to draw."""
        return not any(series.points for series in self.series)

    @cached_property
    def _y_bounds(self) -> tuple[float, float, float]:
        ys = [y for series in self.series for _, y in series.points]
        ys += [mark.y for mark in self.marks]
        low, high = min(ys), max(ys)
        if self.from_zero:
            low, high = min(0.0, low), max(0.0, high)
        if high == low:
            high = low + (abs(low) or 1.0)
        step = nice_step(high - low, 5)
        return floor(low / step) * step, ceil(high / step - 1e-9) * step, step

    @cached_property
    def _x_bounds(self) -> tuple[float, float, float]:
        xs = [x for series in self.series for x, _ in series.points]
        low, high = min(xs), max(xs)
        if self.kind == "bar":
            return -0.5, max(high, len(self.x_words) - 1) + 0.5, 1.0
        if high == low:
            high = low + (abs(low) or 1.0)
        step = nice_step(high - low, 6)
        return low, high, step

    def _x(self, value: float) -> float:
        low, high, _ = self._x_bounds
        return self.LEFT + (self.WIDTH - self.LEFT - self.RIGHT) * (value - low) / (high - low)

    def _y(self, value: float) -> float:
        low, high, _ = self._y_bounds
        return (
            self.HEIGHT
            - self.BOTTOM
            - (self.HEIGHT - self.TOP - self.BOTTOM) * (value - low) / (high - low)
        )

    @property
    def x_ticks(self) -> list[tuple[str, str]]:
        """Position and words of each graduation along the bottom."""
        low, high, step = self._x_bounds
        if self.x_words:
            return [(f"{self._x(i):.1f}", word) for i, word in enumerate(self.x_words)]
        first = ceil(low / step - 1e-9)
        last = floor(high / step + 1e-9)
        return [(f"{self._x(i * step):.1f}", figure(i * step)) for i in range(first, last + 1)]

    @property
    def y_ticks(self) -> list[tuple[str, str]]:
        """Position and words of each graduation up the side."""
        low, high, step = self._y_bounds
        return [
            (f"{self._y(low + i * step):.1f}", figure(low + i * step))
            for i in range(round((high - low) / step) + 1)
        ]

    @property
    def lines(self) -> list[tuple[Series, str, list[tuple[str, str]]]]:
        """Each series with its polyline and its points."""
        drawn = []
        for series in self.series:
            at = [(f"{self._x(x):.1f}", f"{self._y(y):.1f}") for x, y in series.points]
            drawn.append((series, " ".join(f"{x},{y}" for x, y in at), at))
        return drawn

    @property
    def bars(self) -> list[tuple[Series, list[dict[str, str]]]]:
        """Each series with its bars: groups stand side by side."""
        group = self._x(1.0) - self._x(0.0)
        width = group * 0.56 / max(1, len(self.series))
        floor_y = self._y(max(0.0, self._y_bounds[0]))
        drawn = []
        for number, series in enumerate(self.series):
            bars = []
            for x, y in series.points:
                left = self._x(x) - group * 0.28 + number * width
                top = self._y(y)
                bars.append(
                    {
                        "x": f"{left:.1f}",
                        "y": f"{min(top, floor_y):.1f}",
                        "width": f"{width:.1f}",
                        "height": f"{abs(floor_y - top):.1f}",
                        "middle": f"{left + width / 2:.1f}",
                        "words": figure(y),
                        "over": f"{min(top, floor_y) - 6:.1f}",
                    }
                )
            drawn.append((series, bars))
        return drawn

    @property
    def mark_lines(self) -> list[tuple[Mark, str]]:
        """Each mark with its height."""
        return [(mark, f"{self._y(mark.y):.1f}") for mark in self.marks]

    @property
    def table(self) -> list[tuple[str, list[str]]]:
        """The same figures as rows: the place along the bottom, then one cell a series."""
        xs = sorted({x for series in self.series for x, _ in series.points})
        values = [dict(series.points) for series in self.series]
        rows = []
        for x in xs:
            word = self.x_words[int(x)] if self.x_words else figure(x)
            rows.append((word, [figure(v[x]) if x in v else "" for v in values]))
        return rows


def figure(value: float) -> str:
    """Write a figure of a chart, with a thin space between thousands."""
    text = f"{value:,.6g}" if abs(value) < A_MILLION else f"{value:,.0f}"
    return text.replace(",", "\N{NARROW NO-BREAK SPACE}").replace("-", "\N{MINUS SIGN}")
