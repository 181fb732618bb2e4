"""A build sheet as it stands: each place with what was typed there, and what follows from it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from advisory.register.adapters import (
    Derived,
    Figures,
    UndersizeCompared,
    derived_at,
    is_too_tight,
    journal_undersize,
    undersizes_compared,
)
from advisory.register.enums import PositionKind
from advisory.register.models import Build, BuildMeasurement, Design, Position, SheetEntry
from advisory.register.sheet_fields import HEAD, YES, Entry, Gauge, Group, SheetField, fields_at
from advisory.register.sheet_reading import rows_of

HEAD_KEY = "h"


@dataclass(frozen=True)
class Place:
    """One place of a sheet, and what stands there."""

    position: Position | None
    field: SheetField
    entry: SheetEntry | None
    text: str
    value: float | None

    @property
    def key(self) -> str:
        """Name the place on a page."""
        return key_of(self.position.pk if self.position else None, self.field.name)

    @property
    def edition(self) -> int:
        """How often what stands here was changed."""
        return self.entry.edition if self.entry else 0

    @property
    def doubt(self) -> str:
        """Why what was typed is not believed yet."""
        return self.entry.doubt if self.entry else ""

    @property
    def shown_text(self) -> str:
        """What stands here, in words."""
        if self.field.entry is Entry.CHOICE:
            return str(dict(self.field.choices).get(self.text, self.text))
        return self.text


@dataclass(frozen=True)
class PositionSheet:
    """One position of a sheet."""

    position: Position
    places: tuple[Place, ...]
    figures: Figures
    derived: tuple[Derived, ...]

    @property
    def is_too_tight(self) -> bool:
        """Whether the bore is smaller than its journal."""
        return self.position.planes > 0 and is_too_tight(self.position, self.figures)

    @property
    def last_size(self) -> Place | None:
        """The size of bore or journal that was written last: where it is said that they clash."""
        sizes = [
            place
            for place in self.places
            if place.entry is not None and place.value is not None
            and place.field.name.startswith(("bore_", "journal_"))
        ]  # fmt: skip
        return max(sizes, key=lambda place: (place.entry.at, place.entry.pk), default=None)  # type: ignore[union-attr]

    def group(self, group: Group) -> list[Place]:
        """Return the places of one group."""
        return [place for place in self.places if place.field.group is group]

    @property
    def filled(self) -> list[Place]:
        """The places in which something stands."""
        return [place for place in self.places if place.text]


@dataclass(frozen=True)
class Sheet:
    """A whole sheet."""

    build: Build
    design: Design
    head: tuple[Place, ...]
    positions: tuple[PositionSheet, ...]
    undersizes: UndersizeCompared | None = None
    faults: tuple[tuple[Place, str], ...] = field(default=())

    def places(self) -> Iterable[Place]:
        """Return all places, in their order."""
        yield from self.head
        for one in self.positions:
            yield from one.places

    def place(self, key: str) -> Place | None:
        """Return one place by its name."""
        return next((place for place in self.places() if place.key == key), None)

    def at(self, position: Position) -> PositionSheet:
        """Return what stands at one position."""
        return next(one for one in self.positions if one.position.pk == position.pk)


def key_of(position: int | None, name: str) -> str:
    """Name a place on a page."""
    return f"{HEAD_KEY if position is None else f'p{position}'}-{name}"


def design_of(build: Build) -> Design:
    """Return the version of the design that a sheet is of."""
    return build.design or build.unit.design


def entries_of(build: Build) -> list[SheetEntry]:
    """Return what was entered on a sheet, and by whom."""
    return list(SheetEntry.objects.filter(build=build).select_related("by").order_by())


def sheet_of(
    build: Build,
    *,
    entries: Iterable[SheetEntry] | None = None,
    figures: Iterable[BuildMeasurement] | None = None,
) -> Sheet:
    """Return a sheet with all that stands on it, in three SQL queries.

    `entries` and `figures`: all of them, where the caller has them.
    """
    design = design_of(build)
    if figures is None:
        figures = BuildMeasurement.objects.filter(build=build).order_by()
    written = {
        (row.position_id, row.name): row
        for row in (entries_of(build) if entries is None else entries)
    }
    typed = {(row.position_id, row.quantity): row for row in figures if not row.reckoned}
    head = _head(build, written)
    off = _off(head)
    turns = design.engine_speed
    positions = []
    for position in design.positions.all():
        places = tuple(_place(position, one, written, typed) for one in fields_at(position))
        sizes = _figures(places, off)
        ratio = position.speed_ratio or design.speed_ratio
        derived = derived_at(
            position, sizes, turns_per_second=turns * ratio if turns is not None else None
        )
        positions.append(PositionSheet(position, places, sizes, tuple(derived)))
    return Sheet(
        build, design, head, tuple(positions), _undersizes(positions), _faults(head, positions)
    )


def _head(build: Build, entries: Mapping[tuple[int | None, str], SheetEntry]) -> tuple[Place, ...]:
    said = {
        "built_on": build.built_on.isoformat(),
        "new_white_metal": YES if build.new_white_metal else "",
        "notes": build.notes,
    }
    places = []
    for one in HEAD:
        entry = entries.get((None, one.name))
        # what the sheet's own head says stands above what was once typed into it
        text = entry.text if entry else ""
        if one.name in said and not (entry and entry.doubt):
            text = said[one.name]
        places.append(Place(None, one, entry, text, entry.value if entry else None))
    return tuple(places)


def _place(
    position: Position,
    one: SheetField,
    entries: Mapping[tuple[int | None, str], SheetEntry],
    typed: Mapping[tuple[int, str], BuildMeasurement],
) -> Place:
    entry = entries.get((position.pk, one.name))
    if entry is None and one.quantity is not None:
        # written by a program, which tells the figure and not the place
        figure = typed.get((position.pk, one.quantity))
        if figure is not None:
            return Place(position, one, None, figure.as_typed, figure.value)
    return Place(position, one, entry, entry.text if entry else "", entry.value if entry else None)


def _off(head: tuple[Place, ...]) -> dict[Gauge, float]:
    told = {place.field.name: place.value for place in head}
    return {
        gauge: value for gauge in Gauge if (value := told.get(f"{gauge.value}_off")) is not None
    }


def _figures(places: tuple[Place, ...], off: Mapping[Gauge, float]) -> Figures:
    readings = {
        place.field.name: rows_of(place.text)
        for place in places
        if place.field.entry in (Entry.AROUND, Entry.GRID) and place.text and not place.doubt
    }
    chosen = {
        place.field.name: place.text
        for place in places
        if place.field.entry is Entry.CHOICE and not place.doubt
    }
    values = {place.field.name: place.value for place in places if place.value is not None}
    return Figures(values, readings, chosen, off)


def _undersizes(positions: Iterable[PositionSheet]) -> UndersizeCompared | None:
    told = {
        one.position.name: below
        for one in positions
        if one.position.kind == PositionKind.JOURNAL_BEARING
        and (below := journal_undersize(one.position, one.figures)) is not None
    }
    return undersizes_compared(told)


def _faults(
    head: tuple[Place, ...], positions: Iterable[PositionSheet]
) -> tuple[tuple[Place, str], ...]:
    """Return what has to be put right before anybody signs, place by place."""
    faults = [(place, place.doubt) for place in head if place.doubt]
    for one in positions:
        faults += [(place, place.doubt) for place in one.places if place.doubt]
        if one.is_too_tight and one.last_size is not None:
            faults.append((one.last_size, too_tight_words()))
    return tuple(faults)


def too_tight_words() -> str:
    """Say that a bore is smaller than its journal."""
    return _("The bore is smaller than its journal. Measure both once more.")
