"""What the sections share: how tables and curves are put together, and what is said of too few."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences
from advisory.reports.shown.document import Column, Table
from advisory.reports.shown.figures import MEASURES, in_words

Tables = Mapping[str, Sequence[Mapping[str, Any]]]
Name = Callable[[str], str]
OWNERS = Column("owners", gettext_lazy("Owners"), "count")
UNITS = Column("units", gettext_lazy("Units"), "count")


def table_of(
    key: str,
    title: str,
    kind: str,
    columns: Sequence[Column],
    rows: Sequence[Mapping[str, Any]],
    name: Name,
    prefs: Preferences,
) -> Table:
    """Make a table of the rows of which anything is told; the others are named below it."""
    told = [
        row for row in rows if any(row.get(c.cell) not in (None, []) for c in columns)
    ]  # fmt: skip
    left_out = [name(row["row"]) for row in rows if row not in told]
    return Table(
        key, title, kind, columns, [(name(r["row"]), dict(r)) for r in told], prefs, left_out
    )


def far(metres: float, prefs: Preferences) -> float:
    """Turn a distance into the reader's unit, whole."""
    return round(MEASURES["distance"].convert(metres, prefs))


def table_of_points(
    key: str,
    title: str,
    rows: Sequence[Mapping[str, Any]],
    name: Name,
    kind: str,
    prefs: Preferences,
) -> Table:
    """Turn curves into a table: a row a distance, a column a curve."""
    ages = sorted({point["age"] for row in rows for point in row["points"]})
    by_age = {row["row"]: {p["age"]: p for p in row["points"]} for row in rows}
    return Table(
        key,
        title,
        _("Since the rebuild"),
        [Column(row["row"], name(row["row"]), kind) for row in rows],
        [
            (
                in_words(age, "distance", prefs),
                {row["row"]: by_age[row["row"]].get(age) for row in rows},
            )
            for age in ages
        ],
        prefs,
        ages=ages,
    )


def too_few(what: str) -> str:
    """Say that there is nothing to show, or too few behind it."""
    return _(
        "Nothing can be shown here of %(what)s: there is none, or too few owners are behind it."
    ) % {"what": what}


def too_few_for_curve(least: int) -> str:
    """Say why there is no curve."""
    if least > 1:
        return _(
            "There is no curve: that takes at least ten owners and five findings, with so many "
            "differing from earlier reports."
        )
    return _("There is no curve: that takes at least ten owners and five findings.")
