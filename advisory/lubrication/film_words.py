"""Films, flows, pressures and short times in words, in the reader's units."""

from math import isfinite

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.common.quantities import (
    LENGTH,
    PRESSURE,
    VOLUME_PER_TIME,
    Preferences,
    from_si,
    in_words,
    number_in_words,
)
from advisory.people.enums import SmallLengthUnit, VolumeUnit

KELVIN = 273.15
_MINUTE = 60.0
# from here on seconds are no longer counted
_IN_MINUTES = 180.0


def film_words(metres: float, prefs: Preferences) -> str:
    """Write the thickness of a film: far finer than what a micrometer reads."""
    if prefs.small_length == SmallLengthUnit.THOU:
        thou = from_si(metres, "thou", LENGTH)
        return _("%(number)s thou") % {"number": number_in_words(thou, 2)}
    return _("%(number)s µm") % {"number": number_in_words(metres * 1e6, 1)}


def pipe_words(metres: float, prefs: Preferences) -> str:
    """Write a size of a pipe."""
    if prefs.small_length == SmallLengthUnit.THOU:
        inches = from_si(metres, "inch", LENGTH)
        return _("%(number)s inch") % {"number": number_in_words(inches, 3)}
    return _("%(number)s mm") % {"number": number_in_words(from_si(metres, "mm", LENGTH), 1)}


def flow_unit(prefs: Preferences, size: float) -> tuple[str, str]:
    """Return the unit in which a flow of this size (m3/s) is read, and its words."""
    if prefs.volume == VolumeUnit.PINT:
        if from_si(size, "imperial_pint/minute", VOLUME_PER_TIME) < 1.0:
            return "imperial_fluid_ounce/minute", _("fl oz/min")
        return "imperial_pint/minute", _("pints/min")
    if from_si(size, "litre/minute", VOLUME_PER_TIME) < 1.0:
        return "ml/minute", _("ml/min")
    return "litre/minute", _("l/min")


def flow_words(flow: float, prefs: Preferences) -> str:
    """Write a flow of oil."""
    unit, words = flow_unit(prefs, flow)
    value = from_si(flow, unit, VOLUME_PER_TIME)
    decimals = 0 if value >= 100.0 else 1 if value >= 1.0 else 2
    return f"{number_in_words(value, decimals)} {words}"


def pressure_words(pascals: float, prefs: Preferences) -> str:
    """Write a pressure."""
    if prefs.small_length == SmallLengthUnit.THOU:
        value = from_si(pascals, "psi", PRESSURE)
        return _("%(number)s psi") % {"number": number_in_words(value, 1)}
    value = from_si(pascals, "bar", PRESSURE)
    return _("%(number)s bar") % {"number": number_in_words(value, 2)}


def seconds_words(seconds: float) -> str:
    """Write a short time."""
    if not isfinite(seconds):
        return _("never")
    if seconds < 1.0:
        return _("at once")
    if seconds < _IN_MINUTES:
        whole = round(seconds)
        return ngettext("%(n)d second", "%(n)d seconds", whole) % {"n": whole}
    minutes = round(seconds / _MINUTE)
    return ngettext("%(n)d minute", "%(n)d minutes", minutes) % {"n": minutes}


def power_words(watts: float) -> str:
    """Write the power that bearings lose, to two or three figures."""
    decimals = -1 if watts >= 100.0 else 0
    return _("%(number)s W") % {"number": number_in_words(watts, decimals)}


def celsius_words(celsius: float, prefs: Preferences) -> str:
    """Write a temperature that is computed with in degC."""
    return in_words(celsius + KELVIN, "temperature", prefs)
