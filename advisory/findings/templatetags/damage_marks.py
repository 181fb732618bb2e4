"""Template tags for damage marks: their drawings, and how they look in words."""

from django import template
from django.templatetags.static import static
from django.utils.html import format_html
from django.utils.safestring import SafeString

from advisory.findings.marks import MARK_FACTS, DamageMark

register = template.Library()


@register.simple_tag
def mark_drawing(mark: str, *, named: bool = True) -> SafeString:
    """Draw a mark; `named=False` where the words beside it say the same."""
    address = f"{static('findings/marks.svg')}#{DamageMark(mark).value}"
    if named:
        return format_html(
            '<svg class="mark-drawing" role="img" aria-label="{}" viewBox="0 0 96 64">'
            '<use href="{}"></use></svg>',
            MARK_FACTS[DamageMark(mark)].drawing,
            address,
        )
    return format_html(
        '<svg class="mark-drawing" aria-hidden="true" viewBox="0 0 96 64">'
        '<use href="{}"></use></svg>',
        address,
    )


@register.filter
def mark_looks(mark: str) -> str:
    """Say how a mark looks; "" for what is none."""
    return str(MARK_FACTS[DamageMark(mark)].looks) if mark in DamageMark.values else ""


@register.filter
def mark_judgement(mark: str) -> str:
    """Say how urgent a mark is by itself; "" for what is none."""
    return str(MARK_FACTS[DamageMark(mark)].judgement) if mark in DamageMark.values else ""


@register.filter
def mark_at(mark: str) -> str:
    """Name the kinds of places where a mark is seen, for the script; "" for what is none."""
    return " ".join(sorted(MARK_FACTS[DamageMark(mark)].at)) if mark in DamageMark.values else ""


@register.simple_tag
def instrument_drawing(name: str, words: str) -> SafeString:
    """Draw with what something is looked at or measured; `words` say what the drawing shows."""
    return format_html(
        '<svg class="instrument-drawing" role="img" aria-label="{}" viewBox="0 0 160 100">'
        '<use href="{}"></use></svg>',
        words,
        f"{static('findings/instruments.svg')}#{name}",
    )
