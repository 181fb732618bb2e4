"""What comes back again: whose findings count, in how much time, against which others, to whom."""

import csv
import io
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from advisory.findings.enums import FindingState, Judgement
from advisory.findings.models import Finding
from advisory.lubrication.enums import Filtration
from advisory.people.actions import withdraw_consent
from advisory.people.enums import ConsentScope
from advisory.people.models import Organisation, Person
from advisory.register.models import Build, Design, Fitting, Unit
from advisory.reports.enums import Cut, Period, Stands
from advisory.reports.recurring import Row, Tables, tables_of, units_behind, watched_by
from tests.cast import (
    make_arrangement,
    make_build,
    make_car,
    make_consent,
    make_design,
    make_person,
    make_unit,
)

TODAY = date(2026, 6, 1)
YEAR = 365.25


class Shop:
    """Puts units of consenting owners, and what was found on them, on a workshop's books."""

    def __init__(self, workshop: Organisation, fitter: Person, owner: Person) -> None:
        self.workshop, self.fitter, self.owner = workshop, fitter, owner
        self.consent = make_consent(owner, workshop, ConsentScope.RECORDS)

    def unit(self, design: Design, years: float = 2.0, owner: Person | None = None) -> Unit:
        """Add a unit that has been in a car for so many years, today included."""
        whose = owner or self.owner
        unit = make_unit(whose, design, serial=f"S{Unit.objects.count()}")
        begun = TODAY - timedelta(days=round(years * YEAR) - 1)
        Fitting.objects.create(unit=unit, car=make_car(whose), from_date=begun)
        return unit

    def found(self, unit: Unit, place: str = "", days_ago: int = 30, **fields: Any) -> Finding:
        """Add a finding that was sent."""
        position = unit.design.positions.get(name=place) if place else None
        sent = {"state": FindingState.SENT, "sent_at": datetime(2026, 5, 2, tzinfo=UTC)}
        return Finding.objects.create(
            unit=unit,
            position=position,
            seen_on=TODAY - timedelta(days=days_ago),
            text="It weeps",
            **(sent | fields),
        )  # fmt: skip

    def sheet(self, unit: Unit, place: str, on: date, **said: str) -> Build:
        """Sign a sheet that says something of the part at a place."""
        build = Build.objects.create(unit=unit, workshop=self.workshop, built_on=on)
        position = unit.design.positions.get(name=place)
        for name, text in said.items():
            build.entries.create(position=position, name=name, text=text, by=self.fitter)
        Build.objects.filter(pk=build.pk).update(
            state="signed", signed_by=self.fitter, signed_at=datetime(2026, 1, 1, tzinfo=UTC)
        )
        return build

    def tables(self, by: Person | None = None, period: Period = Period.ALL) -> Tables:
        """Count as a fitter sees it."""
        return tables_of(watched_by(self.workshop, by or self.fitter, TODAY, period))

    def row(self, cut: Cut, name: str, of: str = "", **asked: Any) -> Row:
        """Return the row of a cell."""
        (table,) = [each for each in self.tables(**asked).tables if each.cut == cut]
        (row,) = [r for r in table.rows if r.cell.name == name and (not of or r.cell.of == of)]
        return row


@pytest.fixture
def shop(workshop: Organisation, fitter: Person, owner: Person) -> Shop:
    return Shop(workshop, fitter, owner)


def test_rate_is_findings_by_the_years_watched_with_its_exact_interval(
    shop: Shop, design: Design
) -> None:
    other = make_design(design.workshop, "Pattern 5 blower")
    for unit in (shop.unit(design, 2.0), shop.unit(design, 3.0)):
        shop.found(unit)
    shop.unit(other, 4.0)
    row = shop.row(Cut.DESIGN, design.name)

    assert (row.own.findings, row.own.units_with, row.own.units) == (2, 2, 2)
    assert row.own.years == pytest.approx(5.0, abs=0.01)
    assert row.own.rate is not None
    assert row.own.rate.value == pytest.approx(0.4, abs=0.001)
    # 0.242 and 7.225: Poisson limits of 2 at 95 % (see tests/engineering/test_event_rates.py)
    assert row.own.rate.lower == pytest.approx(0.242 / 5, abs=0.001)
    assert row.own.rate.upper == pytest.approx(7.225 / 5, abs=0.003)
    assert (row.others.findings, row.others.units, row.stands) == (0, 1, Stands.NOT)
    assert row.others.years == pytest.approx(4.0, abs=0.01)


def test_only_what_consent_shows_counts_and_withdrawal_takes_it_away_at_once(
    shop: Shop, design: Design, other_fitter: Person, officer: Person, stranger: Person
) -> None:
    shop.found(shop.unit(design))
    silent = shop.unit(design, owner=make_person("Nan Quiet"))
    shop.found(silent)
    shop.found(shop.unit(design), state=FindingState.KEPT, sent_at=None)
    shop.found(shop.unit(design), judgement=Judgement.GOOD)

    assert (shop.tables().units, shop.tables().findings) == (3, 1)
    for nobody in (other_fitter, officer, stranger):
        seen = shop.tables(by=nobody)
        assert (seen.units, seen.findings) == (0, 0)
    withdraw_consent(consent=shop.consent, by=shop.owner)
    assert (shop.tables().units, shop.tables().findings) == (0, 0)


def test_time_ends_where_the_unit_left_its_last_car(shop: Shop, design: Design) -> None:
    unit = shop.unit(design, 3.0)
    shop.found(unit, days_ago=800)
    left = TODAY - timedelta(days=700)
    Fitting.objects.filter(unit=unit).update(until_date=left)

    years = shop.row(Cut.DESIGN, design.name).own.years
    assert years == pytest.approx(3.0 - 700 / YEAR, abs=0.01)
    last_year = shop.tables(period=Period.LAST_YEAR)
    assert (last_year.units, last_year.findings) == (0, 0)


def test_filter_counts_as_it_was_at_the_time(shop: Shop, design: Design) -> None:
    unit = shop.unit(design, 3.0)
    make_arrangement(unit, Filtration.NONE, TODAY - timedelta(days=730))
    make_arrangement(unit, Filtration.FULL_FLOW, TODAY - timedelta(days=365))
    for days_ago in (1000, 500, 400, 30):
        shop.found(unit, days_ago=days_ago)
    rows = {
        kind: shop.row(Cut.FILTER, kind.value).own
        for kind in (Filtration.UNKNOWN, Filtration.NONE, Filtration.FULL_FLOW)
    }

    assert [row.findings for row in rows.values()] == [1, 2, 1]
    assert [round(row.years, 2) for row in rows.values()] == [1.0, 1.0, 1.0]


def test_part_stays_until_a_later_sheet_says_other_and_counts_at_its_place_alone(
    shop: Shop, design: Design
) -> None:
    unit = shop.unit(design, 4.0)
    first, second = TODAY - timedelta(days=1500), TODAY - timedelta(days=365)
    shop.sheet(unit, "Front bearing", first, batch="WM 12", origin="remade")
    wrong = shop.sheet(unit, "Front bearing", first, batch="WM 13")
    right = shop.sheet(unit, "Front bearing", first, batch="wm  12")
    make_corrected(wrong, right)
    shop.sheet(unit, "Rear bearing", second, batch="WM 40")
    shop.sheet(unit, "Front bearing", second, batch="WM 40")
    shop.found(unit, "Front bearing", days_ago=400)
    shop.found(unit, "Front bearing", days_ago=10)
    shop.found(unit, "Floating thrust washer", days_ago=400)
    shop.found(unit)

    old, new = shop.row(Cut.BATCH, "WM 12").own, shop.row(Cut.BATCH, "WM 40").own
    assert (old.findings, old.units) == (1, 1)
    assert old.years == pytest.approx(3.0, abs=0.01)
    assert (new.findings, new.units) == (1, 1)
    assert new.years == pytest.approx(2.0, abs=0.01)
    remade = shop.row(Cut.ORIGIN, "remade")
    assert (remade.own.findings, remade.own.years) == (2, pytest.approx(4.0, abs=0.01))
    assert remade.others.years == pytest.approx(4.0, abs=0.01)  # the rear bearing
    washer = shop.row(Cut.POSITION, "Floating thrust washer")
    assert (washer.own.findings, washer.others.units) == (1, 0)


def test_mark_is_compared_with_the_same_on_other_designs(shop: Shop, design: Design) -> None:
    other = make_design(design.workshop, "Pattern 5 blower")
    unit = shop.unit(design, 2.0)
    shop.found(unit, mark="dry_scoring")
    shop.found(unit, mark="frost_crack")
    shop.found(unit, cause="frost", state=FindingState.CLOSED)
    shop.found(shop.unit(other, 3.0), mark="dry_scoring")
    shop.found(unit)
    row = shop.row(Cut.MARK, "dry_scoring", design.name)

    assert (row.own.findings, row.own.units, row.others.findings) == (1, 1, 1)
    assert row.own.years == pytest.approx(2.0, abs=0.01)
    assert row.others.years == pytest.approx(3.0, abs=0.01)
    assert shop.row(Cut.CAUSE, "frost", design.name).own.findings == 1
    assert shop.row(Cut.MARK, "frost_crack", other.name).own.findings == 0
    _cell, behind = units_behind(
        watched_by(shop.workshop, shop.fitter, TODAY, Period.ALL), Cut.MARK, row.cell.key
    ) or (None, [])
    assert [(each.unit, len(each.findings)) for each in behind] == [(unit.pk, 1)]


def make_corrected(wrong: Build, right: Build) -> None:
    """Let a signed sheet be the newer revision of another."""
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE register_build SET corrects_id = %s WHERE id = %s", [wrong.pk, right.pk]
        )


@pytest.fixture
def bad_batch(shop: Shop, design: Design) -> list[Unit]:
    """Forty units, eight of them with bearings of a bad batch, and one other with all the rest."""
    units = [shop.unit(design, 2.0) for _ in range(40)]
    for unit in units[:8]:
        shop.sheet(unit, "Front bearing", date(2023, 1, 1), batch="WM 7")
        shop.found(unit, "Front bearing")
    for unit in units[8:16]:
        shop.sheet(unit, "Front bearing", date(2023, 1, 1), batch="WM 8")
    for _ in range(9):
        shop.found(units[20], "Rear bearing")
    return units


def test_bad_batch_stands_out_and_one_troubled_unit_does_not(
    shop: Shop, bad_batch: list[Unit]
) -> None:
    named = [(cut, row.cell.name) for cut, row in shop.tables().standing_out]

    assert named == [(Cut.BATCH, "WM 7")]
    row = shop.row(Cut.BATCH, "WM 7")
    assert row.stands == Stands.MORE
    assert row.adjusted < 0.01


def test_cell_leads_to_its_units(shop: Shop, bad_batch: list[Unit]) -> None:
    seen = watched_by(shop.workshop, shop.fitter, TODAY, Period.ALL)
    key = shop.row(Cut.BATCH, "WM 7").cell.key
    behind = units_behind(seen, Cut.BATCH, key)

    assert behind is not None
    assert {each.unit for each in behind[1]} == {unit.pk for unit in bad_batch[:8]}
    assert all(len(each.findings) == 1 for each in behind[1])
    assert units_behind(seen, Cut.BATCH, "batch-journal_bearing-none such") is None


@pytest.fixture
def todays(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in ("advisory.reports.views.recurring", "api.v1.recurring"):
        monkeypatch.setattr(f"{module}.today_of", lambda _person: TODAY)


def test_pages_tell_what_stands_out_and_a_file_all_of_it(
    shop: Shop, bad_batch: list[Unit], client: Client, todays: None
) -> None:
    client.force_login(shop.fitter)
    said = client.get(reverse("reports:recurring", args=[shop.workshop.pk])).content.decode()
    assert "1 thing stands out" in said
    assert "8 findings on 8 of 8 units" in said
    asked = {"by": "batch", "cell": "batch-journal_bearing-wm 7"}
    units = reverse("reports:recurring_units", args=[shop.workshop.pk])
    said = client.get(units, asked).content.decode()
    assert str(bad_batch[0]) in said
    assert client.get(units, asked | {"cell": "batch-none"}).status_code == 404
    assert client.get(units, asked | {"by": "colour"}).status_code == 404
    answer = client.get(reverse("reports:recurring_csv", args=[shop.workshop.pk]))
    lines = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert len({len(line) for line in lines}) == 1
    assert any(line[-1] == "More often than the others" for line in lines)


def test_api_gives_the_same(
    shop: Shop, bad_batch: list[Unit], client: Client, todays: None
) -> None:
    client.force_login(shop.fitter)
    found = client.get(f"/api/v1/workshops/{shop.workshop.pk}/recurring/").json()
    (row,) = found["standing_out"]
    assert (row["by"], row["name"], row["stands"]) == ("batch", "WM 7", "more")
    assert row["own"]["findings"] == 8
    address = f"/api/v1/workshops/{shop.workshop.pk}/recurring/units/"
    behind = client.get(address, {"by": row["by"], "cell": row["key"]}).json()
    assert behind["count"] == 8
    assert behind["results"][0]["findings"]
    assert client.get(address, {"by": "batch", "cell": "none"}).status_code == 404


@pytest.mark.parametrize("who", ["owner", "other_fitter", "officer", "stranger"])
def test_nobody_else_finds_the_pages(
    who: str, shop: Shop, client: Client, request: pytest.FixtureRequest
) -> None:
    client.force_login(request.getfixturevalue(who))
    for name in ("recurring", "recurring_units", "recurring_csv"):
        address = reverse(f"reports:{name}", args=[shop.workshop.pk])
        assert client.get(address).status_code == 404
    for part in ("", "units/"):
        address = f"/api/v1/workshops/{shop.workshop.pk}/recurring/{part}"
        assert client.get(address).status_code == 404


def test_page_takes_the_same_number_of_queries(
    shop: Shop, design: Design, client: Client, django_assert_max_num_queries: Callable[..., Any]
) -> None:
    client.force_login(shop.fitter)
    shop.found(shop.unit(design))

    def queries(address: str) -> int:
        with django_assert_max_num_queries(30) as asked:
            assert client.get(address).status_code == 200
        return len(asked)

    pages = [
        reverse("reports:recurring", args=[shop.workshop.pk]),
        reverse("reports:recurring_units", args=[shop.workshop.pk])
        + f"?by=design&cell=design-{design.pk}",
    ]
    before = [queries(page) for page in pages]
    for number in range(3):
        other = make_design(shop.workshop, f"Pattern {number} pump")
        owner = make_person(f"Owner {number}")
        make_consent(owner, shop.workshop, ConsentScope.RECORDS)
        for unit in (shop.unit(other, owner=owner), shop.unit(design, owner=owner)):
            shop.found(unit, "Front bearing")
            make_build(unit, shop.fitter)
    assert [queries(page) for page in pages] == before
