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
