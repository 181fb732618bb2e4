"""What a mail's links open without signing in: one thing each, and nothing by GET."""

from datetime import date, timedelta

import pytest
import time_machine
from django.core import mail as outgoing
from django.test import Client
from django.urls import reverse

from advisory.common.models import AuditEntry
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.mail_links import item_of, item_secret, reading_secret
from advisory.notices.models import ReadingRequest, Snooze
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.register.enums import WorkKind
from advisory.usage.models import Reading
from tests.notices.conftest import NOON, make_item

pytestmark = pytest.mark.django_db
TODAY = NOON.date()


@pytest.fixture(autouse=True)
def at_noon():
    with time_machine.travel(NOON, tick=False) as clock:
        yield clock


@pytest.fixture
def pipe(unit) -> PlanItem:
    """Work without oil, on a unit in a car that was read."""
    return make_item(unit, WorkKind.PIPE_CHECK)


@pytest.fixture
def asked(car, pipe, owner) -> ReadingRequest:
    Reading.objects.create(odometer=car.odometers.get(), date=date(2024, 1, 5), shown=41_377)
    return ReadingRequest.objects.create(car=car, item=pipe, person=owner, number=1, worth=9.0)


def done_at(item: PlanItem) -> str:
    return reverse("notices:done", args=[item_secret(item, item.unit.owner)])


def reading_at(asked: ReadingRequest) -> str:
    return reverse("notices:reading", args=[reading_secret(asked)])


def test_the_letters_links_lead_there(pipe) -> None:
    raise_reminders(now=NOON)
    deliver_waiting()

    body = str(outgoing.outbox[0].body)
    for path in (done_at(pipe), done_at(pipe).replace("/done/", "/later/")):
        assert path in body
        assert Client().get(path).status_code == 200


def test_looking_changes_nothing_and_sending_writes_it_down_once(pipe, owner) -> None:
    """Mail programs and scanners follow links."""
    client = Client()
    page = client.get(done_at(pipe))
    client.head(done_at(pipe))
    assert not WorkDone.objects.exists()
    assert 'value="2024-05-15"' in page.text  # filled in: today
    # no other site learns the address; with "no-referrer" a browser would not send the form either
    assert page["Referrer-Policy"] == "same-origin"
    assert "no-store" in page["Cache-Control"]

    secret = done_at(pipe)
    first = client.post(secret, {"date": "2024-05-12", "shown": "42100", "cycle": 999})
    again = client.post(secret, {"date": "2024-05-13", "shown": "42100"})

    assert "written down" in first.text
    assert "written down" in again.text
    done = WorkDone.objects.get(work=WorkKind.PIPE_CHECK)
    assert (done.date, done.shown, done.cycle, done.by) == (date(2024, 5, 12), 42_100, 1, owner)
    assert AuditEntry.objects.filter(action="mark_done", by=owner).count() == 1


def test_what_cannot_be_put_off_so_far_is_said_and_not_taken_for_done(owner, unit) -> None:
    item = make_item(unit, WorkKind.SEAL_WEEP)
    address = done_at(item).replace("/done/", "/later/")
    far = {"reason": "parts", "until": "2025-12-31", "note": "the press is away"}
    answer = Client().post(address, far)
    assert answer.status_code == 422
    assert "Remind me later" in answer.text
    assert "the press is away" in answer.text
    assert "Put off until" not in answer.text
    assert not Snooze.objects.exists()


def test_what_is_wrong_is_said_at_its_field_and_what_was_typed_stays(pipe) -> None:
    response = Client().post(done_at(pipe), {"date": "2024-06-12", "note": "dry as a bone"})

    assert response.status_code == 422
    assert "has not come yet" in response.text
    assert "dry as a bone" in response.text
    assert not WorkDone.objects.exists()


@pytest.mark.parametrize("change", ["sold", "left", "address", "late", "spoilt", "other kind"])
def test_a_link_that_no_longer_holds_opens_nothing(
    pipe, owner, second_owner, asked, at_noon, change
) -> None:
    path = done_at(pipe)
    if change == "sold":
        pipe.unit.owner = second_owner
        pipe.unit.save()
    if change == "left":
        owner.is_active = False
    if change == "address":
        owner.email = "orla@elsewhere.example"
    if change == "late":
        at_noon.shift(timedelta(days=61))
    if change == "spoilt":
        path = path.replace("/from-mail/W", "/from-mail/X")
    if change == "other kind":
        path = reverse("notices:done", args=[reading_secret(asked)])
    owner.save()

    for response in (Client().get(path), Client().post(path, {"date": "2024-05-12"})):
        assert response.status_code == 404
        assert "Pattern 4" not in response.text
    assert not WorkDone.objects.exists()


def test_a_link_signs_nobody_in(pipe) -> None:
    client = Client()
    client.get(done_at(pipe))

    assert client.get(reverse("home")).status_code == 302
    assert "_auth_user_id" not in client.session


def test_an_address_stands_in_no_link(pipe, owner) -> None:
    import base64

    secret = item_secret(pipe, owner)
    told = base64.urlsafe_b64decode(secret.split(":")[0] + "==")

    assert b"orla" not in told
    assert item_of(secret) is not None


def test_put_off_from_the_mail(pipe, owner) -> None:
    path = done_at(pipe).replace("/done/", "/later/")
    assert "1 June 2024" in Client().get(path).text
    assert not Snooze.objects.exists()

    refused = Client().post(path, {"reason": "parts", "until": "2024-06-02"})
    assert refused.status_code == 422
    kept = Client().post(path, {"reason": "parts", "until": "2024-06-01", "note": "olive"})

    assert "Put off until 1 June 2024" in kept.text
    snooze = Snooze.objects.get()
    assert (snooze.person, snooze.until, snooze.note) == (owner, date(2024, 6, 1), "olive")


def test_what_is_due_and_may_cost_the_unit_is_not_offered(pipe) -> None:
    PlanItem.objects.update(state=DueState.DUE)
    path = done_at(pipe).replace("/done/", "/later/")

    page = Client().get(path).text

    assert "can't be put off" in page
    assert 'name="reason"' not in page


# A reading ----------------------------------------------------------------------------------------


def test_the_page_asks_for_one_number_and_tells_nothing(asked) -> None:
    page = Client().get(reading_at(asked))

    assert page.status_code == 200
    for word in ("Orla", "Harrow Vale", "Pattern 4", "41,377", "41377", "pipe"):
        assert word not in page.text
    assert page.text.count('type="text"') == 1
    assert Reading.objects.count() == 1


def test_the_number_is_kept_as_read_today_by_who_was_asked_and_once(asked, car, owner) -> None:
    first = Client().post(reading_at(asked), {"shown": "42 100"})
    second = Client().post(reading_at(asked), {"shown": "43000"})

    assert "Kept, thank you" in first.text
    assert "Kept, thank you" in second.text
    reading = Reading.objects.latest("pk")
    assert (reading.date, reading.shown, reading.entered_by) == (TODAY, 42_100, owner)
    assert Reading.objects.count() == 2
    asked.refresh_from_db()
    assert asked.answered_at == NOON


def test_a_number_that_is_not_believed_is_asked_about_without_telling_the_last(asked) -> None:
    client = Client()
    question = client.post(reading_at(asked), {"shown": "40000"})
    assert question.status_code == 422
    assert "not what we expected" in question.text
    assert "41,377" not in question.text
    assert Reading.objects.count() == 1

    client.post(reading_at(asked), {"shown": "40000", "asked": "40000", "answer": "right"})

    assert Reading.objects.latest("pk").shown == 40_000


@pytest.mark.parametrize("shown", ["", "abc", "-3", "1234567"])
def test_what_is_no_number_of_this_odometer_is_refused_at_the_field(asked, shown) -> None:
    response = Client().post(reading_at(asked), {"shown": shown})

    assert response.status_code == 422
    assert Reading.objects.count() == 1


@pytest.mark.parametrize("change", ["sold", "late", "other kind"])
def test_a_link_for_a_reading_that_no_longer_holds_takes_none(
    asked, car, owner, second_owner, pipe, at_noon, change
) -> None:
    path = reading_at(asked)
    if change == "sold":
        car.owner = second_owner
        car.save()
    if change == "late":
        at_noon.shift(timedelta(days=31))
    if change == "other kind":
        path = reverse("notices:reading", args=[item_secret(pipe, owner)])

    assert Client().get(path).status_code == 404
    assert Client().post(path, {"shown": "42100"}).status_code == 404
    assert Reading.objects.count() == 1
