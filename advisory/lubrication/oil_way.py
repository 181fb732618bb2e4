"""The way that the oil takes through a unit, from where it lies to where it ends; what is weak.

One table of stages for each kind of feed, one table of rules for what is weak; both are read from
top to bottom. What is weak is common practice, no source: it is where such units are ruined.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences, in_words
from advisory.lubrication.enums import Feed, Filtration
from advisory.lubrication.queries import OilInUnit
from advisory.register.enums import PositionKind

NO_SOURCE = gettext_lazy("common practice, no source")


@dataclass(frozen=True)
class Way:
    """What is known of the way; `external`: oil comes by an external pipe."""

    oil: OilInUnit
    external: bool

    @property
    def feed(self) -> Feed:
        """How oil reaches the bearings, as far as anybody told."""
        arrangement = self.oil.arrangement
        return Feed.UNKNOWN if arrangement is None else Feed(arrangement.feed)

    @property
    def filtration(self) -> Filtration:
        """What filter there is."""
        return self.oil.filtration

    @property
    def breathes_filtered(self) -> bool:
        """Whether it breathes through a filter."""
        return self.oil.arrangement is not None and self.oil.arrangement.breather_filtered


# The stages of each feed, in the order in which the oil meets them. "strainer" and "pipe" are left
# out where there is none.
STAGES: dict[Feed, tuple[str, ...]] = {
    Feed.PRESSURE: ("breather", "sump", "strainer", "pump", "filter", "pipe", "bearings", "back"),
    Feed.GRAVITY: ("tank", "strainer", "filter", "pipe", "bearings", "back"),
    Feed.SPLASH: ("breather", "sump", "splash", "bearings", "back"),
    Feed.OWN_SUMP: ("breather", "sump", "splash", "filter", "pipe", "bearings", "back"),
    Feed.TOTAL_LOSS: ("oiler", "pipe", "bearings", "lost"),
    Feed.UNKNOWN: ("unknown", "filter", "pipe", "bearings"),
}
NAMES: dict[str, Promise] = {
    "breather": gettext_lazy("Breather"),
    "sump": gettext_lazy("Sump"),
    "tank": gettext_lazy("Tank above it"),
    "oiler": gettext_lazy("Oiler"),
    "unknown": gettext_lazy("Where its oil comes from"),
    "strainer": gettext_lazy("Strainer"),
    "pump": gettext_lazy("Pump"),
    "splash": gettext_lazy("Splash"),
    "filter": gettext_lazy("Filter"),
    "pipe": gettext_lazy("External pipe"),
    "bearings": gettext_lazy("Bearings"),
    "back": gettext_lazy("Back to where it lies"),
    "lost": gettext_lazy("Lost"),
}


@dataclass(frozen=True)
class Weak:
    """One rule: at which stage something is weak, when, why, and where that comes from."""

    stage: str
    applies: Callable[[Way], bool]
    why: Promise
    source: Promise = NO_SOURCE


# The gravest first: the first that applies is the weak point, the others are told beside it.
RULES: tuple[Weak, ...] = (
    Weak(
        "oiler",
        lambda way: way.feed == Feed.TOTAL_LOSS,
        gettext_lazy("Nothing comes back: when the oiler is empty, the bearings run dry."),
    ),
    Weak(
        "unknown",
        lambda way: way.feed == Feed.UNKNOWN,
        gettext_lazy("Nobody has told where its oil comes from. Find out before it runs far."),
    ),
    Weak(
        "filter",
        lambda way: way.filtration in {Filtration.NONE, Filtration.STRAINER},
        gettext_lazy(
            "No filter: what gets in goes round with the oil, and through the bearings, until it is"
            " drained. A strainer holds back only what one can see."
        ),
    ),
    Weak(
        "filter",
        lambda way: way.filtration == Filtration.UNKNOWN,
        gettext_lazy("Nobody has told whether there is a filter: it is taken that there is none."),
    ),
    Weak(
        "pipe",
        lambda way: way.external,
        gettext_lazy(
            "All that these bearings get comes through one pipe. Squashed, it passes a fraction of"
            " the oil; cracked, none."
        ),
    ),
    Weak(
        "tank",
        lambda way: way.feed == Feed.GRAVITY,
        gettext_lazy("Cold, thick oil hardly moves by its own weight: it arrives late."),
    ),
    Weak(
        "sump",
        lambda way: way.feed in {Feed.SPLASH, Feed.OWN_SUMP},
        gettext_lazy("Below its level datum nothing is splashed, and nobody hears it."),
    ),
    Weak(
        "breather",
        lambda way: not way.breathes_filtered,
        gettext_lazy("It breathes dust in: no filter on the breather."),
    ),
)


@dataclass(frozen=True)
class StageShown:
    """One stage of the way in words; `weak`: why it is weak, `weakest`: it is the weak point."""

    key: str
    name: str
    words: str
    weak: str = ""
    weakest: bool = False
    source: str = ""


def oil_way(
    oil: OilInUnit, positions: Sequence[PositionKind] | frozenset[PositionKind], prefs: Preferences
) -> list[StageShown]:
    """Return the stages that the oil of a unit passes, with the weak ones marked."""
    arrangement = oil.arrangement
    pipe_told = arrangement is not None and arrangement.feed_pipe_bore is not None
    way = Way(oil, PositionKind.FEED_PIPE in positions or pipe_told)
    keys = [key for key in STAGES[way.feed] if _is_there(key, way)]
    found = [rule for rule in RULES if rule.stage in keys and rule.applies(way)]
    weak: dict[str, Weak] = {}
    for rule in found:
        weak.setdefault(rule.stage, rule)
    return [
        StageShown(
            key=key,
            name=str(NAMES[key]),
            words=_words(key, way, prefs),
            weak=str(weak[key].why) if key in weak else "",
            weakest=bool(found) and weak.get(key) is found[0],
            source=str(weak[key].source) if key in weak else "",
        )
        for key in keys
    ]


def _is_there(key: str, way: Way) -> bool:
    if key == "strainer":
        return way.filtration == Filtration.STRAINER
    return key != "pipe" or way.external


def _words(key: str, way: Way, prefs: Preferences) -> str:
    oil, arrangement = way.oil, way.oil.arrangement
    if key in {"sump", "tank", "oiler"}:
        told = [] if oil.lubricant is None else [str(oil.lubricant)]
        if oil.sump_volume is not None:
            told.append(in_words(oil.sump_volume, "volume", prefs))
        if arrangement is not None and arrangement.level_datum:
            told.append(_("level: %(datum)s") % {"datum": arrangement.level_datum})
        return ", ".join(told)
    if key == "filter":
        if way.filtration == Filtration.BYPASS:
            return _("bypass: a part of the oil goes through it each time round")
        if way.filtration == Filtration.FULL_FLOW:
            return _("full flow: all of it goes through")
        return _("not known") if way.filtration == Filtration.UNKNOWN else _("none")
    if key == "breather":
        return _("filtered") if way.breathes_filtered else _("not filtered")
    if key == "pipe" and arrangement is not None and arrangement.feed_pipe_bore is not None:
        return _("%(bore)s bore") % {
            "bore": in_words(arrangement.feed_pipe_bore, "small_length", prefs)
        }
    return ""
