"""What was sent to whom: the page, the API, and what a sale takes away."""

from datetime import timedelta
from typing import Any

import pytest
from django.core import mail as outgoing
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from advisory.notices.actions.account_letters import send_account_letter
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.actions.snoozes import snooze_item
from advisory.notices.enums import MailState, SnoozeReason, Stage
from advisory.notices.masthead import masthead_of
from advisory.notices.models import BulletinNotice, FollowUp, Mail, Reminder, Snooze
from advisory.people.clock import today_of
from advisory.plans.enums import DueState
from advisory.plans.models import Bulletin, BulletinUnit
from advisory.register.actions import claim_unit, offer_unit
from advisory.register.actions.hand_overs import NewOwner
from advisory.register.claim_code import code_from
from advisory.register.enums import WorkKind
from tests.cast import make_person
from tests.notices.conftest import NOON, make_item

pytestmark = pytest.mark.django_db


def page_of(person: Any) -> str:
    client = Client()
    client.force_login(person)
    return client.get(reverse("notices:sendings")).text


def test_each_sending_says_what_why_when_and_what_became_of_it(mail, owner, at_https) -> None:
    assert "Waits for your hours" in page_of(owner)
    deliver_waiting()
    sent = Mail.objects.get()
    Mail.objects.create(
        key="x",
        kind="answer",
        person=owner,
        to=owner.email,
        message_id="<x@y>",
        state=MailState.GIVEN_UP,
        last_error="550 no box",
    )

    told = page_of(owner)

    assert sent.subject in told
    assert "Something on your plan came nearer." in told
    assert "Oil change, coming up: Pattern 4 blower 0417" in told
    assert f"Sent to {owner.email}" in told
    assert "550 no box" in told


def test_what_no_longer_held_is_not_said_to_have_been_sent(
    mail, item, unit, owner, at_https
) -> None:
    """The letter tells of each item once, at the stage that it has come to by then."""
    pipe = make_item(unit, WorkKind.PIPE_CHECK)
    for row, stage in ((item, Stage.LATE), (pipe, Stage.NEAR)):
        Reminder.objects.create(item=row, cycle=1, stage=stage, person=owner, mail=mail)
    item.state, pipe.state = DueState.LATE, DueState.AHEAD
    item.save()
    pipe.save()
    deliver_waiting()

    told = page_of(owner)

    assert Mail.objects.get().left_out == [pipe.pk]
    assert "Oil change, overdue: Pattern 4 blower 0417" in told
    assert "Oil change, coming up" not in told
    assert "External pipe" not in told


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("reminder", "Waits for your hours"),
        ("answer", "Waits for the day: no mail goes at night"),
        ("account", "Goes at the next moment"),
    ],
)
def test_what_waits_says_for_what(owner, kind, words) -> None:
    Mail.objects.create(key="x", kind=kind, person=owner, to=owner.email, message_id="<x@y>")
    assert words in page_of(owner)


@pytest.mark.parametrize("who", ["stranger", "fitter", "officer", "second_owner"])
def test_nobody_else_reads_it(request, mail, who) -> None:
    assert "Oil change" not in page_of(request.getfixturevalue(who))


def test_after_a_sale_nothing_new_is_told_of_the_unit(mail, unit, owner, second_owner) -> None:
    unit.owner, unit.name = second_owner, "Renamed since"
    unit.save()

    assert "Renamed since" not in page_of(owner)


def test_the_page_takes_the_same_queries_with_one_and_with_three(make_owner, owner) -> None:
    people = [make_owner("Ann One", WorkKind.OIL_CHANGE)]
    works = (WorkKind.OIL_CHANGE, WorkKind.PIPE_CHECK, WorkKind.SEAL_WEEP)
    people.append(make_owner("Bea Two", *works))
    raise_reminders(now=NOON)
    counted = []
    for person in people:
        client = Client()
        client.force_login(person)
        with CaptureQueriesContext(connection) as caught:
            client.get(reverse("notices:sendings"))
        counted.append(len(caught))
    assert counted[0] == counted[1]


def test_a_letter_about_getting_in_stands_with_whose_address_it_was(owner) -> None:
    letter = outgoing.EmailMessage("Confirm", "a secret link", to=[owner.email.upper()])
    send_account_letter(message=letter)

    told = page_of(owner)

    assert "Somebody who gave your address asked to get in." in told
    assert "a secret link" not in told


# The API ------------------------------------------------------------------------------------------


@pytest.fixture
def caller(owner) -> Client:
    client = Client()
    client.force_login(owner)
    return client


def test_messages_are_read_and_marked(caller, mail) -> None:
    url = reverse("api:me-messages")
    (told,) = caller.get(url).json()["results"]
    assert (told["kind"], told["unread"]) == ("reminder", True)
    assert caller.post(url).status_code == 204
    assert caller.get(url).json()["results"][0]["unread"] is False


def test_all_kinds_of_messages_are_marked(caller, mail, item, owner, workshop) -> None:
    FollowUp.objects.create(
        unit=item.unit, person=owner, reason="silent", occasion="since-1", kind="letter"
    )
    bulletin = Bulletin.objects.create(organisation=workshop, title="Clips", text="Look at them.")
    BulletinUnit.objects.create(bulletin=bulletin, unit=item.unit)
    BulletinNotice.objects.create(person=owner, bulletin=bulletin)
    url = reverse("api:me-messages")
    assert [row["unread"] for row in caller.get(url).json()["results"]] == [True] * 3
    caller.post(url)
    assert [row["unread"] for row in caller.get(url).json()["results"]] == [False] * 3
    assert masthead_of(owner).unread == 0


def test_a_reminder_is_put_off_and_that_taken_back(caller, item, owner) -> None:
    until = today_of(owner) + timedelta(days=5)
    given = {"item": item.pk, "reason": "parts", "note": "the tin", "until": until.isoformat()}

    made = caller.post("/api/v1/snoozes/", given, content_type="application/json")

    assert made.status_code == 201, made.content
    (listed,) = caller.get("/api/v1/snoozes/").json()["results"]
    assert (listed["note"], listed["until"]) == ("the tin", until.isoformat())
    lifted = caller.post(f"/api/v1/snoozes/{listed['id']}/lift/").json()
    assert lifted["lifted_at"] is not None


@pytest.mark.parametrize(
    ("given", "field"),
    [({"until": "2020-01-01"}, "until"), ({}, "until"), ({"reason": "bored"}, "reason")],
)
def test_what_cannot_be_put_off_is_refused_on_its_field(caller, item, given, field) -> None:
    given = {"item": item.pk, "reason": "parts", **given}
    refused = caller.post("/api/v1/snoozes/", given, content_type="application/json")
    assert refused.status_code in {400, 422}
    assert field in refused.text
    assert not Snooze.objects.exists()


def test_somebody_elses_item_is_not_there(item, second_owner) -> None:
    client = Client()
    client.force_login(second_owner)
    given = {"item": item.pk, "reason": "parts", "until_reading": True}
    refused = client.post("/api/v1/snoozes/", given, content_type="application/json")
    assert refused.status_code == 400
    assert not Snooze.objects.exists()


def test_hours_and_days_are_chosen_through_the_api(caller) -> None:
    url = reverse("api:me-notices")
    chosen = {"mail_days": 96, "from_hour": 9, "until_hour": 18, "tell_workshop": True}
    answer = caller.patch(url, chosen, content_type="application/json")
    assert answer.status_code == 200, answer.content
    assert chosen.items() <= caller.get(url).json().items()
    wrong = caller.patch(url, {"from_hour": 19}, content_type="application/json")
    assert wrong.status_code in {400, 422}
    assert caller.get(url).json()["from_hour"] == 9


# A sale -------------------------------------------------------------------------------------------


def test_a_sale_ends_what_was_put_off_and_drops_the_words_to_it(
    whole_unit, item, owner, manager
) -> None:
    buyer = make_person("Nora Quill")
    until = today_of(owner) + timedelta(days=9)
    snooze_item(item=item, reason=SnoozeReason.PARTS, by=owner, until=until, note="Ivo has them")
    offer = offer_unit(unit=whole_unit, by=owner, email=buyer.email)
    claim_unit(code=code_from(offer.nonce), by=buyer, new=NewOwner())

    kept = Snooze.objects.get()

    assert kept.note == ""
    assert kept.lifted_at is not None
    assert kept.lifted_at <= timezone.now()
