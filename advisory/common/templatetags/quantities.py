"""Quantities on a page: SI in, words in the reader's units out; nothing told is 'not known'.

Write `{{ metres|distance:prefs }}`; `prefs` is in every page's context.
"""

from typing import Any

from django import template

from advisory.common.quantities import Kind, Preferences, in_words
from advisory.common.templatetags.components import not_known

register = template.Library()


def _words(value: Any, kind: Kind, prefs: Preferences, *, about: bool = True) -> str:
    if value is None or value == "":
        return not_known()
    return in_words(float(value), kind, prefs, about=about)


@register.filter
def distance(metres: float | None, prefs: Preferences) -> str:
    """Write a computed distance, rounded to what a reader can use."""
    return _words(metres, "distance", prefs)


@register.filter
def exact_distance(metres: float | None, prefs: Preferences) -> str:
    """Write a distance that was read or logged, to the mile or kilometre."""
    return _words(metres, "distance", prefs, about=False)


@register.filter
def small_length(metres: float | None, prefs: Preferences) -> str:
    """Write a clearance, an end float, a run-out."""
    return _words(metres, "small_length", prefs)


@register.filter
def volume(cubic_metres: float | None, prefs: Preferences) -> str:
    """Write a volume of oil."""
    return _words(cubic_metres, "volume", prefs)


@register.filter
def temperature(kelvin: float | None, prefs: Preferences) -> str:
    """Write a temperature."""
    return _words(kelvin, "temperature", prefs)


@register.filter
def running_time(seconds: float | None, prefs: Preferences) -> str:
    """Write running hours."""
    return _words(seconds, "running_time", prefs)
