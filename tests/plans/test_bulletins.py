"""Bulletins: whom they meet, sent once, on the plans, done, taken back; and what a club is told."""

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.core import mail as outgoing
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from advisory.common.errors import NotAllowed, Refused
from advisory.common.models import AuditEntry
from advisory.lubrication.enums import Filtration, ServiceKind
from advisory.lubrication.models import Lubricant, OilService
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.models import BulletinNotice, Mail
from advisory.people.actions import withdraw_consent
from advisory.people.enums import ConsentScope
from advisory.people.models import Consent, Organisation, Person
from advisory.plans.actions import mark_done, refresh_plan, take_back
from advisory.plans.actions.bulletins import (
    change_bulletin,
    discard_bulletin,
    put_on_plans,
    send_bulletin,
    withdraw_bulletin,
    write_bulletin,
)
from advisory.plans.bulletins.audience import audience, designs_offered
from advisory.plans.bulletins.told import became_of, meets
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.models.bulletins import Bulletin, BulletinUnit
from advisory.register.enums import WorkKind
from advisory.register.models import Build, Design, Unit
from advisory.register.signals import unit_passed_on
from tests.accessibility import assert_page_serves
from tests.browser import OpenPage
from tests.cast import make_arrangement, make_consent, make_design, make_person, make_unit

pytestmark = pytest.mark.django_db
SAID = {"title": "Cover bolts", "text": "Two have come loose on others."}


@pytest.fixture
def noon() -> Iterator[None]:
    """No mail goes at night."""
    with time_machine.travel(datetime(2024, 5, 15, 11, tzinfo=UTC), tick=False):
        yield


@pytest.fixture
def asks() -> dict[str, object]:
    """What a bulletin says that asks for work in ten days."""
    until = timezone.localdate() + timedelta(days=10)
    return {**SAID, "asks": "Nip the bolts of the cover", "until": until}


def sent(organisation: Organisation, by: Person, **said: object) -> Bulletin:
    bulletin = write_bulletin(organisation=organisation, by=by, **{**SAID, **said})
    send_bulletin(bulletin=bulletin, by=by)
    bulletin.refresh_from_db()
    return bulletin


def item_of(unit: Unit) -> PlanItem | None:
    refresh_plan(unit=unit)
    return PlanItem.objects.filter(unit=unit, work=WorkKind.BULLETIN).first()


def page_as(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def with_owners(club: Organisation, design: Design, count: int, of: str = "Owner") -> list[Unit]:
    """Add owners who consent to the club, with a unit each."""
    people = [make_person(f"{of} {number}") for number in range(count)]
    for person in people:
        make_consent(person, club, ConsentScope.UNNAMED)
    return [make_unit(person, design, serial=person.name) for person in people]


@pytest.fixture
def other_unit(whole_unit: Unit, second_owner: Person, workshop: Organisation) -> Unit:
    """Another unit of the workshop's, whose owner consents as well."""
    make_consent(second_owner, workshop, ConsentScope.RECORDS)
    return make_unit(second_owner, make_design(workshop, "Pattern 9 pump"), serial="0900")


def test_each_criterion_narrows(
    whole_unit: Unit, other_unit: Unit, workshop: Organisation, manager: Person, fitter: Person
) -> None:
    oil = Lubricant.objects.create(
        name="Straight",
        family="engine",
        kinematic_viscosity_40=1e-4,
        kinematic_viscosity_100=1.1e-5,
        detergent=True,
        workshop=workshop,
    )
    make_arrangement(other_unit, Filtration.NONE)
    OilService.objects.create(
        unit=whole_unit, date=date(2024, 5, 1), kind=ServiceKind.CHANGE, lubricant=oil
    )
    place = whole_unit.design.positions.first()
    sheet = Build.objects.create(unit=whole_unit, workshop=workshop, built_on=date(2024, 3, 1))
    sheet.entries.create(name="batch", text="B-17", position=place)
    sheet.signed_by, sheet.signed_at, sheet.state = fitter, timezone.now(), "signed"
    sheet.save()
    newer = Design.objects.create(
        workshop=workshop, kind="supercharger", name=whole_unit.design.name, version=2
    )

    def met(**criteria: object) -> set[str]:
        row = write_bulletin(organisation=workshop, by=manager, **SAID, **criteria)
        return {unit.serial for unit in audience(row)}

    assert met() == {"0417", "0900"}
    assert met(design=newer) == {"0417"}
    assert met(batch=" b-17") == {"0417"}
    assert met(lubricant=oil) == {"0417"}
    assert met(oil_of_kind="detergent") == {"0417"}
    assert met(filtration=Filtration.NONE) == {"0900"}
    assert met(feed="own_sump", filtration=Filtration.BYPASS) == {"0417"}
    assert met(kind="gearbox") == set()
    # a newer sheet says that the part of that batch is out again
    sheet = Build.objects.create(unit=whole_unit, workshop=workshop, built_on=date(2024, 4, 1))
    sheet.entries.create(name="batch", text="B-18", position=place)
    sheet.signed_by, sheet.signed_at, sheet.state = fitter, timezone.now(), "signed"
    sheet.save()
    assert met(batch="B-17") == set()


def test_only_owners_who_consent_and_units_that_it_built(
    whole_unit: Unit, other_unit: Unit, workshop, other_workshop, other_fitter, manager, consent
) -> None:
    foreign = make_consent(other_unit.owner, other_workshop, ConsentScope.RECORDS)
    withdraw_consent(consent=consent, by=whole_unit.owner)
    bulletin = sent(workshop, manager)
    assert [row.unit for row in bulletin.units.all()] == [other_unit]
    assert foreign.withdrawn_at is None
    assert meets(write_bulletin(organisation=other_workshop, by=other_fitter, **SAID)).units == 0


@pytest.mark.usefixtures("whole_unit")
@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"title": " "}, "title"),
        ({"text": ""}, "text"),
        ({"asks": "Nip the bolts"}, "until"),
        ({"asks": "Nip the bolts", "until": date(2020, 1, 1)}, "until"),
        ({"until": date(2030, 1, 1)}, "asks"),
    ],
)
def test_what_is_missing_is_said_at_its_field(wrong, field, workshop, manager) -> None:
    with pytest.raises(Refused) as refusal:
        write_bulletin(organisation=workshop, by=manager, **{**SAID, **wrong})
    assert refusal.value.field == field
    assert not Bulletin.objects.exists()


@pytest.mark.usefixtures("noon")
def test_sent_once_with_one_letter_an_owner(
    whole_unit, owner, design, workshop, manager, fitter, asks, committed
) -> None:
    make_unit(owner, design, serial="0418")
    bulletin = write_bulletin(organisation=workshop, by=manager, **asks)
    assert meets(bulletin).words == "2 units of 1 owner"

    committed(lambda: send_bulletin(bulletin=bulletin, by=manager))
    committed(lambda: send_bulletin(bulletin=bulletin, by=fitter))
    Mail.objects.update(next_try_at=timezone.now())
    deliver_waiting()

    assert bulletin.units.count() == 2
    assert BulletinNotice.objects.count() == 1
    [letter] = outgoing.outbox
    assert letter.to == [owner.email]
    assert "Nip the bolts of the cover" in letter.body
    assert "0417" in letter.body
    assert "0418" in letter.body
    assert AuditEntry.objects.filter(action="send_bulletin").count() == 1
    with pytest.raises(Refused):
        change_bulletin(bulletin=bulletin, by=manager, **SAID)
    with pytest.raises(Refused):
        discard_bulletin(bulletin=bulletin, by=manager)


@pytest.mark.usefixtures("noon")
@pytest.mark.parametrize("why", ["taken back", "no consent", "sold"])
def test_letter_is_withheld(why, whole_unit, owner, second_owner, workshop, manager, consent):
    bulletin = sent(workshop, manager)
    if why == "taken back":
        withdraw_bulletin(bulletin=bulletin, by=manager)
    elif why == "no consent":
        withdraw_consent(consent=consent, by=owner)
    else:
        Unit.objects.update(owner=second_owner)
    Mail.objects.update(next_try_at=timezone.now())
    deliver_waiting()
    assert outgoing.outbox == []
    assert Mail.objects.get().state == "held"


def test_what_it_asks_stands_on_the_plan_until_it_is_done(
    whole_unit, owner, workshop, manager, asks, committed
) -> None:
    committed(lambda: sent(workshop, manager, **asks))

    item = PlanItem.objects.get(unit=whole_unit, work=WorkKind.BULLETIN)
    assert item.due_date == asks["until"]
    assert item.state == DueState.NEAR
    assert item.reasons[0]["what"] == "Nip the bolts of the cover"
    today = timezone.localdate()

    done = mark_done(unit=whole_unit, work=WorkKind.BULLETIN, date=today, by=owner)
    again = mark_done(
        unit=whole_unit, work=WorkKind.BULLETIN, date=today, by=owner, cycle=done.cycle
    )
    assert again == done
    assert item_of(whole_unit) is None
    assert BulletinUnit.objects.get().work_done == done

    take_back(done=done, by=owner)
    assert BulletinUnit.objects.get().work_done is None
    assert item_of(whole_unit) is not None


def test_of_several_the_most_pressing_first_and_each_by_itself(
    whole_unit, owner, workshop, manager, asks
) -> None:
    later = sent(workshop, manager, **asks)
    stop = sent(workshop, manager, title="Gear", asks="Change the gear", before_it_runs=True)
    item = item_of(whole_unit)
    assert item is not None
    assert item.state == DueState.DUE
    assert [reason["title"] for reason in item.reasons[:2]] == ["Gear", "Cover bolts"]
    today = timezone.localdate()

    # the one that presses less is done first, on its own page
    row = later.units.get()
    client = page_as(owner)
    address = reverse("plans:bulletin_done", args=[row.pk])
    assert client.get(address).status_code == 200
    for _twice in range(2):
        client.post(address, {"date": today.isoformat(), "cycle": item.cycle})
    row.refresh_from_db()
    assert row.work_done is not None
    assert row.work_done.was_due_on == asks["until"]
    assert WorkDone.objects.filter(work=WorkKind.BULLETIN).count() == 1
    item = item_of(whole_unit)
    assert item is not None
    assert [reason["title"] for reason in item.reasons] == ["Gear"]

    withdraw_bulletin(bulletin=stop, by=manager)
    assert item_of(whole_unit) is None


def test_many_are_put_on_plans_by_a_job(whole_unit, workshop, manager, asks, monkeypatch) -> None:
    monkeypatch.setattr("advisory.plans.actions.bulletins.MOST_AT_ONCE", 0)
    bulletin = sent(workshop, manager, **asks)
    assert not PlanItem.objects.filter(work=WorkKind.BULLETIN).exists()
    assert put_on_plans() == 1
    assert PlanItem.objects.filter(work=WorkKind.BULLETIN).exists()
    assert put_on_plans() == 0
    withdraw_bulletin(bulletin=bulletin, by=manager)
    put_on_plans()
    assert not PlanItem.objects.filter(work=WorkKind.BULLETIN).exists()


def test_opening_it_marks_it_read_and_the_workshop_sees_who(
    whole_unit, owner, other_unit, workshop, manager
) -> None:
    bulletin = sent(workshop, manager)
    assert became_of(bulletin, manager).read.owners == 0

    page = page_as(owner).get(reverse("plans:bulletin_read", args=[bulletin.pk]))

    assert b"Two have come loose" in page.content
    told = became_of(bulletin, manager)
    assert (told.met.owners, told.read.owners, told.done) == (2, 1, None)
    page = page_as(manager).get(reverse("plans:bulletin", args=[bulletin.pk]))
    assert b"Orla Penhallow" in page.content
    assert b"2 units of 2 owners" in page.content


def test_access(
    whole_unit, owner, second_owner, workshop, manager, fitter, other_fitter, officer, stranger,
    club_consent, asks,
) -> None:  # fmt: skip
    bulletin = sent(workshop, manager, **asks)
    row = bulletin.units.get()
    unit_passed_on.send(sender=Unit, unit=whole_unit, former=owner, with_car=False)
    Unit.objects.update(owner=second_owner)
    for person in (owner, other_fitter, officer, stranger):
        client = page_as(person)
        for name, pk in (
            ("bulletin", bulletin.pk),
            ("bulletin_edit", bulletin.pk),
            ("bulletin_read", bulletin.pk),
            ("bulletin_done", row.pk),
            ("bulletins", workshop.pk),
            ("bulletin_new", workshop.pk),
        ):
            assert client.get(reverse(f"plans:{name}", args=[pk])).status_code == 404, name
        for name in ("bulletin_send", "bulletin_withdraw", "bulletin_discard"):
            assert client.post(reverse(f"plans:{name}", args=[bulletin.pk])).status_code == 404
        with pytest.raises(NotAllowed):
            write_bulletin(organisation=workshop, by=person, **SAID)
        assert b"Cover bolts" not in client.get(reverse("notices:messages")).content
    # it goes with the unit: the next owner reads it anew; who doesn't consent isn't told of
    page = page_as(second_owner).get(reverse("plans:bulletin_read", args=[bulletin.pk]))
    assert page.status_code == 200
    page = page_as(fitter).get(reverse("plans:bulletin", args=[bulletin.pk]))
    assert b"Silas Marchbank" not in page.content


def test_a_club_is_told_in_fives_and_no_name(
    workshop: Organisation, club: Organisation, officer: Person, asks
) -> None:
    design = make_design(workshop)
    with_owners(club, design, 4)
    draft = write_bulletin(organisation=club, by=officer, **asks)
    few = meets(draft)
    assert (few.owners, few.units) == (None, None)
    assert meets(write_bulletin(organisation=club, by=officer, **SAID, kind="gearbox")) == few
    assert not designs_offered(club, officer).filter(pk=design.pk).exists()

    units = with_owners(club, design, 8, "Further")
    assert meets(draft).owners == 10
    assert designs_offered(club, officer).filter(pk=design.pk).exists()
    send_bulletin(bulletin=draft, by=officer)
    told = became_of(draft, officer)
    assert (told.met.owners, told.read.owners, told.met.units) == (10, None, None)
    for count, expected in ((4, None), (5, 5), (8, 5)):
        owners = [unit.owner for unit in units[:count]]
        BulletinUnit.objects.filter(unit__owner__in=owners).update(read_at=timezone.now())
        assert became_of(draft, officer).read.owners == expected

    page = page_as(officer).get(reverse("plans:bulletin", args=[draft.pk]))
    assert b"10 to 14 owners" in page.content
    assert b"Further" not in page.content
    assert b"Owner 1" not in page.content


def test_a_workshop_sees_nothing_of_a_clubs(
    whole_unit, owner, club, club_consent, officer, manager, client
) -> None:
    bulletin = sent(club, officer)
    assert bulletin.units.count() == 1
    client.force_login(manager)
    assert client.get("/api/v1/bulletin-units/").json()["count"] == 0
    client.force_login(owner)
    assert client.get("/api/v1/bulletin-units/").json()["count"] == 1


def test_sending_takes_the_same_number_of_queries_for_many(workshop, club, officer) -> None:
    def queries(count: int) -> int:
        Consent.objects.all().delete()
        with_owners(club, design, count, f"Of {count}")
        bulletin = write_bulletin(organisation=club, by=officer, **SAID)
        with CaptureQueriesContext(
            connection,
        ) as taken:
            send_bulletin(bulletin=bulletin, by=officer)
        assert bulletin.units.count() == count
        return len(taken)

    design = make_design(workshop)
    assert queries(3) == queries(20)


def test_api(whole_unit, owner, workshop, fitter, client, asks) -> None:
    client.force_login(fitter)
    said = {**asks, "until": asks["until"].isoformat(), "organisation": workshop.pk}
    made = client.post("/api/v1/bulletins/", said, "application/json").json()
    address = f"/api/v1/bulletins/{made['id']}/"
    client.patch(address, {"title": "Bolts"}, "application/json")
    assert client.get(f"{address}meets/").json() == {"owners": 1, "units": 1, "in_fives": False}
    assert client.post(f"{address}send/").json()["sent_at"]
    assert client.delete(address).status_code == 422

    client.force_login(owner)
    [row] = client.get("/api/v1/bulletin-units/").json()["results"]
    mine = f"/api/v1/bulletin-units/{row['id']}/"
    assert client.post(f"{mine}read/").json()["read_at"]
    day = timezone.localdate().isoformat()
    for _twice in range(2):
        done = client.post(f"{mine}done/", {"date": day}, "application/json")
        assert done.status_code == 201
    assert client.get(mine).json()["done_on"] == day
    client.force_login(fitter)
    became = client.get(f"{address}became/").json()
    assert (became["read"]["owners"], became["done"]["units"]) == (1, 1)


@pytest.mark.django_db(transaction=True)
def test_pages_in_a_browser(
    open_page: OpenPage, whole_unit: Unit, owner: Person, workshop, manager: Person, asks
) -> None:
    """Written, looked at, sent; read and done by the owner on a phone."""
    page = open_page(person=manager)
    page.goto(reverse("plans:bulletins", args=[workshop.pk]))
    assert_page_serves(page)
    page.get_by_role("link", name="Write a bulletin").click()
    assert_page_serves(page)
    page.get_by_label("Title").fill("Cover bolts")
    page.get_by_label("What you want to tell").fill("Two have come loose on others.")
    page.get_by_label("What is to be done").fill("Nip them")
    page.get_by_label("It is not to run before").check()
    page.get_by_role("button", name="See whom it meets").click()
    assert_page_serves(page)
    page.get_by_role("button", name="Send it, once").click()
    page.get_by_role("table").wait_for()
    assert_page_serves(page)

    phone = open_page(person=owner, width=390, dark=True)
    phone.goto(reverse("notices:messages"))
    phone.get_by_role("link", name="Cover bolts").click()
    assert_page_serves(phone)
    phone.get_by_role("link", name="It is done").click()
    assert_page_serves(phone)
    phone.get_by_role("button", name="Done: write it down").click()
    phone.get_by_text(re.compile(r"Done on \d")).wait_for()
    assert not PlanItem.objects.filter(work=WorkKind.BULLETIN).exists()


def test_its_item_says_since_when_it_is_asked_and_by_whom(
    noon, asks, whole_unit, owner, fitter, workshop
) -> None:
    sent(workshop, fitter, **asks)
    refresh_plan(unit=whole_unit)
    page = page_as(owner).get(reverse("plans:item", args=[whole_unit.pk, "bulletin"])).text
    words = " ".join(re.sub(r"<[^>]+>", " ", page).split())
    assert f"Asked 15 May 2024 by {workshop}" in words
    assert f"Asked by {workshop} 15 May 2024" in words
    assert "Last done" not in words
