"""The places of a build sheet: what is asked at each kind of position, in the order of measuring.

A place is named by its position and the field's name; a name is written into records, so it is
never given another meaning.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, auto

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from advisory.register.enums import MeasuredQuantity, PositionKind
from advisory.register.models import Position


class Entry(Enum):
    """How what is typed in a place is read."""

    SIZE = auto()  # whole, or against the nominal size
    SMALL = auto()  # a clearance, a float, a depth
    OFF = auto()  # how far an instrument may be off
    PLAIN_SIZE = auto()  # a length that has no nominal size here
    ROUGHNESS = auto()
    HARDNESS = auto()
    COUNT = auto()
    AROUND = auto()  # readings around a turn
    GRID = auto()  # readings on a grid, a row a line
    CHOICE = auto()
    LINE = auto()
    WORDS = auto()
    DAY = auto()


class Group(Enum):
    """Where on the sheet a place stands."""

    MEASURED = auto()  # in the path of the measuring
    SLEEVE = auto()
    MORE = auto()


class Gauge(Enum):
    """What a size is measured with; each may be off by its own."""

    OUTSIDE = "outside"
    INSIDE = "inside"
    OTHER = "other"


YES = "yes"
REUSED = (
    ("new", _("new")),
    ("reused", _("used again")),
    ("repaired", _("frost-repaired and used again")),
)
ORIGIN = (
    ("original", _("original")),
    ("remade", _("remade")),
    ("donor", _("from a donor unit")),
)
PATTERN = (("right", _("the right pattern")), ("other", _("another pattern")))
METALS = (
    ("steel", _("steel")),
    ("cast iron", _("cast iron")),
    ("bronze", _("bronze")),
    ("brass", _("brass")),
    ("aluminium", _("aluminium")),
)


@dataclass(frozen=True)
class SheetField:
    """One place that a sheet asks at."""

    name: str
    label: str | Promise
    entry: Entry
    group: Group = Group.MEASURED
    gauge: Gauge | None = None
    choices: tuple[tuple[str, str | Promise], ...] = ()
    # the figure of the record that this place is, where it is typed as it stands there
    quantity: MeasuredQuantity | None = None
    help: str | Promise = ""


HEAD = (
    SheetField("built_on", _("Built on"), Entry.DAY),
    SheetField(
        "outside_off",
        _("Outside sizes may be off by ±"),
        Entry.OFF,
        help=_("Of the micrometer. Empty: not known, and the sheet judges as if it were exact."),
    ),
    SheetField("inside_off", _("Bores may be off by ±"), Entry.OFF),
    SheetField("other_off", _("Floats and gaps may be off by ±"), Entry.OFF),
    SheetField("outside_with", _("Outside sizes measured with"), Entry.LINE, Group.MORE),
    SheetField("inside_with", _("Bores measured with"), Entry.LINE, Group.MORE),
    SheetField("other_with", _("Floats and gaps measured with"), Entry.LINE, Group.MORE),
    SheetField(
        "new_white_metal",
        _("White metal"),
        Entry.CHOICE,
        Group.MORE,
        choices=((YES, _("new, so it is run in")), ("", _("as it was"))),
    ),
    SheetField("notes", _("Notes"), Entry.WORDS, Group.MORE),
)

_PARTS = (
    SheetField("origin", _("Part"), Entry.CHOICE, Group.MORE, choices=ORIGIN),
    SheetField("batch", _("Batch or where it came from"), Entry.LINE, Group.MORE),
)
_INSERTS = SheetField("inserts", _("Thread inserts"), Entry.COUNT, Group.MORE)
_RUN_OUT = SheetField(
    "run_out",
    _("Run-out, readings around"),
    Entry.AROUND,
    Group.MORE,
    gauge=Gauge.OTHER,
    help=_("At equal angles once round, with spaces between: 0 0.4 0.8 0.3."),
)
_SLEEVE = (
    SheetField("sleeve_shaft", _("Shaft under the sleeve"), Entry.PLAIN_SIZE, Group.SLEEVE,
               gauge=Gauge.OUTSIDE),
    SheetField("sleeve_bore", _("Bore of the sleeve"), Entry.PLAIN_SIZE, Group.SLEEVE,
               gauge=Gauge.INSIDE),
    SheetField("sleeve_outer", _("Outside of the sleeve"), Entry.PLAIN_SIZE, Group.SLEEVE,
               gauge=Gauge.OUTSIDE),
    SheetField("sleeve_length", _("Length of the sleeve"), Entry.PLAIN_SIZE, Group.SLEEVE),
    SheetField("sleeve_metal", _("Sleeve of"), Entry.CHOICE, Group.SLEEVE, choices=METALS),
    SheetField("shaft_metal", _("Shaft of"), Entry.CHOICE, Group.SLEEVE, choices=METALS),
)  # fmt: skip

_AT = {
    PositionKind.THRUST_WASHER: (
        SheetField("end_float", _("End float"), Entry.SMALL, gauge=Gauge.OTHER,
                   quantity=MeasuredQuantity.END_FLOAT),
        *_PARTS,
    ),
    PositionKind.LIP_SEAL: (
        SheetField("track", _("Track, diameter"), Entry.SIZE, gauge=Gauge.OUTSIDE),
        SheetField("hardness", _("Hardness, HRC"), Entry.HARDNESS),
        SheetField("roughness", _("Roughness Ra, µm"), Entry.ROUGHNESS),
        SheetField("wear_depth", _("Depth of wear"), Entry.SMALL, gauge=Gauge.OTHER,
                   quantity=MeasuredQuantity.WEAR_DEPTH),
        _RUN_OUT, *_SLEEVE, *_PARTS,
    ),
    PositionKind.COVER_PLATE: (
        SheetField("gap", _("Gap"), Entry.SMALL, gauge=Gauge.OTHER,
                   quantity=MeasuredQuantity.GAP),
        SheetField("cover", _("The cover is"), Entry.CHOICE, Group.MORE, choices=REUSED),
        SheetField(
            "grid", _("Flatness, readings on a grid"), Entry.GRID, Group.MORE,
            gauge=Gauge.OTHER,
            help=_("Each line of the grid on one line, with spaces; - where nothing is read."),
        ),
        SheetField("pitch", _("Grid, from place to place"), Entry.PLAIN_SIZE, Group.MORE),
        _INSERTS, *_PARTS,
    ),
    PositionKind.FEED_PIPE: _PARTS,
    PositionKind.WATER_JACKET: (
        SheetField("cover", _("It is"), Entry.CHOICE, Group.MORE, choices=REUSED),
        _INSERTS, *_PARTS,
    ),
    PositionKind.FASTENER_SET: (
        SheetField("replaced", _("Replaced"), Entry.COUNT, Group.MORE),
        SheetField("pattern", _("Replaced by"), Entry.CHOICE, Group.MORE, choices=PATTERN),
        _INSERTS, *_PARTS,
    ),
}  # fmt: skip
_DIRECTIONS = "ab"


def fields_at(position: Position | None) -> tuple[SheetField, ...]:
    """Return the places of a position, in the order in which one measures; None: of the head."""
    if position is None:
        return HEAD
    if position.kind == PositionKind.JOURNAL_BEARING:
        return (*_bearing(position), _RUN_OUT, *_SLEEVE, *_PARTS)
    return _AT[PositionKind(position.kind)]


def field_at(position: Position | None, name: str) -> SheetField | None:
    """Return one place of a position."""
    return next((field for field in fields_at(position) if field.name == name), None)


def planes_of(position: Position, part: str) -> list[list[str]]:
    """Return the names of the places where a `bore` or `journal` is measured, plane by plane."""
    return [
        [f"{part}_{plane}{way}" for way in _DIRECTIONS[: position.directions]]
        for plane in range(1, position.planes + 1)
    ]


def _bearing(position: Position) -> Iterator[SheetField]:
    if position.planes == 0:
        yield SheetField("clearance", _("Running clearance"), Entry.SMALL, gauge=Gauge.OTHER,
                         quantity=MeasuredQuantity.RUNNING_CLEARANCE)  # fmt: skip
        return
    for part, words, gauge in (
        ("journal", _("Journal %(where)s"), Gauge.OUTSIDE),
        ("bore", _("Bore %(where)s"), Gauge.INSIDE),
    ):
        for names in planes_of(position, part):
            for name in names:
                where = name.rpartition("_")[2]
                if position.directions == 1:
                    where = where[:-1]
                if position.planes == position.directions == 1:
                    where = ""
                label = str(words % {"where": where}).strip()
                yield SheetField(name, label, Entry.SIZE, gauge=gauge)
