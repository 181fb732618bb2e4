"""What the register says in words: limits three ways, what a sheet's figures tell."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from advisory.common.quantities import (
    Preferences,
    in_words,
    number_in_words,
    range_in_words,
    size_in_words,
)
from advisory.register.adapters import (
    Derived,
    Sameness,
    Shown,
    ThreeWays,
    UndersizeCompared,
    three_ways,
)
from advisory.register.enums import LimitsAs, PositionKind, Stands
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


@dataclass(frozen=True)
class Told:
    """A derived figure in words."""

    name: str
    label: str
    value: str
    limit: str
    stands: str
    is_outside: bool
    source: str


def derived_in_words(one: Derived, prefs: Preferences) -> Told:
    """Tell a derived figure, its uncertainty, its limit and how it stands against it."""
    value = _figure(one.value, one.shown, prefs)
    if one.uncertainty is not None:
        spread = _figure(2 * one.uncertainty, one.shown, prefs)
        value = _("%(value)s ± %(spread)s") % {"value": value, "spread": spread}
    return Told(
        name=one.name,
        label=one.label,
        value=value,
        limit=_limit(one, prefs),
        stands="" if one.stands is Stands.NO_LIMIT else str(one.stands.label),
        is_outside=one.stands in (Stands.ABOVE, Stands.BELOW, Stands.CANNOT_TELL),
        source=one.source,
    )


def undersizes_in_words(compared: UndersizeCompared | None, prefs: Preferences) -> str:
    """Say whether all journals were ground to the same undersize, and which were not."""
    if compared is None:
        return ""
    size = in_words(compared.smallest.value, "small_length", prefs)
    most = in_words(compared.largest.value, "small_length", prefs)
    if compared.sameness is Sameness.SAME:
        return _("All journals are ground alike: %(size)s undersize.") % {"size": size}
    words = {
        Sameness.DIFFERENT: _(
            "The journals are not ground to the same undersize: from %(size)s to %(most)s."
        ),
        Sameness.CANNOT_TELL: _(
            "Nobody can tell whether the journals are ground alike: from %(size)s to %(most)s, and"
            " the instruments may be off by as much as they differ."
        ),
    }[compared.sameness] % {"size": size, "most": most}
    if compared.odd:
        words += " " + _("Off from the others: %(names)s.") % {"names": ", ".join(compared.odd)}
    return words


def _limit(one: Derived, prefs: Preferences) -> str:
    if one.shown is Shown.SMALL:
        return range_in_words(one.least, one.most, prefs)
    if one.least is None and one.most is None:
        return ""
    if one.least is not None and one.most is not None:
        return _("%(least)s to %(most)s") % {
            "least": _figure(one.least, one.shown, prefs),
            "most": _figure(one.most, one.shown, prefs),
        }
    if one.most is not None:
        return _("at most %(limit)s") % {"limit": _figure(one.most, one.shown, prefs)}
    assert one.least is not None
    return _("at least %(limit)s") % {"limit": _figure(one.least, one.shown, prefs)}


def _figure(value: float, shown: Shown, prefs: Preferences) -> str:
    if shown is Shown.SMALL:
        return in_words(value, "small_length", prefs)
    if shown is Shown.SIZE:
        return size_in_words(value, prefs)
    if shown is Shown.TEMPERATURE:
        return in_words(value, "temperature", prefs)
    unit, divisor, decimals = {
        Shown.SPEED: (_("m/s"), 1.0, 1),
        Shown.PRESSURE: (_("MPa"), 1e6, 0),
        Shown.TORQUE: (_("N m"), 1.0, 0),
        Shown.HARDNESS: (_("HRC"), 1.0, 0),
        Shown.ROUGHNESS: (_("µm"), 1e-6, 2),
    }[shown]
    return f"{number_in_words(value / divisor, decimals)} {unit}"
