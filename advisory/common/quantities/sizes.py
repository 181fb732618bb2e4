"""Reading a size as it is told at the bench: whole, or as so much above or below nominal."""

import re

from django.utils.formats import number_format
from django.utils.translation import gettext as _

from advisory.common.quantities.reading import Quantity, read_typed
from advisory.common.quantities.units import LENGTH, QuantityError, from_si
from advisory.common.quantities.words import Preferences, in_words, number_in_words, unit_for

# "+1.5 thou", "-10": a sign in front tells it from a whole size, which has none
_AGAINST_NOMINAL = re.compile(r"\s*[+\-\u2212]")


def is_against_nominal(text: str) -> bool:
    """Say whether what was typed is told against the nominal size."""
    return _AGAINST_NOMINAL.match(text) is not None


def read_size(text: str, *, unit: str, small_unit: str, nominal: float | None = None) -> Quantity:
    """Read a size: `1.4985`, `38.06 mm`, or against the nominal size `+1.5 thou`, `-10`.

    Without a unit a whole size is in `unit`, and a difference in `small_unit`.

    Raises
    ------
    QuantityError
        For what is no length, and for a difference where no nominal size is known.
    """
    if not is_against_nominal(text):
        return read_typed(text, LENGTH, unit)
    told = read_typed(text, LENGTH, small_unit)
    if nominal is None:
        raise QuantityError(
            "no_nominal",
            _("The design gives no nominal size here, so write the whole size."),
        )
    return Quantity(told.value, told.unit, nominal + told.si)


def size_unit(preferences: Preferences) -> str:
    """Return the unit in which a person who reads clearances in thou or mm reads a whole size."""
    return "inch" if preferences.small_length == "thou" else "mm"


def size_in_words(metres: float, preferences: Preferences) -> str:
    """Write a size as a micrometer shows it: tenths of a thou, or thousandths of a millimetre."""
    if size_unit(preferences) == "inch":
        return _("%(number)s in") % {"number": _figures(from_si(metres, "inch", LENGTH), 4)}
    return _("%(number)s mm") % {"number": _figures(from_si(metres, "mm", LENGTH), 3)}


def range_in_words(least: float | None, most: float | None, preferences: Preferences) -> str:
    """Write limits of a small length from to, with the unit once; "" where there are none."""
    if least is None and most is None:
        return ""
    if least is None or most is None:
        one = in_words(least if most is None else most, "small_length", preferences)  # type: ignore[arg-type]
        words = _("at least %(limit)s") if most is None else _("at most %(limit)s")
        return words % {"limit": one}
    unit, dimension = unit_for("small_length", preferences)
    decimals = 1 if unit == "thou" else 3
    return _("%(least)s to %(most)s") % {
        "least": number_in_words(from_si(least, unit, dimension), decimals),
        "most": in_words(most, "small_length", preferences),
    }


def _figures(value: float, decimals: int) -> str:
    """Write a size with its zeros, for they say how finely it was measured."""
    return str(number_format(round(value, decimals), decimals, use_l10n=True))
