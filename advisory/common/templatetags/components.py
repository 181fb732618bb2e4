"""Template tags for the parts that every page is built of; each has its template in components/."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django import template
from django.forms import BaseForm, BoundField, Field
from django.forms.widgets import (
    CheckboxInput,
    CheckboxSelectMultiple,
    ClearableFileInput,
    NumberInput,
    RadioSelect,
    TextInput,
)
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from advisory.common.charts import Chart
from advisory.common.drawing import Comparison, Gauge
from advisory.common.stylesheet import style_sheet

register = template.Library()

THEMES = ("light", "dark", "auto")

# Where a library's own message does not say what to do.
PLAIN_WORDS = {
    "required": _lazy("Fill this in."),
    "incorrect_code": _lazy("That code is not right, or no longer. Enter the one shown now."),
}


def _component(name: str, context: Mapping[str, Any]) -> SafeString:
    return render_to_string(f"components/{name}.html", dict(context))


@register.simple_tag
def stylesheet_url() -> str:
    """Return the address of the style sheet of all components."""
    return reverse("stylesheet", args=[style_sheet().digest])


@register.filter
def theme_name(cookie: str | None) -> str:
    """Return the stored theme, or `auto` for anything that is not one."""
    return cookie if cookie in THEMES else "auto"


@register.simple_tag
def icon(name: str) -> SafeString:
    """Draw one of our own symbols, in the colour of the text; words must stand beside it."""
    return format_html(
        '<svg class="icon" aria-hidden="true" focusable="false" width="24" height="24">'
        '<use href="{}#{}"></use></svg>',
        static("icons/symbols.svg"),
        name,
    )


@register.inclusion_tag("components/where.html")
def where(*steps: Any) -> dict[str, Any]:
    """Say where the reader is: label, address, label, address, ..., and the last label."""
    return {"trail": list(zip(steps[0:-1:2], steps[1::2], strict=False)), "here": steps[-1]}


@register.inclusion_tag("components/gauge.html")
def gauge(drawn: Gauge) -> dict[str, Any]:
    """Draw the dimension line between last done and due."""
    return {"gauge": drawn}


@register.inclusion_tag("components/compare.html")
def compare(comparison: Comparison, *, caption: str, kind: str, amount: str) -> dict[str, Any]:
    """Draw kinds side by side, each as a length from one datum, with the words in a table."""
    return {"comparison": comparison, "caption": caption, "kind": kind, "amount": amount}


@register.inclusion_tag("components/chart.html")
def chart(drawn: Chart, *, name: str) -> dict[str, Any]:
    """Draw a chart with its sentence and its table; `name` makes its ids unique on the page."""
    return {"chart": drawn, "name": name}


@register.simple_tag
def not_known(words: str = "") -> SafeString:
    """Mark a value that nobody has told us yet."""
    return _component("not_known", {"words": words})


@register.filter
def or_not_known(value: Any) -> Any:
    """Show the value, or that it is not known."""
    return not_known() if value is None or value == "" else value


# Blocks -------------------------------------------------------------------------------------------


@register.simple_block_tag
def section(content: str, *, title: str, id: str = "", lead: str = "") -> SafeString:
    """Lay out one part of a page: its heading in the margin, its content beside it."""
    return _component("section", {"content": content, "title": title, "id": id, "lead": lead})


@register.simple_block_tag
def caution(content: str, *, level: str = "caution", title: str = "") -> SafeString:
    """Warn at the task itself. `level`: `caution`, or `stop` for what must not go on."""
    if level not in {"caution", "stop"}:
        raise template.TemplateSyntaxError(f"caution level={level!r}: use 'caution' or 'stop'.")
    return _component("caution", {"content": content, "level": level, "title": title})


@register.simple_block_tag
def notice(content: str, *, kind: str = "note", title: str = "") -> SafeString:
    """Say something that is no danger. `kind`: `note`, `done` or `question`."""
    return _component("notice", {"content": content, "kind": kind, "title": title})


@register.simple_block_tag
def empty(content: str, *, title: str) -> SafeString:
    """Say that there is nothing here yet, and what to do about it."""
    return _component("empty", {"content": content, "title": title})


@register.simple_block_tag
def next_thing(
    content: str,
    *,
    name: str,
    due: str,
    question: str = "",
    gauge: Gauge | None = None,
    reasons: Sequence[str] = (),
    have_at_hand: Sequence[str] = (),
    heading: str = "h1",
    then: str = "",
    put_off: str = "",
) -> SafeString:
    """Answer what a unit needs next, and when; the content holds the actions."""
    return _component(
        "next_thing",
        {
            "content": content,
            "name": name,
            "due": due,
            "question": question,
            "gauge": gauge,
            "reasons": reasons,
            "have_at_hand": have_at_hand,
            "heading": heading,
            "then": then,
            "put_off": put_off,
        },
    )


@register.simple_block_tag
def plan_row(
    content: str,
    *,
    name: str,
    due: str,
    gauge: Gauge | None = None,
    url: str = "",
    why: str = "",
    of: str = "",
    put_off: str = "",
) -> SafeString:
    """Show one item of a plan inside `<ol class="plan">`; the content holds its actions."""
    return _component(
        "plan_row",
        {
            "content": content,
            "name": name,
            "due": due,
            "gauge": gauge,
            "url": url,
            "why": why,
            "of": of,
            "put_off": put_off,
        },
    )


@register.simple_block_tag
def entry(
    content: str,
    *,
    title: str,
    when: date | datetime | None = None,
    undated: str = "",
    reading: str = "",
    kind: str = "",
    url: str = "",
) -> SafeString:
    """Write one entry of a logbook or history inside `<ol class="timeline">`.

    `undated` is what stands in the place of a day where there was none.
    """
    return _component(
        "entry",
        {
            "content": content,
            "title": title,
            "when": when,
            "undated": undated,
            "timed": isinstance(when, datetime),
            "reading": reading,
            "kind": kind,
            "url": url,
        },
    )


@register.simple_block_tag
def parts_table(
    content: str, *, caption: str, stacked: bool = True, quiet: bool = False
) -> SafeString:
    """Wrap `<thead>` and `<tbody>` of a table; on a phone its rows are stacked.

    Give each cell `data-label` with the words of its column, and class `number` to a figure.
    """
    return _component(
        "parts_table",
        {"content": content, "caption": caption, "stacked": stacked, "quiet": quiet},
    )


# Forms --------------------------------------------------------------------------------------------


def _control(bound: BoundField, extra: Mapping[str, str] | None = None) -> SafeString:
    """Render the widget tied to its help and its errors."""
    attrs: dict[str, Any] = dict(extra or {})
    described = [
        f"{bound.auto_id}_{part}"
        for part, there in (("error", bound.errors), ("help", bound.help_text))
        if there
    ]
    if described:
        attrs["aria-describedby"] = " ".join(described)
    if bound.errors:
        attrs["aria-invalid"] = "true"
    if bound.field.widget.attrs.get("placeholder"):
        attrs["placeholder"] = False  # the label says it, and stays while one types
    if isinstance(bound.field.widget, NumberInput):
        # A browser's number field throws away what it can't read; here what was typed stays.
        attrs = {"inputmode": "decimal", "autocomplete": "off"} | attrs
        return bound.as_widget(widget=TextInput(attrs=bound.field.widget.attrs), attrs=attrs)
    return bound.as_widget(attrs=attrs)


def error_words(bound: BoundField) -> list[str]:
    """Return what is wrong with a field, said as what to do."""
    found = [
        (error.code, message) for error in bound.errors.as_data() for message in error.messages
    ]
    return [
        # a form that says itself what to fill in is better heard than we
        text
        if code == "required" and text != str(Field.default_error_messages["required"])
        else str(PLAIN_WORDS.get(code or "", text))
        for code, text in found
    ]


def _shape(bound: BoundField) -> str:
    widget = bound.field.widget
    if isinstance(widget, CheckboxSelectMultiple):
        return "choices"
    if isinstance(widget, RadioSelect):
        return "choices"
    if isinstance(widget, CheckboxInput):
        return "tick"
    if isinstance(widget, ClearableFileInput):
        return "file"
    return "line"


@register.inclusion_tag("components/field.html")
def field(
    bound: BoundField,
    *,
    unit: str = "",
    unit_field: BoundField | None = None,
    size: str = "",
    label: str = "",
    help: str | None = None,
) -> dict[str, Any]:
    """Lay out a form field: label, help, error, control, and the unit or the choice of units.

    `size` is `short` for a figure. `label` and `help` stand in for the form's own; `help=""` leaves
    it out. What was typed stays.
    """
    if help is not None:
        bound.help_text = help
    return {
        "bound": bound,
        "shape": _shape(bound),
        "control": _control(bound),
        "unit": unit,
        "unit_field": unit_field,
        "unit_control": _control(unit_field, {"aria-label": str(unit_field.label)})
        if unit_field is not None
        else "",
        "size": size,
        "label": label or bound.label,
        "optional": not bound.field.required,
        "errors": error_words(bound),
    }


@register.inclusion_tag("components/cell_field.html")
def cell_field(bound: BoundField) -> dict[str, Any]:
    """Lay out help, error and control of a field whose label stands elsewhere, as in a table."""
    return {"bound": bound, "control": _control(bound), "errors": error_words(bound)}


@register.inclusion_tag("components/fields.html")
def form_fields(form: BaseForm) -> dict[str, Any]:
    """Lay out all fields of a form, one below the other."""
    return {"form": form}


def _asked(label: str) -> str:
    return label if label.endswith((":", "?", ".", "!")) else f"{label}:"


@register.inclusion_tag("components/form_errors.html")
def form_errors(*forms: BaseForm, quiet: bool = False) -> dict[str, Any]:
    """List at the top what must be put right, each with a link to its field.

    `quiet` leaves out that nothing was saved, where there was nothing to save.
    """
    bound_with_errors = [bound for form in forms if form.is_bound for bound in form if bound.errors]
    general = [message for form in forms if form.is_bound for message in form.non_field_errors()]
    return {
        "fields": [
            (bound, " ".join([_asked(str(bound.label)), *error_words(bound)]))
            for bound in bound_with_errors
        ],
        "quiet": quiet,
        "general": general,
        "count": len(bound_with_errors) + len(general),
    }


@register.inclusion_tag("components/number_entry.html")
def number_entry(
    bound: BoundField,
    *,
    unit: str = "",
    digits: int = 6,
    last: str = "",
    decimals: bool = False,
) -> dict[str, Any]:
    """Lay out the big entry for a reading, as wide as the instrument has digits."""
    return {
        "bound": bound,
        "control": _control(
            bound,
            {
                "class": "wheels",
                "inputmode": "decimal" if decimals else "numeric",
                "autocomplete": "off",
                "enterkeyhint": "done",
                "size": str(digits),
                "data-digits": str(max(4, min(digits, 8))),
            },
        ),
        "unit": unit,
        "last": last,
        "errors": error_words(bound),
        "label": bound.label or _("Reading"),
    }
