"""Asking for a reading: at the moment at which it is worth most, and then not again for weeks."""

from datetime import date, timedelta

import pytest
import time_machine
from django.core import mail as outgoing
from django.db import connection
from django.test.utils import CaptureQueriesContext

from advisory.notices.account import message_keys, messages_of
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.readings import NOT_AGAIN_FOR, ask_for_readings
from advisory.notices.actions.snoozes import snooze_item
from advisory.notices.enums import MailKind, MailState
from advisory.notices.models import Mail, NoticePreference, ReadingRequest
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.register.enums import WorkKind
from advisory.usage.models import LayUp, Reading
from tests.cast import make_car, make_person, make_unit
from tests.notices.conftest import NOON, make_item

pytestmark = pytest.mark.django_db
TODAY = NOON.date()
WIDE = {
    "asks_for_reading": True,
    "forecast_first": TODAY + timedelta(days=10),
    "forecast_date": TODAY + timedelta(days=120),
    "forecast_last": TODAY + timedelta(days=300),
    "due_date": None,
}


@pytest.fixture(autouse=True)
def at_noon():
    with time_machine.travel(NOON, tick=False) as clock:
        yield clock


@pytest.fixture
def wide(unit, car) -> PlanItem:
    """Nobody can tell when it falls due; it was read 200 days ago."""
    read(car)
    return make_item(unit, state=DueState.AHEAD, **WIDE)


def read(car, day: date = TODAY - timedelta(days=200)) -> None:
    Reading.objects.create(odometer=car.odometers.get(), date=day, shown=41_377)


def asked_at(now) -> int:
    before = ReadingRequest.objects.count()
    ask_for_readings(now=now)
    return ReadingRequest.objects.count() - before


def test_it_is_asked_by_one_mail_and_stands_in_the_account(wide, car, owner) -> None:
    assert asked_at(NOON) == 1

    row = ReadingRequest.objects.get()
    assert (row.car, row.item, row.person, row.number) == (car, wide, owner, 1)
    assert row.worth > 5.0
    deliver_waiting()
    (message,) = outgoing.outbox
    assert message.subject == "What does the odometer of your Harrow Vale 1934 show?" or (
        "odometer" in message.subject
    )
    assert "/reading/" in str(message.body)
    told = messages_of(owner, message_keys(owner)).messages
    assert [one.kind for one in told] == ["reading"]


def test_waiting_is_better_while_its_first_days_are_far(wide) -> None:
    later = timedelta(days=150)
    PlanItem.objects.update(
        forecast_first=WIDE["forecast_first"] + later,
        forecast_date=WIDE["forecast_date"] + later,
        forecast_last=WIDE["forecast_last"] + later,
    )

    assert asked_at(NOON) == 0


def test_it_is_not_asked_again_for_weeks(wide) -> None:
    assert asked_at(NOON) == 1
    assert asked_at(NOON) == 0
    assert asked_at(NOON + NOT_AGAIN_FOR - timedelta(minutes=1)) == 0
    assert asked_at(NOON + NOT_AGAIN_FOR) == 1
    assert list(ReadingRequest.objects.order_by("pk").values_list("number", flat=True)) == [1, 2]


def test_two_items_of_a_car_ask_once(wide, unit) -> None:
    make_item(unit, WorkKind.PIPE_CHECK, DueState.AHEAD, **WIDE)

    assert asked_at(NOON) == 1


def test_who_entered_it_meanwhile_gets_no_mail(wide, car, at_noon) -> None:
    ask_for_readings(now=NOON)
    at_noon.shift(timedelta(hours=1))
    read(car, TODAY)

    deliver_waiting()

    assert not outgoing.outbox
    assert Mail.objects.get().state == MailState.HELD


@pytest.mark.parametrize(
    "why", ["not asked for", "laid up", "no reading", "no car", "left", "put off"]
)
def test_nobody_is_asked_without_need(wide, car, unit, owner, why) -> None:
    if why == "not asked for":
        PlanItem.objects.update(asks_for_reading=False)
    if why == "laid up":
        LayUp.objects.create(car=car, from_date=TODAY - timedelta(days=3))
    if why == "no reading":
        Reading.objects.all().delete()
    if why == "no car":
        unit.fittings.update(until_date=TODAY)
    if why == "left":
        owner.is_active = False
        owner.save()
    if why == "put off":
        snooze_item(item=wide, by=owner, reason="stands", until_reading=True)

    assert asked_at(NOON + timedelta(minutes=1)) == 0


def test_who_wants_no_mail_is_asked_in_the_account(wide, owner) -> None:
    NoticePreference.objects.create(person=owner, reminders_by_mail=False)

    assert asked_at(NOON) == 1
    assert not Mail.objects.filter(kind=MailKind.READING).exists()


def test_two_runs_at_once_ask_once(wide, monkeypatch) -> None:
    from advisory.notices.actions import readings

    real = readings.write_with_mail

    def while_another_run_asks(rows, people, kind, now):
        monkeypatch.setattr(readings, "write_with_mail", real)
        ask_for_readings(now=now)
        return real(rows, people, kind, now)

    monkeypatch.setattr(readings, "write_with_mail", while_another_run_asks)
    ask_for_readings(now=NOON)

    assert ReadingRequest.objects.count() == Mail.objects.count() == 1


def test_the_queries_are_as_many_for_one_car_and_for_three(wide, design) -> None:
    def queries(now) -> int:
        with CaptureQueriesContext(connection) as caught:
            ask_for_readings(now=now)
        return len(caught)

    one = queries(NOON)
    for number in range(3):
        person = make_person(f"Owner {number}")
        car = make_car(person)
        make_item(make_unit(person, design, serial=str(number), car=car), **WIDE)
        read(car)

    assert queries(NOON + timedelta(hours=1)) == one
    assert ReadingRequest.objects.count() == 4
