"""What was found, and wear."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.charts import Chart, Series
from advisory.common.quantities import Preferences
from advisory.reports.shown import words
from advisory.reports.shown.document import Column, Section, Table
from advisory.reports.shown.figures import MEASURES, in_words, number
from advisory.reports.shown.sections.common import (
    UNITS,
    Tables,
    far,
    table_of,
    table_of_points,
    too_few,
    too_few_for_curve,
)

# Curves that a reader can still tell apart.
MOST_LINES = 4


def found(tables: Tables, prefs: Preferences, *, least: int) -> Section:
    """Tell what was found, by position."""
    rows = tables["found"]
    table = table_of(
        "found",
        _("What was found, by position"),
        _("Position"),
        [UNITS, Column("findings", gettext_lazy("Findings"), "count")],
        rows,
        words.position_words,
        prefs,
    )
    curves = sorted((r for r in rows if r["points"]), key=lambda r: -r["findings"])[:MOST_LINES]
    unit = MEASURES["distance"].unit(prefs)
    charts = []
    points = []
    if curves:
        last = curves[0]["points"][-1]
        styles = ("solid", "dashed", "chain", "dotted")
        charts.append(
            Chart(
                title=_("Findings a unit, by distance since the rebuild"),
                sentence=_(
                    "%(position)s: %(count)s findings a unit by %(age)s (95 %% band in the table). "
                    "It shows how often, not why, and counts small and grave alike."
                )
                % {
                    "position": words.position_words(curves[0]["row"]),
                    "count": number(last["value"], "per_unit", prefs),
                    "age": in_words(last["age"], "distance", prefs),
                },
                series=[
                    Series(
                        words.position_words(row["row"]),
                        [(0.0, 0.0)] + [(far(p["age"], prefs), p["value"]) for p in row["points"]],
                        style=style,
                    )
                    for row, style in zip(curves, styles, strict=False)
                ],
                x_label=_("Since the rebuild (%(unit)s)") % {"unit": unit},
                y_label=_("Findings a unit"),
            )
        )
        points = [
            table_of_points(
                "found_points",
                _("Findings a unit by distance, with their 95 % band"),
                [r for r in rows if r["points"]],
                words.position_words,
                "per_unit",
                prefs,
            )
        ]
    return Section(
        "found",
        _("What was found"),
        _("How many findings a unit has had, on the mean, by the distance since it was rebuilt."),
        _(
            "What nobody looked at was not found. Findings recur; a unit may have several, and "
            "many bear no mark."
        ),
        [*([table] if table.rows else []), *points, *_marks(tables, prefs)],
        charts,
        notes=[] if curves else [too_few_for_curve(least)],
    )


def _marks(tables: Tables, prefs: Preferences) -> list[Table]:
    """Tell findings by mark; reports of before told none."""
    rows = tables.get("marks", [])
    if not rows:
        return []
    columns = [UNITS, Column("findings", gettext_lazy("Findings"), "count")]
    age = rows[0]["age"]
    if age is not None and any(row["count"] for row in rows):
        by = _("Findings a unit by %(age)s") % {"age": in_words(age, "distance", prefs)}
        columns.append(Column("count", by, "per_unit"))
    title = _("What was found, by mark; less frequent ones are not shown")
    return [table_of("marks", title, _("Mark"), columns, rows, words.mark_words, prefs)]


def wear(tables: Tables, about: Mapping[str, Any], prefs: Preferences) -> Section:
    """Tell the wear rate by design."""
    table = table_of(
        "wear",
        _("Wear since the rebuild; the spread is one standard deviation between units"),
        _("Design and position"),
        [UNITS, Column("rate", gettext_lazy("Wear"), "wear")],
        tables["wear"],
        lambda key: words.worn_words(key, about),
        prefs,
    )
    return Section(
        "wear",
        _("Wear"),
        _("How much a place wears a distance, from the build sheet to the last measurement."),
        _("Only units that were measured again count; one measures sooner what is suspect."),
        [table] if table.rows else [],
        notes=[] if table.rows else [too_few(_("wear"))],
    )
