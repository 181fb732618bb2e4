"""Reports of the same content are taken over; large ones are prepared in the night."""

from datetime import UTC, date, datetime, timedelta
from unittest.mock import patch

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from advisory.lubrication.enums import Filtration
from advisory.lubrication.models import OilArrangement
from advisory.people.actions import withdraw_consent
from advisory.people.models import Consent, Organisation, Person
from advisory.plans.models import PlanItem
from advisory.register.models import Design
from advisory.reports import content
from advisory.reports.actions import finish_report, make_report, preparing
from advisory.reports.models import FleetReport, PreparedReport
from advisory.reports.tasks import reports_at_night
from tests.cast import make_design
from tests.reports.test_fleet import TODAY, Fleet

NIGHT = datetime(2025, 6, 10, 3, 40, tzinfo=UTC)
MORNING = datetime(2025, 6, 10, 9, tzinfo=UTC)


@pytest.fixture
def fleet(club: Organisation, design: Design) -> Fleet:
    made = Fleet(club, design)
    for _each in range(11):
        made.unit(made.owner())
    return made


def units_told(report: FleetReport) -> int | None:
    part = report.parts.filter(choice="all.all").first()
    units: int | None = part.tables["fleet"][0]["units"] if part else None
    return units


def withdraw(club: Organisation, number: int) -> list[Person]:
    gone = list(Consent.objects.filter(organisation=club, withdrawn_at=None)[:number])
    for each in gone:
        withdraw_consent(consent=each, by=each.person)
    return [each.person for each in gone]


# Of the same content ------------------------------------------------------------------------------


def test_report_on_the_same_is_taken_over_and_says_so(
    fleet: Fleet, client: Client, officer: Person
) -> None:
    first = fleet.kept()
    with patch.object(content, "of_club", side_effect=AssertionError("it was reckoned anew")):
        second = fleet.kept(TODAY + timedelta(days=8))
    assert (second.digest, second.figures_on) == (first.digest, first.on)
    assert list(second.parts.values_list("choice", "tables")) == list(
        first.parts.values_list("choice", "tables")
    )
    client.force_login(officer)
    said = "Nothing that it rests on has changed since 1 June 2025"
    assert said in client.get(reverse("reports:fleet", args=[fleet.club.pk])).text
    address = reverse("reports:differs", args=[fleet.club.pk, second.pk, first.pk])
    assert "both tell the same" in client.get(address).text


def test_figures_keep_their_day_through_several_reports(fleet: Fleet) -> None:
    fleet.kept()
    fleet.kept(TODAY + timedelta(days=8))
    assert fleet.kept(TODAY + timedelta(days=16)).figures_on == TODAY
    # a month without an entry is itself something to tell
    assert fleet.kept(TODAY + timedelta(days=40)).figures_on is None


@pytest.mark.parametrize("what", ["unit", "plan", "arrangement", "consent", "named"])
def test_report_on_anything_else_is_reckoned(fleet: Fleet, what: str) -> None:
    fleet.kept()
    if what == "unit":
        fleet.unit(fleet.owner())
    elif what == "plan":  # in bulk, without any row saying when
        PlanItem.objects.update(state="late")
    elif what == "arrangement":
        OilArrangement.objects.update(filtration=Filtration.BYPASS)
    elif what == "consent":
        withdraw(fleet.club, 1)
    else:
        Consent.objects.filter(organisation=fleet.club).update(scope="named")
    assert fleet.kept(TODAY + timedelta(days=8)).figures_on is None


def test_design_of_somebody_else_changes_nothing(fleet: Fleet, workshop: Organisation) -> None:
    fleet.kept()
    make_design(workshop, "Pattern 9 blower")
    assert fleet.kept(TODAY + timedelta(days=8)).figures_on == TODAY


def test_members_who_withdraw_are_out_of_the_next_report(fleet: Fleet) -> None:
    assert units_told(fleet.kept()) == 11
    gone = withdraw(fleet.club, 5)
    second = fleet.kept(TODAY + timedelta(days=1))
    assert units_told(second) == 6
    counted = set(content.owners_of(bytes(second.behind)).tolist())
    assert not counted & {person.pk for person in gone}


# Prepared -----------------------------------------------------------------------------------------


@pytest.fixture
def large(fleet: Fleet, monkeypatch: pytest.MonkeyPatch) -> Fleet:
    """Let a club be large from ten units on, and prepare its report in the night."""
    monkeypatch.setattr(preparing, "UNITS_A_PAGE_WAITS_FOR", 10)
    monkeypatch.setattr("advisory.reports.actions.fleet.UNITS_A_PAGE_WAITS_FOR", 10)
    FleetReport.objects.create(
        organisation=fleet.club, on=date(2025, 1, 3), half_year="2025-1", finished_at=NIGHT
    )
    with time_machine.travel(NIGHT, tick=False):
        reports_at_night()
    return fleet


@time_machine.travel(MORNING, tick=False)
def test_prepared_report_is_there_at_once(large: Fleet, officer: Person, client: Client) -> None:
    assert FleetReport.objects.filter(on=date(2025, 6, 10)).count() == 0
    with patch("advisory.reports.actions.fleet.content_of", side_effect=AssertionError):
        report = make_report(club=large.club, by=officer)
    assert (units_told(report), report.stood_at) == (11, NIGHT)
    client.force_login(officer)
    page = client.get(reverse("reports:fleet", args=[large.club.pk])).text
    assert "prepared in the night, at 03:40 UTC" in page


@time_machine.travel(MORNING, tick=False)
def test_prepared_report_is_not_given_after_a_withdrawal(large: Fleet, officer: Person) -> None:
    withdraw(large.club, 1)
    report = make_report(club=large.club, by=officer)
    finish_report(report=report)
    report.refresh_from_db()
    assert (units_told(report), report.stood_at) == (10, None)


@time_machine.travel(MORNING, tick=False)
def test_prepared_report_is_not_given_after_another_was(large: Fleet, officer: Person) -> None:
    large.kept(date(2025, 6, 9))
    assert (
        preparing.prepared_for(FleetReport(organisation=large.club, on=date(2025, 6, 10))) is None
    )


def test_who_joined_after_the_night_waits_for_the_next(large: Fleet, officer: Person) -> None:
    large.unit(large.owner())
    with time_machine.travel(MORNING, tick=False):
        assert units_told(make_report(club=large.club, by=officer)) == 11


def test_nothing_is_told_by_preparing(large: Fleet) -> None:
    """Each night's stands for the one before, and no report is made of it by itself."""
    with time_machine.travel(NIGHT + timedelta(days=1), tick=False):
        reports_at_night()
    ready = PreparedReport.objects.get()
    assert (ready.on, ready.figures_on) == (date(2025, 6, 11), date(2025, 6, 10))
    assert FleetReport.objects.count() == 1


def test_small_clubs_are_not_prepared(fleet: Fleet) -> None:
    preparing.prepare_reports()
    assert not PreparedReport.objects.exists()
