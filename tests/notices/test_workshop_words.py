"""A word to the workshop, where the owner wishes it; and one mail a window for each person."""

from datetime import timedelta

import pytest
import time_machine
from django.core import mail as outgoing

from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.preferences import choose_notices, preference_of
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailKind, MailState, Stage
from advisory.notices.models import Mail, Reminder
from advisory.people.actions import withdraw_consent
from advisory.plans.enums import DueState
from advisory.register.enums import WorkKind
from tests.notices.conftest import NOON, make_item

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def at_noon():
    with time_machine.travel(NOON, tick=False):
        yield


@pytest.fixture
def late(unit):
    return make_item(unit, state=DueState.LATE)


def told_at_the_workshop(manager) -> int:
    raise_reminders(now=NOON)
    return Reminder.objects.filter(person=manager).count()


def test_its_managers_are_told_once_where_the_owner_wishes(
    late, owner, manager, fitter, consent
) -> None:
    choose_notices(by=owner, tell_workshop=True)

    assert told_at_the_workshop(manager) == 1
    assert told_at_the_workshop(manager) == 1

    row = Reminder.objects.get(person=manager)
    assert (row.item, row.stage, row.mail.kind) == (late, Stage.LATE, MailKind.WORD)
    assert not Reminder.objects.filter(person=fitter).exists()
    deliver_waiting()
    letter = next(mail for mail in outgoing.outbox if mail.to == [manager.email])
    assert letter.subject == "Oil change is overdue: Pattern 4 blower 0417"
    assert "Orla Penhallow" in str(letter.body)
    assert "from-mail" not in str(letter.body)


@pytest.mark.parametrize("why", ["not wished", "no consent", "due only", "other unit's workshop"])
def test_nobody_there_is_told_without_wish_consent_or_need(
    late, owner, manager, consent, other_workshop, why
) -> None:
    choose_notices(by=owner, tell_workshop=why != "not wished")
    if why == "no consent":
        withdraw_consent(consent=consent, by=owner)
    if why == "due only":
        late.state = DueState.DUE
        late.save()
    if why == "other unit's workshop":
        late.unit.workshop = other_workshop
        late.unit.save()

    assert told_at_the_workshop(manager) == 0


@pytest.mark.parametrize("change", ["consent", "wish", "done"])
def test_what_no_longer_holds_when_it_is_sent_is_withheld(
    late, owner, manager, consent, change
) -> None:
    choose_notices(by=owner, tell_workshop=True)
    raise_reminders(now=NOON)
    if change == "consent":
        withdraw_consent(consent=consent, by=owner)
    if change == "wish":
        choose_notices(by=owner, tell_workshop=False)
    if change == "done":
        late.cycle, late.state = 2, DueState.AHEAD
        late.save()

    deliver_waiting()

    assert Mail.objects.get(person=manager).state == MailState.HELD
    assert manager.email not in [to for mail in outgoing.outbox for to in mail.to]


def test_one_mail_a_day_however_often_something_comes_up(unit, owner) -> None:
    make_item(unit)
    raise_reminders(now=NOON)
    deliver_waiting()
    assert Mail.objects.get().state == MailState.SENT

    make_item(unit, WorkKind.PIPE_CHECK)
    raise_reminders(now=NOON + timedelta(hours=1))
    make_item(unit, WorkKind.SEAL_WEEP)
    raise_reminders(now=NOON + timedelta(hours=2))

    waiting = Mail.objects.get(state=MailState.WAITING)
    assert waiting.reminders.count() == 2
    # seven in the morning of the next day in London
    assert waiting.next_try_at == NOON.replace(hour=6) + timedelta(days=1)


def test_only_on_chosen_days_and_hours(unit, owner) -> None:
    choose_notices(by=owner, mail_days=0b0100000, from_hour=10, until_hour=12)
    make_item(unit)

    raise_reminders(now=NOON)  # a Wednesday

    assert Mail.objects.get().next_try_at == NOON.replace(day=18)  # Saturday, ten in London


@pytest.mark.parametrize(
    "wrong", [{"mail_days": 0}, {"mail_days": 128}, {"from_hour": 9, "until_hour": 9}]
)
def test_times_that_leave_no_time_are_refused(owner, wrong) -> None:
    from advisory.common.errors import Refused

    with pytest.raises(Refused):
        choose_notices(by=owner, **wrong)
    assert preference_of(owner).mail_days == 127
