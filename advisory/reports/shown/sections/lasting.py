"""Life to the first serious finding: curves, the comparison, the law."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.charts import Chart, Series
from advisory.common.quantities import Preferences
from advisory.reports.enums import Filtered
from advisory.reports.figures import ALL
from advisory.reports.shown import words
from advisory.reports.shown.document import Column, Section
from advisory.reports.shown.figures import MEASURES, in_words
from advisory.reports.shown.sections.common import (
    UNITS,
    Tables,
    far,
    table_of,
    table_of_points,
    too_few_for_curve,
)


def lasting(tables: Tables, prefs: Preferences, *, least: int) -> Section:
    """Tell of life to the first serious finding, with and without a filter."""
    curves = {row["row"]: row for row in tables["lives"] if row["points"]}
    unit = MEASURES["distance"].unit(prefs)
    charts = []
    if ALL in curves:
        charts.append(
            _curve_chart(
                _("Units without a serious finding, all"),
                [(ALL, "solid")],
                curves,
                unit,
                prefs,
            )
        )
    if {Filtered.WITH.value, Filtered.WITHOUT.value} <= set(curves):
        charts.append(
            _curve_chart(
                _("Units without a serious finding, with and without a filter"),
                [(Filtered.WITH.value, "solid"), (Filtered.WITHOUT.value, "dashed")],
                curves,
                unit,
                prefs,
            )
        )
    found_tables = [
        table_of(
            "lives",
            _("Units watched"),
            _("Filter"),
            [UNITS],
            tables["lives"],
            words.group_words,
            prefs,
        )
    ]
    if curves:
        found_tables.append(
            table_of_points(
                "lives_points",
                _("Share without a serious finding, with its 95 % band"),
                list(curves.values()),
                words.group_words,
                "share",
                prefs,
            )
        )
    notes = [] if curves else [too_few_for_curve(least)]
    compared = tables["compared"]
    if compared:
        age = compared[0]["age"]
        at = _("Difference at %(age)s") % {"age": in_words(age, "distance", prefs)} if age else ""
        columns = [UNITS]
        if age:
            columns.append(Column("difference", at, "points"))
        columns += [
            Column("ratio", gettext_lazy("Rate with over without"), "ratio"),
            Column("observed", gettext_lazy("Observed with a filter"), "count"),
            Column("expected", gettext_lazy("Expected, were all alike"), "count"),
            Column("p_value", gettext_lazy("p (log-rank)"), "p"),
        ]
        if any(row.get("dealt") is not None for row in compared):
            columns.append(Column("dealt", gettext_lazy("p by dealing out again"), "p"))
        found_tables.append(
            table_of(
                "compared",
                _("Does a filter pay? With against without"),
                _("Compared"),
                columns,
                compared,
                words.compared_words,
                prefs,
            )
        )
        notes.append(_does_it_pay(compared, prefs))
    elif curves:
        notes.append(
            _(
                "With and without a filter can't be compared: one of them has too few owners or "
                "findings."
            )
        )
    if tables["weibull"]:
        found_tables.append(
            table_of(
                "weibull",
                _("Weibull's law, where it fits"),
                _("Filter"),
                [
                    UNITS,
                    Column("shape", gettext_lazy("Shape"), "ratio"),
                    Column("scale", gettext_lazy("63 % by"), "distance"),
                    Column("tenth", gettext_lazy("10 % by"), "distance"),
                ],
                [row for row in tables["weibull"] if row["fits"] == "yes"],
                words.group_words,
                prefs,
            )
        )
        notes += [_law_words(row) for row in tables["weibull"]]
    return Section(
        "lives",
        _("Life to the first serious finding"),
        _("The share of units that had no finding yet that says stop, or ask the workshop."),
        _(
            "It is no trial: who chooses a filter may also drive less and look after the car. "
            "The second line of the comparison holds like against like in design and yearly "
            "distance; what else differs, nobody knows."
        ),
        [each for each in found_tables if each.rows],
        charts,
        notes,
    )


def _curve_chart(
    title: str,
    groups: Sequence[tuple[str, str]],
    curves: Mapping[str, Mapping[str, Any]],
    unit: str,
    prefs: Preferences,
) -> Chart:
    series = []
    said = []
    for key, style in groups:
        points = curves[key]["points"]
        label = words.group_words(key)

        def line(
            part: str, points: Sequence[Mapping[str, Any]] = points
        ) -> list[tuple[float, float]]:
            return [(0.0, 100.0)] + [
                (far(p["age"], prefs), round(100.0 * p[part], 1)) for p in points
            ]

        series.append(Series(label, line("value"), style=style))
        series += [
            Series(
                _("%(group)s: %(end)s end of the band") % {"group": label, "end": end},
                line(part),
                style="dotted",
                dots=False,
            )
            for part, end in (("lower", _("lower")), ("upper", _("upper")))
        ]
        last = points[-1]
        said.append(
            _("%(group)s: %(share)s at %(age)s, of %(units)d units")
            % {
                "group": label,
                "share": in_words(last, "share", prefs),
                "age": in_words(last["age"], "distance", prefs),
                "units": curves[key]["units"],
            }
        )
    return Chart(
        title=title,
        sentence="; ".join(said)
        + ". "
        + _("It shows how long they went without one, not what the cause was."),
        series=series,
        x_label=_("Since the rebuild (%(unit)s)") % {"unit": unit},
        y_label=_("% without a serious finding"),
    )


def _does_it_pay(compared: Sequence[Mapping[str, Any]], prefs: Preferences) -> str:
    """Say in a sentence what the comparison says, by the fair line where there is one."""
    fair = next((row for row in compared if row["row"] == "within"), None)
    if fair is None:
        return _(
            "No design and yearly distance has units both with and without a filter: the raw "
            "comparison alone can't tell the filter from the rest."
        )
    ratio = fair["ratio"]
    context = {
        "ratio": in_words(ratio, "ratio", prefs),
        "p": in_words(fair["p_value"], "p", prefs),
    }
    if ratio["upper"] is not None and ratio["upper"] < 1.0:
        return (
            _(
                "Like against like, serious findings come at %(ratio)s times the rate with a "
                "filter (p %(p)s): fewer with one."
            )
            % context
        )
    if ratio["lower"] is not None and ratio["lower"] > 1.0:
        return (
            _(
                "Like against like, serious findings come at %(ratio)s times the rate with a "
                "filter (p %(p)s): more with one. Ask why before anybody takes one off."
            )
            % context
        )
    return (
        _(
            "Like against like, no difference is shown: the rate with a filter is %(ratio)s "
            "times that without (p %(p)s). That is not proof that there is none."
        )
        % context
    )


def _law_words(row: Mapping[str, Any]) -> str:
    group = words.group_words(row["row"])
    if row["fits"] == "none":
        return _("%(group)s: no Weibull law can be fitted.") % {"group": group}
    if row["fits"] == "no":
        return _(
            "%(group)s: Weibull's law does not fit; it leaves the curve's own band. Read the curve."
        ) % {"group": group}
    shape = row["shape"]
    if shape["lower"] is not None and shape["lower"] > 1.0:
        return _("%(group)s: serious findings grow more frequent with distance: they wear out.") % {
            "group": group
        }
    if shape["upper"] is not None and shape["upper"] < 1.0:
        return _("%(group)s: they come early, then grow rarer: look at the rebuild.") % {
            "group": group
        }
    return _("%(group)s: they come at about the same rate, however far it has run.") % {
        "group": group
    }
