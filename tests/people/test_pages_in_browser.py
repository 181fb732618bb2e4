"""The pages of people and reports in a browser: nothing for axe to find, nothing too wide."""

from datetime import UTC, datetime

import pytest

from advisory.lubrication.enums import Filtration
from advisory.people.actions import give_consent, invite_member, withdraw_consent
from advisory.people.enums import ConsentScope, Role
from advisory.people.models import Organisation, Person
from advisory.plans.enums import DueState
from advisory.plans.models import WorkDone
from advisory.register.models import Design
from tests.accessibility import assert_page_serves
from tests.browser import DESKTOP, PHONE, OpenPage
from tests.reports.test_fleet import Fleet


@pytest.fixture
def letter(
    transactional_db: None,
    workshop: Organisation,
    club: Organisation,
    design: Design,
    owner: Person,
    manager: Person,
    stranger: Person,
) -> str:
    """Fill the pages: consents that stand and past ones, a letter, a fleet; return its secret."""
    give_consent(organisation=workshop, scope=ConsentScope.RECORDS, by=owner)
    past = give_consent(organisation=club, scope=ConsentScope.NAMED, by=owner)
    withdraw_consent(consent=past, by=owner)
    fleet = Fleet(club, design)
    for number in range(11):
        scope = ConsentScope.NAMED if number < 2 else ConsentScope.UNNAMED
        filtration = Filtration.BYPASS if number < 6 else Filtration.NONE
        state = DueState.LATE if number < 2 else DueState.AHEAD
        fleet.unit(fleet.owner(scope), filtration, done=(True, number > 3), state=state)
    WorkDone.objects.update(date=datetime.now(UTC).date())
    for email in (f"{'long' * 12}@{'and-longer.' * 4}example.com", stranger.email):
        _row, token = invite_member(
            organisation=workshop, email=email, role=Role.FITTER, by=manager
        )
    return token


@pytest.mark.parametrize(("width", "dark"), [(PHONE, False), (DESKTOP, True)])
def test_pages_serve(
    open_page: OpenPage,
    letter: str,
    width: int,
    dark: bool,
    workshop: Organisation,
    club: Organisation,
    request: pytest.FixtureRequest,
) -> None:
    of_the_workshop = f"/organisations/{workshop.pk}/"
    for who, addresses in {
        "owner": ("/account/", "/account/preferences/", "/account/consents/", "/account/token/"),
        "manager": (of_the_workshop, f"{of_the_workshop}edit/", f"{of_the_workshop}invite/"),
        "fitter": (of_the_workshop,),
        "stranger": ("/organisations/new/", f"/invitations/{letter}/"),
        "officer": (f"/organisations/{club.pk}/", f"/clubs/{club.pk}/fleet/"),
    }.items():
        page = open_page(person=request.getfixturevalue(who), width=width, dark=dark)
        for address in addresses:
            answer = page.goto(address)
            assert answer is not None
            assert answer.status == 200, address
            assert_page_serves(page)


def test_form_that_is_refused_serves_and_keeps_what_was_typed(
    open_page: OpenPage, letter: str, manager: Person, workshop: Organisation
) -> None:
    page = open_page(person=manager, width=PHONE)
    page.goto(f"/organisations/{workshop.pk}/invite/")
    page.get_by_label("E-mail address").fill("maud.tregear@example.com")
    page.get_by_role("radio").first.check()
    page.get_by_role("button", name="Send the letter").click()
    page.get_by_role("alert").wait_for()
    assert_page_serves(page)
    assert page.get_by_label("E-mail address").input_value() == "maud.tregear@example.com"
    assert page.get_by_role("radio").first.is_checked()
