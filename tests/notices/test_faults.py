"""Two clocks by mistake, a clock that jumps, a mail server away for an hour, hours of the night."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.core import mail as outgoing

from advisory.findings.actions import answer_finding
from advisory.findings.enums import FindingState, Instruction
from advisory.findings.models import Finding
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.preferences import choose_notices
from advisory.notices.actions.readings import ask_for_readings
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailState
from advisory.notices.models import Mail, Reminder
from advisory.plans.enums import DueState
from advisory.register.enums import WorkKind
from tests.notices.conftest import NOON
from tests.notices.sink import free_port, running_sink
from tests.notices.test_at_once import all_at_once

A_DAY = timedelta(days=1)


@pytest.fixture
def clock() -> Any:
    with time_machine.travel(NOON, tick=False) as running:
        yield running


@pytest.fixture
def owners(make_owner) -> int:
    for number in range(6):
        make_owner(f"Owner {number}", WorkKind.OIL_CHANGE, WorkKind.PIPE_CHECK)
    return 6


def strike() -> None:
    """What the clock starts, in one go."""
    raise_reminders()
    ask_for_readings()
    deliver_waiting()


def sent_ids() -> list[str]:
    return sorted(each.message()["Message-ID"] for each in outgoing.outbox)


@pytest.mark.django_db(transaction=True)
def test_two_clocks_by_mistake_double_nothing(owners, at_https) -> None:
    all_at_once(strike)  # four, at the same moment
    strike()

    assert Reminder.objects.count() == 2 * owners
    assert sent_ids() == sorted(Mail.objects.values_list("message_id", flat=True))
    assert len(sent_ids()) == owners


@pytest.mark.django_db
def test_a_clock_that_jumps_a_day_and_back_doubles_nothing_and_loses_nothing(
    owners, at_https, clock
) -> None:
    strike()
    for now in (NOON + A_DAY, NOON + timedelta(minutes=1), NOON - A_DAY, NOON + A_DAY):
        clock.move_to(now)
        strike()
    assert (Reminder.objects.count(), len(outgoing.outbox)) == (2 * owners, owners)

    # what comes to its next stage while the clock is a day ahead is told once
    row = Reminder.objects.first()
    assert row is not None
    row.item.state = DueState.LATE
    row.item.save()
    for now in (NOON + A_DAY, NOON + timedelta(minutes=2)):
        clock.move_to(now)
        strike()
    for day in range(1, 5):
        clock.move_to(NOON + day * A_DAY)
        strike()
    assert (Reminder.objects.count(), len(outgoing.outbox)) == (2 * owners + 1, owners + 1)
    assert not Mail.objects.filter(state=MailState.WAITING).exists()


@pytest.mark.django_db
def test_a_mail_server_away_for_an_hour_gets_all_of_it_once(settings, owners, clock) -> None:
    settings.EMAIL_BACKEND = "advisory.common.smtp.CourierBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", (port := free_port())
    for _minute in range(60):
        strike()
        clock.shift(timedelta(minutes=1))
    assert set(Mail.objects.values_list("state", "attempts")) == {(MailState.WAITING, 0)}

    with running_sink(port) as (sink, _port):
        for _minute in range(3):
            strike()
            clock.shift(timedelta(minutes=1))

    assert sink.taken == dict.fromkeys(Mail.objects.values_list("message_id", flat=True), 1)
    assert sum(sink.taken.values()) == owners


@pytest.mark.django_db
def test_what_is_late_in_going_does_not_go_at_night(item, owner, at_https, clock) -> None:
    raise_reminders()
    clock.move_to(NOON.replace(hour=20, minute=30))  # half past nine in the evening in London
    deliver_waiting()
    assert outgoing.outbox == []
    mail = Mail.objects.get()
    assert (mail.state, mail.attempts, mail.held_until) == (MailState.WAITING, 0, None)
    assert mail.next_try_at == (NOON + A_DAY).replace(hour=6, minute=0)

    clock.move_to(mail.next_try_at)
    deliver_waiting()
    assert len(outgoing.outbox) == 1


@pytest.mark.django_db
@pytest.mark.parametrize("instruction", [Instruction.STOP, Instruction.GENTLY])
def test_a_word_against_running_goes_at_night(
    whole_unit, owner, fitter, at_https, clock, instruction
) -> None:
    finding = Finding.objects.create(
        unit=whole_unit,
        seen_on=NOON.date(),
        text="Metal in the oil",
        reported_by=owner,
        state=FindingState.SENT,
        sent_at=NOON,
    )
    clock.move_to(NOON.replace(hour=23, minute=30))
    answer_finding(finding=finding, text="Leave it.", by=fitter, instruction=instruction)
    deliver_waiting()

    assert [each.to for each in outgoing.outbox] == [[owner.email]]


@pytest.mark.django_db
def test_days_chosen_meanwhile_hold_for_what_waits(item, owner, at_https, clock) -> None:
    raise_reminders()
    choose_notices(by=owner, mail_days=0b1000000)  # Sundays
    deliver_waiting()
    assert outgoing.outbox == []

    clock.move_to(NOON + 4 * A_DAY)
    deliver_waiting()
    assert len(outgoing.outbox) == 1
