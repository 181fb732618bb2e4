"""Reports that are kept: made once, given out as page, PDF, CSV and API, sent twice a year."""

import csv
import io
import zipfile
from collections.abc import Callable
from datetime import UTC, date, datetime

import numpy as np
import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from rest_framework.test import APIClient

from advisory.common.quantities import Preferences
from advisory.findings.enums import FindingState, Judgement
from advisory.findings.marks import DamageMark
from advisory.findings.models import Finding
from advisory.lubrication.enums import Filtration
from advisory.lubrication.models import OilArrangement
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.enums import MailState
from advisory.notices.models import Mail
from advisory.people.clock import today_of
from advisory.people.models import Membership, Organisation, Person
from advisory.plans.enums import DueState
from advisory.register.enums import PositionKind
from advisory.register.models import Design, Unit
from advisory.reports.actions import finish_report, make_half_yearly, make_report
from advisory.reports.columns import PlaceOf, Reader
from advisory.reports.enums import Period
from advisory.reports.gathering.stays import read_stays, stays_of, sums_of
from advisory.reports.models import FleetReport
from advisory.reports.reckoning import of_club, of_workshop
from advisory.reports.shown import document_of
from advisory.reports.tasks import reports_at_night
from advisory.usage.models import Reading
from advisory.usage.queries import unit_uses_of
from tests.cast import FITTED_ON, make_build, make_car, make_design
from tests.reports.test_fleet import NAMES, TODAY, Fleet


@pytest.fixture
def fleet(club: Organisation, design: Design) -> Fleet:
    return Fleet(club, design)


def driven(fleet: Fleet, fitter: Person, number: int, found: Callable[[int], bool]) -> list[Unit]:
    """Make units of as many owners, each driven 8 000 miles; some with a serious finding."""
    units = []
    for i in range(number):
        owner = fleet.owner()
        unit = fleet.unit(owner, Filtration.BYPASS if i % 2 else Filtration.NONE)
        make_build(unit, fitter)
        car = make_car(owner)
        unit.fittings.create(car=car, from_date=FITTED_ON, from_reading=41_200)
        for day, shown in ((date(2024, 4, 1), 45_200), (date(2025, 5, 1), 49_200)):
            Reading.objects.create(odometer=car.odometers.get(), date=day, shown=shown)
        if found(i):
            Finding.objects.create(
                unit=unit,
                position=unit.design.positions.filter(kind=PositionKind.JOURNAL_BEARING).first(),
                seen_on=date(2024, 6 + i % 6, 3),
                text="It knocks",
                judgement=Judgement.STOP,
                state=FindingState.SENT,
                sent_at=datetime(2024, 12, 1, tzinfo=UTC),
            )
        units.append(unit)
    return units


def test_curve_begins_with_ten_owners_and_five_findings(fleet: Fleet, fitter: Person) -> None:
    driven(fleet, fitter, 12, lambda i: i < 6)
    assert fleet.row("lives")["points"]
    found = fleet.row("found", PositionKind.JOURNAL_BEARING.value)
    assert found["findings"] == 6
    assert found["points"][-1]["value"] == pytest.approx(0.5)
    Finding.objects.order_by("pk").first().delete()
    Finding.objects.order_by("pk").first().delete()
    assert fleet.row("lives")["points"] == []


def test_marks_are_told_from_five_owners_who_have_them(fleet: Fleet, fitter: Person) -> None:
    """Six of twelve units have scoring: half a finding a unit; four have a groove."""
    driven(fleet, fitter, 12, lambda i: i < 10)
    findings = list(Finding.objects.order_by("unit"))
    for found in findings:
        found.mark = DamageMark.THRUST_GROOVE if found in findings[:4] else DamageMark.DRY_SCORING
    Finding.objects.bulk_update(findings, ["mark"])
    tables = fleet.tables()
    assert [(row["row"], row["findings"], row["units"]) for row in tables["marks"]] == [
        (DamageMark.DRY_SCORING.value, 6, 12)
    ]
    assert tables["marks"][0]["count"]["value"] == pytest.approx(0.5)
    about = {"designs": {}}
    read = document_of(
        fleet.club, TODAY, Period.ALL, "", tables, about, Preferences(), least=5
    ).tables  # fmt: skip
    assert [r.label for t in read if t.key == "marks" for r in t.in_words] == ["Dry scoring"]


def test_mark_of_one_design_is_not_told_where_the_rest_would_be_few(
    fleet: Fleet, fitter: Person, workshop: Organisation
) -> None:
    """Nine have the mark, six of them with the one design: to tell of it would tell of three."""
    units = driven(fleet, fitter, 12, lambda i: i < 9)
    Finding.objects.update(mark=DamageMark.DRY_SCORING)
    OilArrangement.objects.update(filtration=Filtration.NONE)
    other = make_design(workshop, "Pattern 5 blower")
    Unit.objects.filter(pk__in=[unit.pk for unit in units[6:]]).update(design=other)
    told = {
        choice.key: [row["findings"] for row in tables["marks"]]
        for choice, tables in of_club(fleet.club, TODAY, []).all_tables()
        if choice.period == Period.ALL
    }
    assert told == {"all": [9], f"design-{fleet.design.pk}": [], f"design-{other.pk}": []}


def test_all_whole_and_all_failed_at_once_are_said_plainly(
    fleet: Fleet, fitter: Person, client: Client, officer: Person
) -> None:
    driven(fleet, fitter, 11, lambda _i: False)
    assert fleet.row("lives")["points"] == []
    for unit in Unit.objects.all():
        Finding.objects.create(
            unit=unit, seen_on=date(2024, 6, 3), text="x", judgement=Judgement.STOP
        )
    tables = fleet.tables()
    assert {row["fits"] for row in tables["weibull"]} <= {"none", "no"}
    client.force_login(officer)
    page = client.get(reverse("reports:fleet", args=[fleet.club.pk]))
    assert page.status_code == 200
    assert "No Weibull" in page.text or "no Weibull law" in page.text


def test_one_unit_and_no_consent_make_no_error(fleet: Fleet) -> None:
    assert fleet.tables() == {}
    fleet.unit(fleet.owner())
    fleet.unit(fleet.owner(None))
    assert fleet.tables() == {}
    assert fleet.kept().about["choices"] == []


def test_distances_are_those_of_the_logbook(fleet: Fleet, fitter: Person) -> None:
    """Rollover, a number nobody believes, a number told twice on a day: as `usage` reckons."""
    units = driven(fleet, fitter, 4, lambda _i: False)
    meters = [unit.fittings.get().car.odometers.get() for unit in units]
    Reading.objects.create(odometer=meters[0], date=date(2025, 5, 20), shown=120)
    Reading.objects.create(odometer=meters[1], date=date(2025, 5, 20), shown=94_000)
    Reading.objects.create(odometer=meters[1], date=date(2025, 5, 21), shown=49_400)
    Reading.objects.create(odometer=meters[2], date=date(2025, 5, 1), shown=49_260)
    meters[3].car.odometers.create(unit="mile", digits=5, fitted_on=date(2025, 5, 25))
    keys = np.array([float(unit.pk) for unit in units])
    uses = unit_uses_of(units)
    told = read_stays(PlaceOf(keys), Reader(most=False))
    stays = stays_of(told, sums_of(told))
    for day in (FITTED_ON, date(2024, 1, 1), date(2025, 5, 1), date(2025, 5, 20), TODAY):
        got = stays.distance(np.arange(4), np.full(4, float(day.toordinal())))
        assert got == pytest.approx([uses[unit.pk].distance(day) for unit in units])


def test_report_once_issued_does_not_change(fleet: Fleet, officer: Person) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner())
    report = make_report(club=fleet.club, by=officer)
    before = report.parts.get(choice="all.all").tables
    for _each in range(6):
        fleet.unit(fleet.owner())
    again = make_report(club=fleet.club, by=officer)
    assert (again.pk, finish_report(report=again).digest) == (report.pk, report.digest)
    assert report.parts.get(choice="all.all").tables == before


def test_given_as_pdf_and_as_files(fleet: Fleet, client: Client, officer: Person) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner())
    report = make_report(club=fleet.club, by=officer)
    client.force_login(officer)
    pdf = client.get(reverse("reports:pdf", args=[fleet.club.pk, report.pk])).content
    assert pdf.startswith(b"%PDF")
    assert b"/StructTreeRoot" in pdf
    held = client.get(reverse("reports:tables", args=[fleet.club.pk, report.pk])).content
    with zipfile.ZipFile(io.BytesIO(held)) as archive:
        assert archive.namelist()[:2] == ["00-about.csv", "01-fleet.csv"]
        about = dict(csv.reader(io.StringIO(archive.read("00-about.csv").decode("utf-8-sig"))))
        rows = list(csv.reader(io.StringIO(archive.read("01-fleet.csv").decode("utf-8-sig"))))
    assert (about["Day"], about["Designs"]) == (report.on.isoformat(), "All designs")
    assert rows[0][:3] == ["Filter", "Owners", "Units"]
    assert rows[1][:3] == ["All", "6", "6"]
    for text in (pdf.decode("latin-1"), held.decode("latin-1")):
        assert not any(name in text for name in NAMES)


def test_kept_report_is_read_while_the_next_is_made(
    fleet: Fleet, client: Client, officer: Person
) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner())
    fleet.kept()
    FleetReport.objects.create(
        organisation=fleet.club, on=date(2025, 6, 9), parts_done=2, parts_wanted=9
    )
    client.force_login(officer)
    page = client.get(reverse("reports:fleet", args=[fleet.club.pk]))
    assert "This is the report of 1 June 2025" in page.text
    assert "2 of 9 parts" in page.text


def test_two_choices_stand_side_by_side(fleet: Fleet, client: Client, officer: Person) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner())
    report = fleet.kept()
    client.force_login(officer)
    address = reverse("reports:beside", args=[fleet.club.pk, report.pk])
    page = client.get(f"{address}?other_designs=design-{fleet.design.pk}").text
    assert f"All designs beside {fleet.design.name}" in page
    assert page.count("<td data-label=") > 4
    assert client.get(f"{address}?designs=%00&other_designs=x").status_code == 200


def test_what_differs_stands_side_by_side(fleet: Fleet, client: Client, officer: Person) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner())
    older = fleet.kept()
    for _each in range(5):
        fleet.unit(fleet.owner())
    newer = fleet.kept(date(2025, 12, 1))
    client.force_login(officer)
    page = client.get(reverse("reports:differs", args=[fleet.club.pk, newer.pk, older.pk])).text
    assert ">6<" in page
    assert ">11<" in page


@time_machine.travel(datetime(2026, 1, 3, 9, tzinfo=UTC), tick=False)
def test_half_yearly_once_and_to_the_officer_once(
    fleet: Fleet, officer: Person, club_member: Person
) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner())
    reports_at_night()
    reports_at_night()
    report = FleetReport.objects.get()
    assert report.half_year == "2026-1"
    mail = Mail.objects.get()
    assert (mail.person, mail.key) == (officer, f"report:{report.pk}:{officer.pk}")
    assert make_half_yearly() == 0
    deliver_waiting()
    mail.refresh_from_db()
    assert mail.state == MailState.SENT
    assert "6 units of 6 owners" in mail.text
    assert f"?report={report.pk}" in mail.text


@time_machine.travel(datetime(2026, 1, 3, 9, tzinfo=UTC), tick=False)
def test_letter_is_withheld_from_who_is_officer_no_more(fleet: Fleet, officer: Person) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner())
    reports_at_night()
    Membership.objects.filter(person=officer).delete()
    deliver_waiting()
    assert Mail.objects.get().state == MailState.HELD


def test_workshop_reads_its_own_with_names(
    whole_unit: Unit, owner: Person, manager: Person, workshop: Organisation, client: Client
) -> None:
    whole_unit.plan_items.create(
        work="oil_change", anchor_date=date(2025, 1, 1), state=DueState.LATE
    )
    client.force_login(manager)
    address = reverse("reports:workshop", args=[workshop.pk])
    page = client.get(address)
    assert page.status_code == 200
    assert str(owner) in page.text
    # nothing is held back from a workshop, so nothing is said of holding back
    said = client.get(address).content.decode()
    assert "would give another away" not in said
    assert "earlier reports" not in said
    assert "whose owners don" in said
    assert client.get(reverse("reports:workshop_pdf", args=[workshop.pk])).status_code == 200
    owner.consents.all().delete()
    assert str(owner) not in client.get(address).text
    assert of_workshop(workshop, manager, today_of(manager)).facts.units == 0


@pytest.mark.parametrize("who", ["officer", "owner", "other_fitter", "stranger"])
def test_workshop_report_is_the_workshops(
    whole_unit: Unit,
    workshop: Organisation,
    client: Client,
    who: str,
    request: pytest.FixtureRequest,
) -> None:
    client.force_login(request.getfixturevalue(who))
    assert client.get(reverse("reports:workshop", args=[workshop.pk])).status_code == 404


def test_api_gives_the_same_tables(fleet: Fleet, officer: Person, stranger: Person) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner())
    api = APIClient()
    api.force_authenticate(officer)
    address = f"/api/v1/clubs/{fleet.club.pk}/fleet/"
    answer = api.get(address).json()
    tables = {each["table"]: each["rows"] for each in answer["tables"]}
    assert tables["fleet"][0]["row"] == "all"
    assert tables["fleet"][0]["cells"]["units"] == 6
    assert api.post(address).status_code == 201
    kept = api.get(f"{address}reports/").json()
    assert [each["id"] for each in kept["results"]] == [answer["report"]]
    assert api.get(f"{address}reports/{answer['report']}/").json() == answer
    api.force_authenticate(stranger)
    for path in (address, f"{address}reports/", f"{address}reports/{answer['report']}/"):
        assert api.get(path).status_code == 404


def test_api_lists_kept_reports_with_the_same_number_of_queries(
    fleet: Fleet, officer: Person, django_assert_max_num_queries: Callable[..., object]
) -> None:
    api = APIClient()
    api.force_authenticate(officer)
    address = f"/api/v1/clubs/{fleet.club.pk}/fleet/reports/"

    def asked() -> int:
        with django_assert_max_num_queries(8) as queries:  # type: ignore[attr-defined]
            api.get(address)
        return len(queries)

    fleet.kept(date(2025, 1, 1))
    one = asked()
    fleet.kept(date(2025, 2, 1))
    fleet.kept(date(2025, 3, 1))
    assert asked() == one


def test_choice_that_is_not_offered_means_all(
    fleet: Fleet, client: Client, officer: Person
) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner())
    client.force_login(officer)
    address = reverse("reports:fleet", args=[fleet.club.pk])
    for query in ("designs=design-999999", "years=never", "designs=%00&years=%27"):
        assert client.get(f"{address}?{query}").status_code == 200
    assert client.get(f"{address}?report=999999").status_code == 404
    assert client.get(f"{address}?report=x").status_code == 404


def test_years_without_any_units_of_theirs_are_empty_not_wrong(fleet: Fleet) -> None:
    for _each in range(6):
        fleet.unit(fleet.owner(), done=())
    codes = [choice.code for choice, _t in of_club(fleet.club, TODAY, []).all_tables()]
    assert "all.last-year" in codes
    assert fleet.row("in_time", code="all.last-year")["done"] is None
