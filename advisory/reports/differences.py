"""Two documents held against each other: the same figure of both, side by side."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from advisory.common.charts import Chart, Series
from advisory.reports.shown import Document, Table
from advisory.reports.shown.figures import NOT_SHOWN


@dataclass(frozen=True)
class Figure:
    """One figure in both."""

    row: str
    column: str
    one: str
    other: str

    @property
    def differs(self) -> bool:
        """Whether it isn't the same."""
        return self.one != self.other


@dataclass(frozen=True)
class Held:
    """The figures of one table: those that both tell, and which only one of them does."""

    title: str
    figures: list[Figure]
    only_one: list[str]
    only_other: list[str]


def held_against(one: Document, other: Document, *, same_too: bool = True) -> list[Held]:
    """Hold two documents against each other, table by table; without `same_too` what differs."""
    tables = [{table.key: table for table in document.tables} for document in (one, other)]
    found = []
    for key in dict.fromkeys([*tables[1], *tables[0]]):
        pair = [_cells(each.get(key)) for each in tables]
        title = next(each[key].title for each in reversed(tables) if key in each)
        places = list(dict.fromkeys([*pair[1], *pair[0]]))
        both = [place for place in places if all(place in cells for cells in pair)]
        if any(each[key].is_curve for each in tables if key in each):
            # a curve is told by where it ends; its points stand in each report
            both = [place for place in both if place[0] == both[-1][0]]
            places = both
        figures = [Figure(*place, *(cells[place] for cells in pair)) for place in both]
        held = Held(
            title,
            [figure for figure in figures if same_too or figure.differs],
            *(_alone(places, cells, rest) for cells, rest in (pair, pair[::-1])),
        )
        if held.figures or held.only_one or held.only_other:
            found.append(held)
    return found


Place = tuple[str, str]


def _cells(table: Table | None) -> dict[Place, str]:
    """Return what a table shows, by row and column."""
    if table is None:
        return {}
    return {
        (row.label, head): cell
        for row in table.in_words
        for head, cell in zip(table.head, row.cells, strict=True)
        if cell != str(NOT_SHOWN)
    }


def _alone(
    places: Sequence[Place], here: Mapping[Place, str], rest: Mapping[Place, str]
) -> list[str]:
    """Name what only one of two shows: a row, or the column in it."""
    rows: dict[str, list[str]] = {}
    for row, column in places:
        if (row, column) in here and (row, column) not in rest:
            rows.setdefault(row, []).append(column)
    whole = {row for row in rows if not any(place[0] == row for place in rest)}
    return [
        row if row in whole else f"{row} ({', '.join(columns).lower()})"
        for row, columns in rows.items()
    ]


def lives_of_both(one: Document, other: Document) -> Chart | None:
    """Draw how long the units of both lasted in one chart; nothing where one has no curve."""
    drawn = []
    for document in (one, other):
        section = next((each for each in document.sections if each.key == "lives"), None)
        if section is None or not section.charts or section.charts[0].empty:
            return None
        drawn.append(section.charts[0])
    first = drawn[0]
    return Chart(
        title=_("Units without a serious finding"),
        sentence=_(
            "The bands stand in each choice's own report: where they overlap, chance may be all "
            "that differs. It shows how long they went without one; two designs differ in more "
            "than their make."
        ),
        series=[
            Series(
                f"{document.designs}; {document.years}" if same else document.designs,
                chart.series[0].points,
                style=style,
            )
            for same in [one.designs == other.designs]
            for document, chart, style in zip((one, other), drawn, ("solid", "dashed"), strict=True)
        ],
        x_label=first.x_label,
        y_label=first.y_label,
    )
