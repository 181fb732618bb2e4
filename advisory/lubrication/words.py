"""What is said of a unit's oil, in the reader's units."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences, in_words
from advisory.lubrication.models import Lubricant
from advisory.lubrication.queries import OilInUnit


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


def oil_name(lubricant: Lubricant | None) -> str:
    """Name an oil, or say that nobody knows it."""
    return _("not known") if lubricant is None else str(lubricant)


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
