"""The fleet, what was done in time, oil changes."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences
from advisory.reports.shown import words
from advisory.reports.shown.document import Column, Section
from advisory.reports.shown.sections.common import (
    OWNERS,
    UNITS,
    Tables,
    table_of,
    too_few,
)


def fleet(tables: Tables, about: Mapping[str, Any], prefs: Preferences, *, least: int) -> Section:
    """Tell of units, designs, kinds of oil arrangement, distance a year."""
    found = [
        table_of(
            "fleet",
            _("By the filter fitted now"),
            _("Filter"),
            [OWNERS, UNITS, Column("yearly", gettext_lazy("Distance a year"), "distance")],
            tables["fleet"],
            words.filter_words,
            prefs,
        ),
        table_of(
            "designs",
            _("By design"),
            _("Design"),
            [OWNERS, UNITS],
            tables["designs"],
            lambda key: words.design_words(key, about),
            prefs,
        ),
        table_of(
            "feeds",
            _("By the way the oil comes"),
            _("Oil comes"),
            [OWNERS, UNITS],
            tables["feeds"],
            words.feed_words,
            prefs,
        ),
    ]
    return Section(
        "fleet",
        _("The fleet"),
        _("Which units there are, how they are oiled, and how far they are driven a year."),
        _("It says nothing of members who don't let themselves be counted.")
        if least > 1
        else _("It says nothing of units whose owners don't let the workshop see how they run."),
        [each for each in found if each.rows],
    )


def in_time(tables: Tables, prefs: Preferences) -> Section:
    """Tell what was done in time, and what is overdue now."""
    table = table_of(
        "in_time",
        _(
            "Work done before it was overdue, by the filter fitted then; overdue now, by that of "
            "today"
        ),
        _("Filter"),
        [
            Column("done", gettext_lazy("Pieces of work"), "count"),
            Column("in_time", gettext_lazy("Done in time"), "share"),
            Column("overdue", gettext_lazy("Units with something overdue now"), "share"),
        ],
        tables["in_time"],
        words.filter_words,
        prefs,
    )
    return Section(
        "in-time",
        _("Looked after in time"),
        _("The share of the work that was done before the plan called it overdue."),
        _(
            "Work for which no plan stood is not counted. Who fits a filter may look after "
            "everything better: that a kind stands higher does not say that the filter did it."
        ),
        [table] if table.rows else [],
        notes=[] if table.rows else [too_few(_("done in time"))],
    )


def oil(tables: Tables, prefs: Preferences) -> Section:
    """Tell when oil is truly changed against when it was due."""
    table = table_of(
        "oil",
        _("Oil changes against when they were due: below nought is before"),
        _("Filter"),
        [
            Column("changes", gettext_lazy("Oil changes"), "count"),
            Column("in_time", gettext_lazy("In time"), "share"),
            Column("distance", gettext_lazy("Distance from due"), "distance"),
            Column("days", gettext_lazy("Days from due"), "days"),
        ],
        tables["oil"],
        words.filter_words,
        prefs,
    )
    return Section(
        "oil",
        _("Oil changes"),
        _(
            "When the oil was truly changed: how far, and how many days, from where the plan had "
            "it. Whichever came first was due; so both may lie well before."
        ),
        _("It says nothing of what the oil looked like when it came out."),
        [table] if table.rows else [],
        notes=[] if table.rows else [too_few(_("oil changes"))],
    )
