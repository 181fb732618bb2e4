"""The report on paper: six pages at most, tagged, each chart with its table; and empty ones."""

import io
import re
import zipfile
from collections.abc import Sequence
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from rest_framework.test import APIClient

from advisory.common.quantities import Preferences
from advisory.findings.marks import DamageMark
from advisory.lubrication.enums import Feed, Filtration
from advisory.people.models import Organisation, Person
from advisory.register.enums import PositionKind
from advisory.register.models import Design
from advisory.reports.actions import make_report
from advisory.reports.enums import Filtered, Period
from advisory.reports.figures.grid import POINTS
from advisory.reports.pdf import pdf_of
from advisory.reports.reckoning import MOST_DESIGNS
from advisory.reports.shown import Document, document_of
from tests.reports.test_fleet import Fleet

ON = date(2025, 6, 30)
# As long as a design may be called.
NAME = "Long pattern blower with two rotors, third series, water jacket, drive by gears, number "
MOST_PAGES = 6


def ends(value: float) -> dict[str, Any]:
    return {"value": value, "lower": 0.8 * value, "upper": 1.2 * value}


def share() -> dict[str, Any]:
    return {"value": 0.71, "lower": 0.6512, "upper": 0.8, "part": 71_000, "of": 100_000}


def curve(step: float = -0.07) -> list[dict[str, Any]]:
    return [{"age": 8e6 * i, **ends(0.95 + step * i)} for i in range(1, POINTS + 1)]


def largest() -> tuple[dict[str, list[dict[str, Any]]], dict[str, Any]]:
    """Return the tables of a report that tells all there is, and what it is about."""
    designs = [f"design-{i}" for i in range(MOST_DESIGNS)]
    filters = ["all", *Filtration.values]
    groups = ["all", Filtered.WITH.value, Filtered.WITHOUT.value]
    counts = {"owners": 60_000, "units": 100_000}
    tables: dict[str, list[dict[str, Any]]] = {
        "fleet": [{"row": f, **counts, "yearly": {**ends(3e6), "spread": 1e6}} for f in filters],
        "designs": [{"row": d, **counts} for d in designs],
        "feeds": [{"row": f, **counts} for f in Feed.values],
        "in_time": [
            {"row": f, "done": 200_000, "in_time": share(), "overdue": share()} for f in filters
        ],
        "oil": [
            {
                "row": f, "changes": 200_000, "in_time": share(),
                "distance": {**ends(-8e4), "spread": 3e5}, "days": {**ends(-30.0), "spread": 12.0},
            }
            for f in filters
        ],
        "found": [
            {"row": k, "units": 100_000, "findings": 9_999, "points": curve(0.2)}
            for k in PositionKind.values
        ],
        "marks": [
            {"row": m, "units": 100_000, "findings": 9_999, "age": 8e6, "count": ends(0.1)}
            for m in DamageMark.values
        ],
        "lives": [{"row": g, "units": 100_000, "points": curve()} for g in groups],
        "compared": [
            {
                "row": row, "units": 100_000, "observed": 1234.5, "expected": 2345.6,
                "p_value": 0.0123, "dealt": 0.0124, "ratio": ends(0.5), "age": 8e6,
                "difference": ends(0.2),
            }
            for row in ("raw", "within")
        ],
        "weibull": [
            {"row": g, "units": 100_000, "fits": "yes", "shape": ends(1.8), "scale": ends(2e7),
             "tenth": ends(6e6)}
            for g in groups
        ],
        "wear": [
            {"row": f"{d}:{k}", "units": 100, "rate": {**ends(4e-12), "spread": 1e-12}}
            for d in designs
            for k in PositionKind.values
        ],
        "aged": [{"row": "aged", "units": 90_000}],
    }  # fmt: skip
    names = {d: f"{NAME}{i}"[:120] for i, d in enumerate(designs)}
    return tables, {"designs": names, "members": {"tenths": 4}}


@pytest.fixture
def largest_report(club: Organisation) -> Document:
    tables, about = largest()
    notes = ["Nothing that it rests on has changed since then.", "It was prepared in the night."]
    return document_of(
        club, ON, Period.ALL, "All designs", tables, about, Preferences(), least=5, notes=notes
    )


def pages(pdf: bytes) -> int:
    return len(re.findall(rb"/Type */Page\b", pdf))


def test_largest_report_has_six_pages_and_is_tagged(
    largest_report: Document, club: Organisation
) -> None:
    pdf = pdf_of(largest_report, club, ON)
    assert 3 <= pages(pdf) <= MOST_PAGES
    assert b"/StructTreeRoot" in pdf
    assert len(re.findall(rb"/S */Figure", pdf)) == sum(
        len(s.charts) for s in largest_report.sections
    )


def test_each_chart_has_its_table_and_a_sentence(largest_report: Document) -> None:
    charts = [(s, chart) for s in largest_report.sections for chart in s.charts]
    assert len(charts) == 3
    for section, chart in charts:
        heads = [set(table.head) for table in section.tables]
        drawn = {series.label for series in chart.series if series.dots}
        assert any(drawn <= head for head in heads)
        assert "shows how" in chart.sentence
        assert not chart.empty


def test_each_section_says_what_it_shows_and_what_not(largest_report: Document) -> None:
    assert all(section.shows and section.not_said for section in largest_report.sections)
    lives = next(each for each in largest_report.sections if each.key == "lives")
    assert "no trial" in lives.not_said
    compared = next(table for table in lives.tables if table.key == "compared")
    assert [row.label for row in compared.in_words] == [
        "As they are",
        "Within the same design and yearly distance",
    ]


def test_columns_of_files_have_their_units(largest_report: Document) -> None:
    heads = {table.key: table.in_numbers()[0] for table in largest_report.tables}
    assert "Distance a year [miles]" in heads["fleet"]
    assert {"Done in time [%]", "Done in time, of"} <= set(heads["in_time"])
    assert {"Distance from due, lower [miles]", "Days from due [days]"} <= set(heads["oil"])
    assert "Wear, spread [thou a 1,000 miles]" in heads["wear"]
    assert heads["lives_points"][0] == "Since the rebuild [miles]"


# Nothing to tell ----------------------------------------------------------------------------------


@pytest.mark.parametrize("owners", [0, 1, 4])
def test_empty_report_is_plain_words_everywhere(
    club: Organisation, design: Design, officer: Person, client: Client, owners: int
) -> None:
    fleet = Fleet(club, design)
    for _each in range(owners):
        fleet.unit(fleet.owner())
    fleet.unit(fleet.owner(None))  # who does not consent
    report = make_report(club=club, by=officer)
    client.force_login(officer)
    said = "once 5 owners of units consent"
    page = client.get(reverse("reports:fleet", args=[club.pk]))
    assert said in page.text
    assert '<svg class="chart' not in page.text
    pdf = client.get(reverse("reports:pdf", args=[club.pk, report.pk]))
    assert (pdf.status_code, pages(pdf.content)) == (200, 1)
    assert said in in_about(
        client.get(reverse("reports:tables", args=[club.pk, report.pk])).content
    )
    api = APIClient()
    api.force_authenticate(officer)
    answer = api.get(f"/api/v1/clubs/{club.pk}/fleet/").json()
    assert answer["tables"] == []
    assert said in answer["notes"][0]


def in_about(archive: bytes) -> str:
    with zipfile.ZipFile(io.BytesIO(archive)) as held:
        names: Sequence[str] = held.namelist()
        assert names == ["00-about.csv"]
        return held.read(names[0]).decode("utf-8-sig")


def test_workshop_without_units_reads_plain_words(
    client: Client, workshop: Organisation, manager: Person
) -> None:
    client.force_login(manager)
    for name in ("workshop", "workshop_pdf", "workshop_tables"):
        assert client.get(reverse(f"reports:{name}", args=[workshop.pk])).status_code == 200
