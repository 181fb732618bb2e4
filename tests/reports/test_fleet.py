"""The fleet report: whose units count, what of them is shown, and to whom."""

import math
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from advisory.engineering.survival import Estimate
from advisory.lubrication.enums import Filtration
from advisory.people.actions import withdraw_consent
from advisory.people.enums import ConsentScope, OrganisationKind, Role
from advisory.people.models import Consent, Membership, Organisation, Person
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.register.enums import WorkKind
from advisory.register.models import Design, Unit
from advisory.reports.actions import finish_report
from advisory.reports.figures.cells import interval
from advisory.reports.models import FleetReport
from advisory.reports.queries import NamedOwner, OverdueWork, named_owners
from advisory.reports.reckoning import of_club
from tests.cast import make_arrangement, make_car, make_consent, make_person, make_unit

TODAY = date(2025, 6, 1)
UNNAMED, NAMED = ConsentScope.UNNAMED, ConsentScope.NAMED
NAMES = (
    "Ada Quill", "Bryn Sallow", "Cato Mire", "Dora Fenn", "Elis Marl", "Fay Rudd",
    "Gwen Tarn", "Hal Copse", "Ivo Beck", "Joss Wold", "Kit Strath", "Lea Combe",
)  # fmt: skip
Row = dict[str, Any]


class Fleet:
    """Puts owners with units into a club's fleet."""

    def __init__(self, club: Organisation, design: Design) -> None:
        self.club = club
        self.design = design
        self.made = 0

    def owner(self, scope: ConsentScope | None = UNNAMED) -> Person:
        person = make_person(NAMES[self.made])
        self.made += 1
        if scope is not None:
            make_consent(person, self.club, scope)
        return person

    def unit(
        self,
        owner: Person,
        filtration: Filtration | None = Filtration.NONE,
        *,
        done: tuple[bool | None, ...] = (True,),
        state: DueState = DueState.AHEAD,
    ) -> Unit:
        unit = make_unit(owner, self.design, serial=f"S{Unit.objects.count()}")
        if filtration is not None:
            make_arrangement(unit, filtration)
        for cycle, in_time in enumerate(done):
            WorkDone.objects.create(
                unit=unit,
                work=WorkKind.OIL_CHANGE,
                cycle=cycle,
                date=TODAY - timedelta(days=30 * cycle + 1),
                in_time=in_time,
            )
        PlanItem.objects.create(
            unit=unit,
            work=WorkKind.OIL_CHANGE,
            anchor_date=date(2025, 1, 1),
            due_date=date(2025, 5, 12),
            state=state,
        )
        return unit

    def tables(self, code: str = "all.all") -> dict[str, list[Row]]:
        """Reckon a first report, and return the tables of a choice; none where there is none."""
        return {choice.code: t for choice, t in of_club(self.club, TODAY, []).all_tables()}.get(
            code, {}
        )

    def row(self, table: str, key: str = "all", code: str = "all.all") -> Row:
        """Return one row of a first report."""
        return next((row for row in self.tables(code).get(table, []) if row["row"] == key), {})

    def kept(self, on: date = TODAY) -> FleetReport:
        """Make a report and keep it."""
        report = FleetReport.objects.create(organisation=self.club, on=on)
        return finish_report(report=report)


@pytest.fixture
def fleet(club: Organisation, design: Design) -> Fleet:
    return Fleet(club, design)


ReadPage = Callable[[], str]


def so_many(cell: Any) -> tuple[int, int] | None:
    """Return a share as so many of so many."""
    return None if cell is None else (cell["part"], cell["of"])


# What counts --------------------------------------------------------------------------------------


def test_four_owners_are_too_few_and_five_enough(fleet: Fleet) -> None:
    for _each in range(4):
        fleet.unit(fleet.owner())
    assert fleet.tables() == {}
    fleet.unit(fleet.owner())
    row = fleet.row("fleet")
    assert (row["owners"], row["units"]) == (5, 5)
    work = fleet.row("in_time")
    assert (so_many(work["in_time"]), so_many(work["overdue"])) == ((5, 5), (0, 5))


def test_five_units_of_one_owner_are_one_owner(fleet: Fleet) -> None:
    owner = fleet.owner()
    for _each in range(6):
        fleet.unit(owner)
    assert fleet.tables() == {}


def test_share_in_time_counts_pieces_of_work(fleet: Fleet) -> None:
    """By hand: 2 + 2 + 1 + 0 + 1 = 6 of 3 + 2 + 1 + 1 + 1 = 8; None is not judged."""
    for done in ((True, True, False), (True, True, None), (True,), (False,), (True,)):
        fleet.unit(fleet.owner(), done=done)
    share = fleet.row("in_time")["in_time"]
    assert so_many(share) == (6, 8)
    assert share["value"] == 0.75
    assert share["lower"] < 0.5 < 0.9 < share["upper"]


def test_overdue_counts_units(fleet: Fleet) -> None:
    for state in (DueState.LATE, DueState.LATE, DueState.DUE, DueState.NEAR, DueState.RESTING):
        unit = fleet.unit(fleet.owner(), state=state)
    PlanItem.objects.create(
        unit=unit, work=WorkKind.PIPE_CHECK, anchor_date=TODAY, state=DueState.LATE
    )
    assert so_many(fleet.row("in_time")["overdue"]) == (3, 5)


def test_work_of_the_last_year_is_that_of_a_year(fleet: Fleet) -> None:
    units = [fleet.unit(fleet.owner()) for _each in range(5)]
    for unit in units:
        for day, in_time in (
            (date(2024, 6, 1), False),
            (date(2024, 6, 2), True),
            (TODAY, True),
            (TODAY + timedelta(days=1), False),
        ):
            WorkDone.objects.create(
                unit=unit, work=WorkKind.SEAL_WEEP, cycle=day.toordinal(), date=day, in_time=in_time
            )
    assert so_many(fleet.row("in_time", code="all.last-year")["in_time"]) == (15, 15)
    assert so_many(fleet.row("in_time")["in_time"]) == (15, 20)


def test_share_in_time_needs_five_who_did_something(fleet: Fleet) -> None:
    for number in range(6):
        fleet.unit(fleet.owner(), done=(True,) if number < 4 else ())
    assert fleet.row("fleet")["units"] == 6
    assert fleet.row("in_time")["in_time"] is None


def test_filter_is_that_of_the_arrangement_today_and_of_work_that_of_its_day(fleet: Fleet) -> None:
    for _each in range(5):
        unit = fleet.unit(fleet.owner(), Filtration.NONE)
        make_arrangement(unit, Filtration.BYPASS, from_date=TODAY)
        make_arrangement(unit, Filtration.FULL_FLOW, from_date=TODAY + timedelta(days=1))
    assert fleet.row("fleet", "bypass")["units"] == 5
    assert fleet.row("in_time", "none")["done"] == 5


def test_unit_without_an_arrangement_has_an_unknown_filter(fleet: Fleet) -> None:
    for _each in range(5):
        fleet.unit(fleet.owner(), None)
    assert fleet.row("fleet", "unknown")["units"] == 5


def test_small_kind_hides_the_one_from_which_it_would_follow(fleet: Fleet) -> None:
    for number in range(7):
        fleet.unit(fleet.owner(), Filtration.BYPASS if number < 5 else Filtration.NONE)
    assert fleet.row("fleet")["units"] == 7
    assert fleet.row("fleet", "bypass")["units"] is None
    assert fleet.row("fleet", "none")["units"] is None


def test_two_big_kinds_are_both_shown(fleet: Fleet) -> None:
    for number in range(10):
        fleet.unit(fleet.owner(), Filtration.BYPASS if number < 5 else Filtration.NONE)
    assert (fleet.row("fleet", "bypass")["units"], fleet.row("fleet", "none")["units"]) == (5, 5)


# Whose units count --------------------------------------------------------------------------------


def test_only_those_who_gave_this_club_their_word(
    fleet: Fleet, workshop: Organisation, design: Design
) -> None:
    for _each in range(5):
        fleet.unit(fleet.owner())
    outside = fleet.owner(scope=None)
    other_club = Organisation.objects.create(kind=OrganisationKind.CLUB, name="Rill Club")
    make_consent(outside, other_club, NAMED)
    make_consent(outside, workshop, ConsentScope.RECORDS)
    fleet.unit(outside, state=DueState.LATE)
    make_unit(None, design, serial="unowned")
    closed = fleet.owner()
    fleet.unit(closed)
    closed.is_active = False
    closed.save()
    assert fleet.row("fleet")["owners"] == 5


def test_word_taken_back_is_in_no_report_made_from_then_on(fleet: Fleet) -> None:
    people = [fleet.owner() for _each in range(6)]
    for person in people:
        fleet.unit(person)
    assert fleet.row("fleet")["owners"] == 6
    withdraw_consent(consent=Consent.objects.get(person=people[0]), by=people[0])
    assert fleet.row("fleet")["owners"] == 5
    withdraw_consent(consent=Consent.objects.get(person=people[1]), by=people[1])
    assert fleet.tables() == {}


# Names --------------------------------------------------------------------------------------------


def test_named_are_listed_with_what_is_overdue_and_others_are_not(fleet: Fleet) -> None:
    fleet.unit(fleet.owner(NAMED), state=DueState.LATE)
    fleet.unit(fleet.owner(NAMED), state=DueState.DUE)
    fleet.unit(fleet.owner(UNNAMED), state=DueState.LATE)
    fleet.unit(fleet.owner(None), state=DueState.LATE)
    assert named_owners(fleet.kept(), TODAY) == (
        NamedOwner("Ada Quill", (OverdueWork("Oil change", "Supercharger", date(2025, 5, 12)),)),
    )


def test_name_goes_with_the_word_at_once_and_comes_with_the_next_report(fleet: Fleet) -> None:
    owner = fleet.owner(NAMED)
    fleet.unit(owner, state=DueState.LATE)
    report = fleet.kept()
    withdraw_consent(consent=Consent.objects.get(person=owner), by=owner)
    assert named_owners(report, TODAY) == ()
    make_consent(owner, fleet.club, UNNAMED)
    assert named_owners(report, TODAY) == ()
    later = fleet.owner(NAMED)
    fleet.unit(later, state=DueState.LATE)
    assert named_owners(report, TODAY) == ()
    assert [each.name for each in named_owners(fleet.kept(date(2025, 12, 1)), TODAY)] == [
        later.name
    ]


def test_named_do_not_help_to_work_out_the_others(fleet: Fleet) -> None:
    """Eight owners, five read by name: what is overdue with the three others would follow."""
    for number in range(8):
        fleet.unit(fleet.owner(NAMED if number < 5 else UNNAMED), state=DueState.LATE)
    assert fleet.row("fleet")["units"] == 8
    assert fleet.row("in_time")["overdue"] is None


# The page -----------------------------------------------------------------------------------------


@pytest.fixture
def page_of(client: Client, officer: Person, club: Organisation) -> ReadPage:
    def read() -> str:
        client.force_login(officer)
        answer = client.get(reverse("reports:fleet", args=[club.pk]))
        assert answer.status_code == 200
        assert "no-store" in answer["Cache-Control"]
        return " ".join(answer.text.split())

    return read


def test_page_of_an_empty_fleet_says_what_to_do(page_of: ReadPage) -> None:
    page = page_of()
    assert "Too few owners yet to say anything" in page
    assert "begins once 5 owners" in page
    assert '<svg class="compare-line"' not in page


def test_page_tells_no_more_than_the_report(fleet: Fleet, page_of: ReadPage) -> None:
    now = datetime.now(UTC).date()
    for number in range(6):
        owner = fleet.owner(NAMED if number == 0 else UNNAMED)
        car = make_car(owner, "Harrow Vale")
        unit = fleet.unit(owner, state=DueState.LATE if number == 0 else DueState.AHEAD)
        unit.fittings.create(car=car, from_date=now)
        WorkDone.objects.update(date=now)
    page = page_of()
    assert "Of the work done, 100 % came in time" in page
    assert "Ada Quill" in page
    for private in (*NAMES[1:], "Harrow Vale", "@example.com", ">S0<", "1931"):
        assert private not in page, private


def test_page_escapes_names(fleet: Fleet, page_of: ReadPage) -> None:
    owner = fleet.owner(NAMED)
    Person.objects.filter(pk=owner.pk).update(name="<b>Ada</b>")
    fleet.unit(owner, state=DueState.LATE)
    assert "&lt;b&gt;Ada&lt;/b&gt;" in page_of()


def test_name_that_is_missing_is_not_made_up_of_the_address(
    fleet: Fleet, page_of: ReadPage
) -> None:
    owner = fleet.owner(NAMED)
    Person.objects.filter(pk=owner.pk).update(name="")
    fleet.unit(owner, state=DueState.LATE)
    page = page_of()
    assert "has entered no name" in page
    assert "ada.quill" not in page


@pytest.mark.parametrize(
    "who", ["owner", "manager", "fitter", "other_fitter", "club_member", "stranger"]
)
def test_page_is_the_technical_officers_alone(
    client: Client, club: Organisation, who: str, request: pytest.FixtureRequest
) -> None:
    client.force_login(request.getfixturevalue(who))
    assert client.get(reverse("reports:fleet", args=[club.pk])).status_code == 404
    assert client.get(reverse("reports:own_fleet")).status_code == 404


def test_officer_of_another_club_does_not_see_it(
    client: Client, club: Organisation, stranger: Person
) -> None:
    other = Organisation.objects.create(kind=OrganisationKind.CLUB, name="Rill Club")
    Membership.objects.create(person=stranger, organisation=other, role=Role.TECHNICAL_OFFICER)
    client.force_login(stranger)
    assert client.get(reverse("reports:fleet", args=[club.pk])).status_code == 404


def test_workshop_has_no_fleet_report(
    client: Client, workshop: Organisation, officer: Person, manager: Person
) -> None:
    for person in (officer, manager):
        client.force_login(person)
        assert client.get(reverse("reports:fleet", args=[workshop.pk])).status_code == 404


def test_own_fleet_leads_to_the_one_club_or_asks_which(
    client: Client, club: Organisation, officer: Person
) -> None:
    client.force_login(officer)
    address = reverse("reports:own_fleet")
    assert client.get(address)["Location"] == reverse("reports:fleet", args=[club.pk])
    second = Organisation.objects.create(kind=OrganisationKind.CLUB, name="Rill Club")
    Membership.objects.create(person=officer, organisation=second, role=Role.TECHNICAL_OFFICER)
    page = client.get(address).text
    for one in (club, second):
        assert reverse("reports:fleet", args=[one.pk]) in page


def test_report_takes_the_same_number_of_queries(
    fleet: Fleet, django_assert_max_num_queries: Any
) -> None:
    def reckoned(most: int) -> int:
        with django_assert_max_num_queries(most) as asked:
            list(of_club(fleet.club, TODAY, []).all_tables())
        return len(asked)

    fleet.unit(fleet.owner(NAMED), state=DueState.LATE)
    few = reckoned(30)
    for _each in range(6):
        owner = fleet.owner(NAMED)
        fleet.unit(owner, state=DueState.LATE)
        fleet.unit(owner, Filtration.BYPASS, state=DueState.LATE)
    assert reckoned(30) == few


def test_end_of_an_interval_is_no_less_than_the_figure_can_be() -> None:
    found = Estimate(value=3.0, lower=-4.0, upper=10.0, spread=1.0, n=2)
    assert interval(found, least=0.0) == {"value": 3.0, "lower": 0.0, "upper": 10.0, "spread": 1.0}
    # one owner alone has no interval: nought would be an end
    alone = Estimate(value=3.0, lower=-math.inf, upper=math.inf, spread=math.nan, n=1)
    assert interval(alone, least=0.0) == {"value": 3.0, "lower": None, "upper": None}
    assert interval(found) == {"value": 3.0, "lower": -4.0, "upper": 10.0, "spread": 1.0}
