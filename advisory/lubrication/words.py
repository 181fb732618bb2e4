"""What is said of a unit's oil, in the reader's units."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import (
    LENGTH,
    VOLUME_PER_TIME,
    Preferences,
    from_si,
    in_words,
    number_in_words,
)
from advisory.lubrication.adapters import grades_of
from advisory.lubrication.enums import Feed, Filtration
from advisory.lubrication.models import Lubricant, OilArrangement
from advisory.lubrication.queries import OilInUnit
from advisory.people.enums import SmallLengthUnit, VolumeUnit


def filling_words(oil: OilInUnit, prefs: Preferences) -> str:
    """Say how much of which oil to have at hand."""
    amount = None if oil.sump_volume is None else in_words(oil.sump_volume, "volume", prefs)
    wanted = oil.wanted
    if amount is not None and wanted is not None:
        if oil.prescribed is not None:
            return _("%(amount)s of %(oil)s, as the design prescribes") % {
                "amount": amount,
                "oil": wanted,
            }
        return _("%(amount)s of %(oil)s, as is in it now") % {"amount": amount, "oil": wanted}
    if amount is not None:
        return _("%(amount)s of oil: ask the workshop, or the handbook of its year, which") % {
            "amount": amount
        }
    if wanted is not None:
        return _("%(oil)s: measure what comes out, nobody has told how much it holds") % {
            "oil": wanted
        }
    return _("Oil: which, and how much, the workshop or the handbook of its year can tell")


@dataclass(frozen=True)
class Assumed:
    """What was taken because nobody has told us, and how to find out."""

    taken: Promise | str
    find_out: Promise | str


ASSUMED = {
    "filtration": Assumed(
        gettext_lazy("no filter at all"),
        gettext_lazy(
            "Look for a canister or a housing in the oil pipes: all the oil through it is a"
            " full-flow filter, a thin branch back to the sump is a bypass."
        ),
    ),
    "sump_volume": Assumed(
        gettext_lazy("a small sump for its kind"),
        gettext_lazy("Measure what comes out at the next drain, and what goes in to the datum."),
    ),
    "sump_temperature": Assumed(
        gettext_lazy("warm oil, 90 °C"),
        gettext_lazy("Hold a probe thermometer into the oil after an hour's drive."),
    ),
    "lubricant": Assumed(
        gettext_lazy("straight oil"),
        gettext_lazy("Look at the can, or at the last bill; else at the next drain start afresh."),
    ),
    "beta_ratio": Assumed(
        gettext_lazy("a plain filter element, which holds back half in one pass"),
        gettext_lazy("The element's data sheet gives its beta ratio."),
    ),
    "dirt_capacity": Assumed(
        gettext_lazy("that the filter is changed with the oil"),
        gettext_lazy("The element's data sheet gives how much dirt it takes."),
    ),
    "annual_distance": Assumed(
        gettext_lazy("nothing about how far it is driven in a year"),
        gettext_lazy("Two readings some weeks apart tell."),
    ),
    "car": Assumed(
        gettext_lazy("sealed roads and warm runs, for it is in no car"),
        gettext_lazy("Say which car it is in, and how that is driven."),
    ),
}


def assumed_words(codes: list[str]) -> list[Assumed]:
    """Return what was taken for these codes, and how to find out, in a fixed order."""
    return [words for code, words in ASSUMED.items() if code in codes]


@dataclass(frozen=True)
class Figure:
    """One thing with its value in words; None where nobody knows it."""

    label: str
    value: str | None


def oil_figures(oil: OilInUnit, prefs: Preferences) -> list[Figure]:
    """Say in short how a unit is oiled now."""
    arrangement, change = oil.arrangement, oil.last_change
    known = arrangement is not None and arrangement.feed != Feed.UNKNOWN
    return [
        Figure(_("Oil in it"), None if oil.lubricant is None else str(oil.lubricant)),
        Figure(_("Prescribed"), None if oil.prescribed is None else str(oil.prescribed)),
        Figure(_("It holds"), _volume(oil.sump_volume, prefs)),
        Figure(
            _("Filter"),
            None if oil.filtration == Filtration.UNKNOWN else str(oil.filtration.label),
        ),
        Figure(
            _("The oil comes"),
            arrangement.get_feed_display() if arrangement is not None and known else None,
        ),
        Figure(_("Last changed"), None if change is None else date_format(change.date, "j F Y")),
    ]


@dataclass(frozen=True)
class OilShown:
    """An oil with its figures in words, viscosities in mm2/s."""

    oil: Lubricant
    at_40: str
    at_100: str
    grades: Sequence[str]


def show_oil(oil: Lubricant) -> OilShown:
    """Write out an oil, with the grades that its figures make."""
    return OilShown(
        oil=oil,
        at_40=number_in_words(oil.kinematic_viscosity_40 * 1e6, 1),
        at_100=number_in_words(oil.kinematic_viscosity_100 * 1e6, 1),
        grades=grades_of(oil),
    )


def arrangement_figures(row: OilArrangement, prefs: Preferences) -> list[Figure]:
    """Write out an arrangement: all of it, with what is not known."""
    filtered = row.filtration in {Filtration.BYPASS, Filtration.FULL_FLOW}
    figures = [
        Figure(_("The oil comes"), None if row.feed == Feed.UNKNOWN else row.get_feed_display()),
        Figure(_("It holds"), _volume(row.sump_volume, prefs)),
        Figure(_("Level is taken at"), row.level_datum or None),
        Figure(_("Oil that is in it"), None if row.lubricant is None else str(row.lubricant)),
        Figure(
            _("Temperature on a warm run"),
            None
            if row.sump_temperature is None
            else in_words(row.sump_temperature, "temperature", prefs),
        ),
        Figure(
            _("Filter"),
            None if row.filtration == Filtration.UNKNOWN else row.get_filtration_display(),
        ),
    ]
    if filtered:
        figures += [
            Figure(_("Beta ratio"), None if row.beta_ratio is None else f"{row.beta_ratio:g}"),
            Figure(_("Flow through it"), _flow(row.filter_flow, prefs)),
            Figure(
                _("Dirt that it takes"),
                None
                if row.dirt_capacity is None
                else _("%(number)s g") % {"number": number_in_words(row.dirt_capacity * 1e3, 1)},
            ),
        ]
    breather = _("through a filter") if row.breather_filtered else _("without a filter")
    return [
        *figures,
        Figure(_("It breathes"), breather),
        Figure(_("Bore of the external pipe"), _pipe(row.feed_pipe_bore, prefs)),
        Figure(_("Its length"), _pipe(row.feed_pipe_length, prefs)),
    ]


def _volume(value: float | None, prefs: Preferences) -> str | None:
    return None if value is None else in_words(value, "volume", prefs)


def _flow(value: float | None, prefs: Preferences) -> str | None:
    if value is None:
        return None
    if prefs.volume == VolumeUnit.PINT:
        flow = from_si(value, "imperial_pint/minute", VOLUME_PER_TIME)
        return _("%(number)s pints/min") % {"number": number_in_words(flow, 1)}
    flow = from_si(value, "litre/minute", VOLUME_PER_TIME)
    return _("%(number)s l/min") % {"number": number_in_words(flow, 1)}


def _pipe(value: float | None, prefs: Preferences) -> str | None:
    if value is None:
        return None
    if prefs.small_length == SmallLengthUnit.THOU:
        inches = from_si(value, "inch", LENGTH)
        return _("%(number)s inch") % {"number": number_in_words(inches, 3)}
    return _("%(number)s mm") % {"number": number_in_words(from_si(value, "mm", LENGTH), 1)}
