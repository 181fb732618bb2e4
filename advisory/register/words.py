"""What the register says in words: limits three ways."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from advisory.common.quantities import Preferences, range_in_words, size_in_words
from advisory.register.adapters import ThreeWays, three_ways
from advisory.register.enums import LimitsAs, PositionKind
from advisory.register.models import Position


@dataclass(frozen=True)
class OneWay:
    """Limits told in one way, and whether the design gives them so."""

    label: str
    words: str
    given: bool


def limits_three_ways(position: Position, prefs: Preferences) -> list[OneWay]:
    """Tell the limits as built of a position in every way that there is for it."""
    if position.kind != PositionKind.JOURNAL_BEARING:
        return []
    ways = three_ways(position)
    if ways is None:
        return []
    told = [OneWay(_("Clearance"), range_in_words(ways.least, ways.most, prefs),
                   ways.given_as is LimitsAs.CLEARANCE)]  # fmt: skip
    if ways.sizes is not None:
        told.append(
            OneWay(_("Sizes"), _sizes_in_words(ways, prefs), ways.given_as is LimitsAs.SIZES)
        )
    if ways.classes is not None:
        told.append(
            OneWay(_("ISO 286"), _classes_in_words(ways, prefs), ways.given_as is LimitsAs.CLASSES)
        )
    return told


def _sizes_in_words(ways: ThreeWays, prefs: Preferences) -> str:
    sizes = ways.sizes
    assert sizes is not None
    bore = _between(sizes.bore_least, sizes.bore_most, prefs)
    if ways.given_as is LimitsAs.CLEARANCE:
        return _("bore %(bore)s to a journal of %(journal)s") % {
            "bore": bore,
            "journal": size_in_words(sizes.journal_least, prefs),
        }
    return _("bore %(bore)s, journal %(journal)s") % {
        "bore": bore,
        "journal": _between(sizes.journal_least, sizes.journal_most, prefs),
    }


def _classes_in_words(ways: ThreeWays, prefs: Preferences) -> str:
    pair = ways.classes
    assert pair is not None
    name = f"{pair.bore_class}/{pair.journal_class}"
    if pair.exact:
        return name
    return _("nearest %(pair)s, which gives %(clearance)s") % {
        "pair": name,
        "clearance": range_in_words(pair.clearance_least, pair.clearance_most, prefs),
    }


def _between(least: float, most: float, prefs: Preferences) -> str:
    return _("%(least)s to %(most)s") % {
        "least": size_in_words(least, prefs),
        "most": size_in_words(most, prefs),
    }
