"""A report as a PDF: tagged, A4, set by Typst from a template of our own."""

from collections.abc import Sequence
from datetime import date
from html import escape
from pathlib import Path
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.common.charts import Chart, Series
from advisory.common.pdf import set_pdf
from advisory.people.models import Organisation
from advisory.reports.shown import Document, Section, Table

TEMPLATE = Path(__file__).with_name("fleet.typ")
# The committee reads six pages, not sixty: a longer table is cut off, and says so.
MOST_ROWS = 24
KEY_LINE = 19
DASHES = {"solid": "", "dashed": "9 5", "chain": "12 4 2 4", "dotted": "2 4"}


def pdf_of(document: Document, organisation: Organisation, on: date) -> bytes:
    """Set a document as a PDF."""
    data = {
        "title": document.title,
        "question": document.question,
        "lead": document.lead,
        "notes": list(document.notes),
        "organisation": str(organisation),
        "heading": _("Fleet report of %(organisation)s") % {"organisation": organisation},
        "on": date_format(on, "j F Y"),
        "page": _("Page"),
        "shows": _("What it shows:"),
        "not_said": _("What not:"),
        "sections": [_section(document, section) for section in document.sections],
    }
    return set_pdf(TEMPLATE, data, on)


def _section(document: Document, section: Section) -> dict[str, Any]:
    return {
        "title": section.title,
        "shows": section.shows,
        "not_said": section.not_said,
        "tables": [_table(document, table) for table in section.tables],
        "charts": [
            {
                "title": chart.title,
                "sentence": chart.sentence,
                "svg": svg_of(chart),
            }
            for chart in section.charts
            if not chart.empty
        ],
        "notes": list(section.notes),
    }


def _table(document: Document, table: Table) -> dict[str, Any]:
    rows = table.in_words
    note = document.left_out_words(table)
    if len(rows) > MOST_ROWS:
        note = _("And %(n)d more, in the CSV files.") % {"n": len(rows) - MOST_ROWS}
    return {
        "title": table.title,
        "kind": table.kind,
        "head": table.head,
        "rows": [[row.label, *row.cells] for row in rows[:MOST_ROWS]],
        "note": note,
    }


def svg_of(chart: Chart) -> str:
    """Draw a chart by itself, in black, for print."""
    font = 'font-family="Libertinus Serif" font-size="15"'
    left, right = chart.LEFT, chart.WIDTH - chart.RIGHT
    top, bottom = chart.TOP, chart.HEIGHT - chart.BOTTOM
    # the key stands above, where no line runs through it
    above = KEY_LINE * max(len(_keyed(chart)) - 1, 0)
    box = f"0 {-above} {chart.WIDTH:g} {chart.HEIGHT + above:g}"
    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}">']
    for y, words in chart.y_ticks:
        parts.append(
            f'<line x1="{left:g}" x2="{right:g}" y1="{y}" y2="{y}" stroke="#bbb" '
            f'stroke-width="0.7"/><text x="{left - 8:g}" y="{float(y) + 5:.1f}" '
            f'text-anchor="end" {font}>{escape(words)}</text>'
        )
    for x, words in chart.x_ticks:
        parts.append(
            f'<line x1="{x}" x2="{x}" y1="{bottom:g}" y2="{bottom + 7:g}" stroke="#000"/>'
            f'<text x="{x}" y="{bottom + 24:g}" text-anchor="middle" {font}>{escape(words)}</text>'
        )
    parts.append(f'<path d="M{left:g} {top:g} V{bottom:g} H{right:g}" fill="none" stroke="#000"/>')
    for series, line, points in chart.lines:
        width = 2 if series.dots else 1.1
        parts.append(
            f'<polyline points="{line}" fill="none" stroke="#000" stroke-width="{width}" '
            f'stroke-dasharray="{DASHES[series.style]}"/>'
        )
        parts += _dots(points) if series.dots else []
    parts.append(
        f'<text x="{(left + right) / 2:g}" y="{chart.HEIGHT - 6:g}" text-anchor="middle" {font}>'
        f'{escape(chart.x_label)}</text><text x="0" y="18" {font}>{escape(chart.y_label)}</text>'
    )
    parts += _key(chart, font)
    return "".join([*parts, "</svg>"])


def _dots(points: Sequence[tuple[str, str]]) -> list[str]:
    return [f'<circle cx="{x}" cy="{y}" r="3"/>' for x, y in points]


def _keyed(chart: Chart) -> list[Series]:
    """Return the lines that are named, of the ends of bands one."""
    named = [series for series in chart.series if series.dots]
    return named + [series for series in chart.series if not series.dots][:1]


def _key(chart: Chart, font: str) -> list[str]:
    """Name the lines at the upper right."""
    parts = []
    named = _keyed(chart)
    for number, series in enumerate(named):
        label = series.label if series.dots else _("95 % band")
        y = 20 - KEY_LINE * (len(named) - 1 - number)
        parts.append(
            f'<line x1="390" x2="430" y1="{y - 5}" y2="{y - 5}" stroke="#000" '
            f'stroke-width="{2 if series.dots else 1.1}" '
            f'stroke-dasharray="{DASHES[series.style]}"/>'
            f'<text x="438" y="{y}" {font}>{escape(label)}</text>'
        )
    return parts
