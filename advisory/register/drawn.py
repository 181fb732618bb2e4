"""A unit along its shaft: each position in its place, its gap drawn large, and the same in words.

The shaft runs downward, one row of a table for each position, so that the drawing is the table: it
fits a phone and a bench screen, and is read aloud row by row. Gaps of one quantity share one scale,
which stands above them; the rest is not to scale. A journal is drawn as it lies at rest, on one
side of its bore, so that the gap is the whole running clearance.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.common.drawing import nice_step
from advisory.common.quantities import Preferences, from_si, in_words, unit_for
from advisory.register.enums import MeasuredQuantity, Stands
from advisory.register.models import Position
from advisory.register.queries import AsBuilt, SheetRow

# The drawing of one row, in its own units: the shaft between two lines, the gap beside it.
WIDTH, HEIGHT = 180.0, 96.0
SHAFT_LEFT, SHAFT_RIGHT = 44.0, 92.0
COLLAR_TOP = 46.0
GAP_MOST = 44.0  # at the largest limit
AXIAL_MOST = 26.0
# figures were typed with a few places; two that were typed alike must compare alike
AS_TYPED_ALIKE = 1e-9
# quantities whose gap opens along the shaft
AXIAL = frozenset({MeasuredQuantity.END_FLOAT, MeasuredQuantity.GAP})


def _at(place: float) -> str:
    """Write a place for an SVG attribute: never in the reader's locale."""
    return f"{place:.1f}"


@dataclass(frozen=True)
class LastMeasured:
    """What was measured last at a position [m], since it was built, and what was said of it."""

    value: float
    day: date
    said: str = ""


@dataclass(frozen=True)
class Scale:
    """How large the gaps of one quantity are drawn."""

    quantity: MeasuredQuantity
    per_metre: float
    step: float
    prefs: Preferences

    @property
    def bar(self) -> str:
        """The room that the scale's bar takes in the drawing's units, its ends included."""
        return _at(self.step * self.per_metre + 1.5)

    @property
    def bar_end(self) -> str:
        """Where the bar ends."""
        return _at(self.step * self.per_metre + 0.75)

    @property
    def words(self) -> str:
        """What the bar stands for."""
        return in_words(self.step, "small_length", self.prefs)


@dataclass(frozen=True)
class Station:
    """One position along the shaft, drawn and in words. None is not known."""

    row: SheetRow
    measured: LastMeasured | None
    scale: Scale | None
    prefs: Preferences

    @property
    def position(self) -> Position:
        """The place."""
        return self.row.position

    @property
    def kind(self) -> str:
        """Which drawing it gets."""
        return str(self.position.kind)

    @property
    def axial(self) -> bool:
        """Whether its gap opens along the shaft."""
        return self.row.quantity in AXIAL

    @property
    def built(self) -> float | None:
        """The gap as built [m]."""
        return None if self.row.measurement is None else self.row.measurement.value

    def _drawn(self, metres: float | None) -> float | None:
        if metres is None or self.scale is None:
            return None
        most = AXIAL_MOST if self.axial else GAP_MOST
        return round(min(metres * self.scale.per_metre, most * 1.4), 1)

    @cached_property
    def built_gap(self) -> float | None:
        """The gap as built in the drawing's units."""
        return self._drawn(self.built)

    @cached_property
    def measured_gap(self) -> float | None:
        """The gap as measured last."""
        return None if self.measured is None else self._drawn(self.measured.value)

    @cached_property
    def limit_gap(self) -> float | None:
        """The gap at the wear limit."""
        return self._drawn(self.position.wear_limit)

    @property
    def gap(self) -> float:
        """The gap that the parts are drawn with: as measured, else as built, else a stand-in."""
        for one in (self.measured_gap, self.built_gap):
            if one is not None:
                return one
        return 8.0

    @property
    def known(self) -> bool:
        """Whether anything is known of its gap."""
        return self.measured_gap is not None or self.built_gap is not None

    @property
    def past(self) -> bool:
        """Whether it stands at its wear limit or past it."""
        now = self.built if self.measured is None else self.measured.value
        limit = self.position.wear_limit
        return now is not None and limit is not None and now >= limit - AS_TYPED_ALIKE

    # Places of lines and parts, so that the template only writes them ----------------------------

    def _place(self, gap: float) -> float:
        return COLLAR_TOP - gap if self.axial else SHAFT_RIGHT + gap

    @property
    def edge(self) -> str:
        """Where the part that stands beside the gap begins."""
        return _at(self._place(self.gap))

    @property
    def block(self) -> str:
        """How large that part is drawn, from its edge to the end of its room."""
        return _at(self._place(self.gap) - 4.0 if self.axial else 22.0)

    @property
    def groove(self) -> str:
        """How deep a lip has worn into its track, as far as it is drawn."""
        return _at(SHAFT_RIGHT - min(self.gap if self.known else 0.0, 30.0))

    @property
    def lines(self) -> list[tuple[str, str]]:
        """The lines of the gap and its limit: which, and where."""
        found = (
            ("built", self.built_gap),
            ("measured", self.measured_gap),
            ("limit", self.limit_gap),
        )
        into_shaft = self.row.quantity == MeasuredQuantity.WEAR_DEPTH
        return [
            (name, _at(SHAFT_RIGHT - min(gap, 30.0) if into_shaft else self._place(gap)))
            for name, gap in found
            if gap is not None
        ]

    # Words ---------------------------------------------------------------------------------------

    def _words(self, metres: float | None) -> str | None:
        return None if metres is None else in_words(metres, "small_length", self.prefs)

    @property
    def quantity_words(self) -> str:
        """What is measured there; else what it is."""
        if self.row.quantity is None:
            return str(self.position.get_kind_display())
        return str(self.row.quantity.label)

    @property
    def said(self) -> str:
        """What the drawing shows, for who hears it."""
        told = [str(self.position.get_kind_display())]
        for words, size in (
            (_("as built %(size)s"), self.built_words),
            (_("measured %(size)s"), self.measured_words),
            (_("wear limit %(size)s"), self.limit_words),
        ):
            if size is not None:
                told.append(words % {"size": size})
        if self.row.quantity is not None and not self.known:
            told.append(_("its gap is not known"))
        return ", ".join(told)

    @property
    def built_words(self) -> str | None:
        """The gap as built."""
        return self._words(self.built)

    @property
    def measured_words(self) -> str | None:
        """The gap as measured last, and when."""
        if self.measured is None:
            return None
        return _("%(size)s on %(day)s") % {
            "size": self._words(self.measured.value),
            "day": date_format(self.measured.day, "j M Y"),
        }

    @property
    def limit_words(self) -> str | None:
        """Where it must stop."""
        return self._words(self.position.wear_limit)

    @property
    def stands_words(self) -> str:
        """How it stands today, in one line; "" where nothing is measured."""
        if self.row.quantity is None:
            return ""
        if self.past:
            return _("At or past its limit: don't run it, ask the workshop.")
        if self.measured is None:
            return self._built_stands_words
        ask = self.position.look_into_above
        if ask is not None and self.measured.value > ask + AS_TYPED_ALIKE:
            return _("To be looked into: ask the workshop before it runs.")
        if self.measured.said:
            return self.measured.said
        return _("Watch it: below what asks for a look.") if ask is not None else ""

    @property
    def _built_stands_words(self) -> str:
        """How it stood when it was built: no word on how it stands today."""
        if self.row.stands is Stands.NOT_MEASURED:
            return str(self.row.stands.label)
        if self.row.stands in (Stands.WITHIN, Stands.NO_LIMIT):
            return _("As built; no later figure is known.")
        return _("As built: %(how)s. No later figure is known.") % {"how": self.row.stands.label}


@dataclass(frozen=True)
class Drawing:
    """The whole unit along its shaft."""

    stations: Sequence[Station]
    scales: Sequence[Scale]

    @property
    def anything(self) -> bool:
        """Whether there is anything to draw."""
        return bool(self.stations)

    @property
    def anything_measured(self) -> bool:
        """Whether anything was measured since it was built."""
        return any(station.measured is not None for station in self.stations)


def draw(record: AsBuilt, measured: Mapping[int, LastMeasured], prefs: Preferences) -> Drawing:
    """Draw a unit from its record, with what was measured last by the position's key."""
    scales = {
        quantity: scale
        for quantity in dict.fromkeys(row.quantity for row in record.rows)
        if quantity is not None and (scale := _scale(quantity, record, measured, prefs)) is not None
    }
    stations = [
        Station(
            row,
            measured.get(row.position.pk),
            None if row.quantity is None else scales.get(row.quantity),
            prefs,
        )
        for row in record.rows
    ]
    return Drawing(stations, list(scales.values()))


def _scale(
    quantity: MeasuredQuantity,
    record: AsBuilt,
    measured: Mapping[int, LastMeasured],
    prefs: Preferences,
) -> Scale | None:
    """Return a scale on which the largest limit, or else the largest size, fills its room."""
    sizes = []
    for row in record.rows:
        if row.quantity != quantity:
            continue
        last = measured.get(row.position.pk)
        sizes += [row.position.wear_limit, None if last is None else last.value]
        sizes.append(None if row.measurement is None else row.measurement.value)
    most = max((size for size in sizes if size), default=None)
    if most is None:
        return None
    room = AXIAL_MOST if quantity in AXIAL else GAP_MOST
    unit, dimension = unit_for("small_length", prefs)
    step = nice_step(from_si(most, unit, dimension), 3)
    one = from_si(1.0, unit, dimension)
    return Scale(quantity, room / most, step / one, prefs)
