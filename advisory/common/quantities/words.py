"""Quantities in words, in the units that the reader chose."""

import math
from dataclasses import dataclass
from typing import Literal

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from advisory.common.quantities.units import (
    LENGTH,
    SPEED,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    TIME,
    VOLUME,
    Dimension,
    from_si,
)

Kind = Literal[
    "small_length",
    "distance",
    "volume",
    "temperature",
    "temperature_difference",
    "running_time",
    "speed",
]


@dataclass(frozen=True)
class Preferences:
    """The units a person reads and writes in."""

    small_length: str = "thou"
    distance: str = "mile"
    volume: str = "litre"
    temperature: str = "degC"


#: What programs are told in: kilometres and litres.
METRIC = Preferences(small_length="mm", distance="km", volume="litre", temperature="degC")


def unit_for(kind: Kind, preferences: Preferences) -> tuple[str, Dimension]:
    """Return the unit in which a person reads and types a kind of quantity, and its dimension."""
    in_miles = preferences.distance == "mile"
    return {
        "small_length": (preferences.small_length, LENGTH),
        "distance": (preferences.distance, LENGTH),
        "volume": ({"pint": "imperial_pint"}.get(preferences.volume, preferences.volume), VOLUME),
        "temperature": (preferences.temperature, TEMPERATURE),
        "temperature_difference": (f"delta_{preferences.temperature}", TEMPERATURE_DIFFERENCE),
        "running_time": ("hour", TIME),
        "speed": ("mph" if in_miles else "km/hour", SPEED),
    }[kind]


def _decimals(kind: Kind, size: float, unit: str, *, about: bool) -> int:
    """Return how many decimals a reader can use; below 0: tens, hundreds."""
    if kind == "small_length":
        return 1 if unit == "thou" else 3
    if kind == "volume":
        return 2 if size < 1 else 1 if size < 10 else 0
    if kind == "distance" and about:
        return -2 if size >= 1000 else -1 if size >= 100 else 0
    if kind == "running_time" and size < 10:
        return 1
    return 0


def number_in_words(value: float, decimals: int) -> str:
    """Write a number with the language's marks, without needless zeros."""
    rounded = round(value, decimals) + 0.0  # no minus before a zero
    places = max(decimals, 0)
    while places and round(rounded, places - 1) == rounded:
        places -= 1
    return str(number_format(rounded, places, use_l10n=True, force_grouping=True))


def in_words(value_si: float, kind: Kind, preferences: Preferences, *, about: bool = True) -> str:
    """Write a quantity for a person, rounded to what they can use, with its unit.

    A distance is rounded to two or three figures; `about=False` gives whole miles or kilometres.
    """
    if not math.isfinite(value_si):
        return _("unknown")
    unit, dimension = unit_for(kind, preferences)
    value = from_si(value_si, unit, dimension)
    decimals = _decimals(kind, abs(value), unit, about=about)
    number = number_in_words(value, decimals)
    count = 1 if round(value, decimals) == 1 else 2
    return _with_unit(unit, number, count)


_COUNTED = {
    "mile": ngettext_lazy("%(number)s mile", "%(number)s miles", "count"),
    "litre": ngettext_lazy("%(number)s litre", "%(number)s litres", "count"),
    "imperial_pint": ngettext_lazy("%(number)s pint", "%(number)s pints", "count"),
    "hour": ngettext_lazy("%(number)s hour", "%(number)s hours", "count"),
}
_SHORT = {
    "km": gettext_lazy("%(number)s km"),
    "thou": gettext_lazy("%(number)s thou"),
    "mm": gettext_lazy("%(number)s mm"),
    "degC": gettext_lazy("%(number)s °C"),
    "degF": gettext_lazy("%(number)s °F"),
    "delta_degC": gettext_lazy("%(number)s °C"),
    "delta_degF": gettext_lazy("%(number)s °F"),
    "mph": gettext_lazy("%(number)s mph"),
    "km/hour": gettext_lazy("%(number)s km/h"),
}


def _with_unit(unit: str, number: str, count: int) -> str:
    template = _COUNTED.get(unit) or _SHORT[unit]
    return str(template % {"number": number, "count": count})
