"""Sizes and limits of the register on a page."""

from django import template
from django.utils.safestring import SafeString

from advisory.common.quantities import Preferences, range_in_words, size_in_words
from advisory.common.templatetags.components import not_known
from advisory.register.models import Position

register = template.Library()


@register.filter
def size(metres: float | None, prefs: Preferences) -> str | SafeString:
    """Write a size as a micrometer shows it."""
    return not_known() if metres is None else size_in_words(metres, prefs)


@register.filter
def limits(position: Position, prefs: Preferences) -> str | SafeString:
    """Write the limits as built of a position, from to."""
    words = range_in_words(position.as_built_least, position.as_built_most, prefs)
    return words or not_known()
