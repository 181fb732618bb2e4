"""What is looked at and measured at a position of each kind: how, with which instrument, and care.

All of it is common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from advisory.register.enums import MeasuredQuantity, PositionKind, WorkKind


@dataclass(frozen=True)
class Instrument:
    """With what a size is taken, and how; `drawing` names its symbol in `instruments.svg`."""

    drawing: str
    name: Promise
    drawn: Promise
    how: tuple[Promise, ...]


@dataclass(frozen=True)
class PlaceWords:
    """What is looked for at a place, and the keys of its cautions."""

    look: tuple[Promise, ...]
    drawing: str
    drawn: Promise
    cautions: tuple[str, ...] = ()


LAMP = ("lamp", _("A lamp held low over a surface, so that the light grazes it."))

PLACE_WORDS: Mapping[PositionKind, PlaceWords] = {
    PositionKind.JOURNAL_BEARING: PlaceWords(
        (
            _("Wipe journal and bore wet and clean; blow nothing about."),
            _("Hold a lamp low over the lining: scores, specks, grey patches, fine cracks, metal"
              " wiped to one edge."),
            _("Feel the journal with a nail, along and across."),
        ),
        *LAMP, ("lead", "do_not_force"),
    ),
    PositionKind.THRUST_WASHER: PlaceWords(
        (
            _("Engine cold, ignition off, out of gear. Where the washer can be seen, look for a"
              " ring worn into its face."),
        ),
        *LAMP, ("rotating",),
    ),
    PositionKind.LIP_SEAL: PlaceWords(
        (
            _("Wipe the seal and what lies below it dry. After a run: dry, damp, or a drop?"),
            _("Where the shaft can be seen, feel with a nail for a groove under the lip."),
        ),
        *LAMP, ("rotating", "fire"),
    ),
    PositionKind.COVER_PLATE: PlaceWords(
        (
            _("Wipe its edge dry. Look for a weep, above all between two fasteners."),
            _("Lay a straight edge across it, both ways, with a lamp behind."),
        ),
        *LAMP, ("do_not_force",),
    ),
    PositionKind.FEED_PIPE: PlaceWords(
        (
            _("Wipe the pipe and its unions dry along their whole length."),
            _("Feel for flats, kinks, and places where it rubs. Don't bend anything back."),
            _("Look at soldered joints with the lamp: a hair-line or a dark edge is a crack."),
        ),
        *LAMP, ("rotating", "fire", "do_not_force"),
    ),
    PositionKind.WATER_JACKET: PlaceWords(
        (
            _("Cold engine. Look for lines in the casting: rusty, wet, or white with dried"
              " coolant; below plugs and cores too."),
            _("Draw a little coolant and read its freezing point from the tester."),
        ),
        "tester", _("A coolant tester, its float against a scale."),
        ("hot_coolant", "coolant"),
    ),
    PositionKind.FASTENER_SET: PlaceWords(
        (
            _("Count them. Look at heads and ends: each like its neighbour, none shining."),
            _("Look at the locking: wire, tab or washer, all there and whole."),
            _("Tighten nothing in passing: a loose one is a finding."),
        ),
        *LAMP, ("do_not_force",),
    ),
}  # fmt: skip

STRAINER_WORDS = PlaceWords(
    (
        _("Drain a little into a clean white tray; take out the strainer, and the filter's"
          " element where there is one."),
        _("Water comes first and clear. Stir with a magnet. Crush a flake with a nail."),
        _("Keep what you find in a jar with a lid and the date on it."),
    ),
    "tray", _("A white tray with oil in it, a magnet beside it."),
    ("hot_oil", "used_oil", "jacking", "lead"),
)  # fmt: skip

TAKE_APART_DRAWN = ("spanner", _("Two spanners on a union, one holding against the other."))
PREPARE_CAUTIONS = ("rotating", "jacking", "fire", "no_licence")

INSTRUMENTS: Mapping[str, Instrument] = {
    MeasuredQuantity.RUNNING_CLEARANCE: Instrument(
        "strip_gauge",
        _("Plastic strip gauge, or bore gauge and micrometer"),
        _("A strip squeezed flat on a journal, its width held against a scale."),
        (
            _("Strip: a dry piece along the journal, the cap on and tightened as the workshop says,"
              " and off again. Don't turn the shaft. Its widest place against the scale."),
            _("Bore gauge: set it to nought in the micrometer at the journal's size, rock it in the"
              " bore and read the smallest figure; at both planes, both ways. The largest"
              " difference counts."),
        ),
    ),
    MeasuredQuantity.END_FLOAT: Instrument(
        "dial_gauge",
        _("Dial gauge on a stand"),
        _("A dial gauge against the end of a shaft, in line with it."),
        (
            _("In line with the shaft, against its end, with a little preload; set it to nought."),
            _("Lever the shaft gently to one end, then to the other, with wood or brass. Read the"
              " whole travel."),
            _("Three times; the largest counts."),
        ),
    ),
    MeasuredQuantity.WEAR_DEPTH: Instrument(
        "straight_edge",
        _("Straight edge and feeler gauge, or micrometer"),
        _("A straight edge along a shaft, a feeler in the groove below it."),
        (
            _("Straight edge along the shaft over the groove, the thickest feeler that fits."),
            _("Or micrometer: beside the track less in the track, halved."),
        ),
    ),
    MeasuredQuantity.GAP: Instrument(
        "feeler",
        _("Feeler gauge under a straight edge"),
        _("A feeler gauge between a straight edge and a plate."),
        (
            _("Straight edge across the middle and both diagonals. The thickest feeler that goes"
              " in without force, at the widest place."),
        ),
    ),
}  # fmt: skip

_K = PositionKind
# Which places a kind of work looks at; None among them is oil and strainer.
LOOKED_AT: Mapping[WorkKind, frozenset[PositionKind | None]] = {
    WorkKind.OIL_CHANGE: frozenset({None}),
    WorkKind.FILTER_CHANGE: frozenset({None}),
    WorkKind.LAY_UP_OIL: frozenset({None}),
    WorkKind.PIPE_CHECK: frozenset({_K.FEED_PIPE}),
    WorkKind.SEAL_WEEP: frozenset({_K.LIP_SEAL}),
    WorkKind.END_FLOAT: frozenset({_K.THRUST_WASHER}),
    WorkKind.CLEARANCES: frozenset({_K.JOURNAL_BEARING}),
    WorkKind.COOLANT_STRENGTH: frozenset({_K.WATER_JACKET}),
    WorkKind.FIRST_LOOK: frozenset(
        {None, _K.THRUST_WASHER, _K.LIP_SEAL, _K.FEED_PIPE, _K.COVER_PLATE, _K.WATER_JACKET,
         _K.FASTENER_SET}
    ),
}  # fmt: skip
OUTSIDE = LOOKED_AT[WorkKind.FIRST_LOOK]
# What is only reached when the unit comes apart.
INSIDE = frozenset({_K.JOURNAL_BEARING})
# What can be measured with the unit together: the others are measured where it is apart.
MEASURED_OUTSIDE = frozenset({_K.THRUST_WASHER, _K.COVER_PLATE})
