"""The trade's damage marks: what is seen and not measured, where, and how urgent it is by itself.

How each looks, where it is found and how urgent it is: common practice, no source.
"""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import TextChoices
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from advisory.findings.enums import Judgement
from advisory.register.enums import PositionKind


class DamageMark(TextChoices):
    """What the trade calls what it sees."""

    THRUST_GROOVE = "thrust_groove", _("Groove at the thrust face")
    DRY_SCORING = "dry_scoring", _("Dry scoring")
    EMBEDDED_GRIT = "embedded_grit", _("Embedded grit")
    FATIGUE_CRACKS = "fatigue_cracks", _("Fatigue cracks in the lining")
    WIPED_METAL = "wiped_metal", _("Wiped metal")
    TRACK_WORN = "track_worn", _("Seal track worn")
    PIPE_CRUSHED = "pipe_crushed", _("Pipe crushed or kinked")
    PIPE_CHAFED = "pipe_chafed", _("Pipe chafed")
    COVER_BOWED = "cover_bowed", _("Cover bowed")
    FROST_CRACK = "frost_crack", _("Frost crack")
    FASTENER_WRONG = "fastener_wrong", _("Wrong fastener")
    FASTENER_BROKEN = "fastener_broken", _("Broken fastener")
    HAMMER_MARKS = "hammer_marks", _("Hammer marks")
    WATER_IN_OIL = "water_in_oil", _("Water in the oil")
    FLAKES_WHITE = "flakes_white", _("Flakes in the strainer, silver-white")
    FLAKES_YELLOW = "flakes_yellow", _("Flakes in the strainer, yellow")
    FLAKES_MAGNETIC = "flakes_magnetic", _("Flakes in the strainer, magnetic")
    FLAKES_BLACK = "flakes_black", _("Crumbs in the strainer, black")


_K = PositionKind
_RUNS = frozenset({_K.JOURNAL_BEARING, _K.THRUST_WASHER})
_CLOSED = frozenset({_K.COVER_PLATE, _K.WATER_JACKET, _K.FASTENER_SET})


@dataclass(frozen=True)
class MarkFacts:
    """How a mark looks, where it is offered, how urgent it is by itself, what its drawing shows."""

    looks: Promise
    at: frozenset[PositionKind]
    judgement: Judgement
    drawing: Promise


MARK_FACTS: dict[DamageMark, MarkFacts] = {
    DamageMark.THRUST_GROOVE: MarkFacts(
        looks=_("A ring worn into the face that takes the end thrust; a nail catches in it."),
        at=frozenset({_K.THRUST_WASHER}),
        judgement=Judgement.ASK,
        drawing=_("A thrust washer from the front, a groove all round its face."),
    ),
    DamageMark.DRY_SCORING: MarkFacts(
        looks=_("Long scratches in the direction of running, with dull or blued metal between."),
        at=_RUNS | {_K.LIP_SEAL},
        judgement=Judgement.ASK,
        drawing=_("A journal from the side, scratched all round in the direction it turns."),
    ),
    DamageMark.EMBEDDED_GRIT: MarkFacts(
        looks=_("Dark specks pressed into soft metal, often with a bright ring about each."),
        at=_RUNS,
        judgement=Judgement.ASK,
        drawing=_("Half a bearing laid open, specks sitting in its lining."),
    ),
    DamageMark.FATIGUE_CRACKS: MarkFacts(
        looks=_("A net of fine cracks like dried mud, or pieces of lining lifted or gone."),
        at=frozenset({_K.JOURNAL_BEARING}),
        judgement=Judgement.STOP,
        drawing=_("Half a bearing laid open, a net of cracks in its lining, one piece loose."),
    ),
    DamageMark.WIPED_METAL: MarkFacts(
        looks=_("Lining smeared over or pushed to one edge, oil grooves filled, a melted look."),
        at=_RUNS,
        judgement=Judgement.STOP,
        drawing=_("Half a bearing laid open, its lining dragged over the edge."),
    ),
    DamageMark.TRACK_WORN: MarkFacts(
        looks=_("A narrow bright groove round the shaft where the lip of the seal runs."),
        at=frozenset({_K.LIP_SEAL}),
        judgement=Judgement.WATCH,
        drawing=_("A shaft under the lip of a seal, a narrow groove worn where they touch."),
    ),
    DamageMark.PIPE_CRUSHED: MarkFacts(
        looks=_("A flat, a dent or a kink: the pipe is no longer round. Don't bend it back."),
        at=frozenset({_K.FEED_PIPE}),
        judgement=Judgement.STOP,
        drawing=_("A pipe pressed flat in the middle, and its flat section beside it."),
    ),
    DamageMark.PIPE_CHAFED: MarkFacts(
        looks=_("A bright or thin place where it rubs on a bracket, a clip or another part."),
        at=frozenset({_K.FEED_PIPE}),
        judgement=Judgement.ASK,
        drawing=_("A pipe rubbed thin where a bracket touches it."),
    ),
    DamageMark.COVER_BOWED: MarkFacts(
        looks=_("Light under a straight edge laid across it, or a weep between two fasteners."),
        at=frozenset({_K.COVER_PLATE}),
        judgement=Judgement.ASK,
        drawing=_("A straight edge on a cover, a gap under its middle."),
    ),
    DamageMark.FROST_CRACK: MarkFacts(
        looks=_("A line in a casting that holds water, rusty, wet, or white with dried coolant."),
        at=frozenset({_K.WATER_JACKET, _K.COVER_PLATE}),
        judgement=Judgement.STOP,
        drawing=_("A water jacket with a crack through its wall and a drop below it."),
    ),
    DamageMark.FASTENER_WRONG: MarkFacts(
        looks=_("Too long, too short, another head, thread or steel than its neighbours."),
        at=_CLOSED,
        judgement=Judgement.ASK,
        drawing=_("Three fasteners side by side, the last one shorter and with another head."),
    ),
    DamageMark.FASTENER_BROKEN: MarkFacts(
        looks=_("Sheared, cracked or missing; its thread pulled, or its locking gone."),
        at=_CLOSED,
        judgement=Judgement.STOP,
        drawing=_("A fastener broken through its shank."),
    ),
    DamageMark.HAMMER_MARKS: MarkFacts(
        looks=_("Dents and bright bruises on an edge, a shaft's end or a cover."),
        at=_CLOSED | _RUNS,
        judgement=Judgement.WATCH,
        drawing=_("The corner of a casting with round dents along its edge."),
    ),
    DamageMark.WATER_IN_OIL: MarkFacts(
        looks=_("Milky or grey oil, drops below it, or cream under the filler cap."),
        at=_RUNS | {_K.WATER_JACKET},
        judgement=Judgement.STOP,
        drawing=_("A jar of drained oil, water standing at its bottom."),
    ),
    DamageMark.FLAKES_WHITE: MarkFacts(
        looks=_("Bright, soft, thin; a nail marks them, a magnet leaves them: white metal."),
        at=_RUNS,
        judgement=Judgement.STOP,
        drawing=_("A strainer with thin flat flakes in it."),
    ),
    DamageMark.FLAKES_YELLOW: MarkFacts(
        looks=_("Yellow or coppery, hard, a magnet leaves them: bronze or brass."),
        at=_RUNS,
        judgement=Judgement.STOP,
        drawing=_("A strainer with curled chips in it."),
    ),
    DamageMark.FLAKES_MAGNETIC: MarkFacts(
        looks=_("Grey needles or fur that stand up on a magnet: steel or iron."),
        at=_RUNS,
        judgement=Judgement.STOP,
        drawing=_("A strainer with a magnet over it, needles hanging on the magnet."),
    ),
    DamageMark.FLAKES_BLACK: MarkFacts(
        looks=_("Black, greasy, crumble between the fingers: carbon, sludge or old sealing."),
        at=_RUNS,
        judgement=Judgement.ASK,
        drawing=_("A strainer with dark crumbs in it."),
    ),
}


def marks_at(kinds: Collection[str]) -> list[DamageMark]:
    """Return the marks that are seen at positions of these kinds, in the order of the list."""
    return [mark for mark in DamageMark if MARK_FACTS[mark].at & frozenset(kinds)]
