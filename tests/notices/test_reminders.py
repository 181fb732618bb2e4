"""Raising reminders: who is reminded of what, once, in one mail."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from advisory.notices.actions import mailing, reminders
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailKind, MailState, Stage
from advisory.notices.models import Mail, NoticePreference, Reminder
from advisory.plans.enums import DueState
from advisory.register.enums import WorkKind
from advisory.usage.models import LayUp
from tests.notices.conftest import NIGHT, NOON, make_item

pytestmark = pytest.mark.django_db


def stages() -> list[str]:
    return list(Reminder.objects.order_by("pk").values_list("stage", flat=True))


def move(item, state: DueState, **fields: object) -> None:
    item.state = state
    for name, value in fields.items():
        setattr(item, name, value)
    item.save()


def test_what_comes_up_is_told_in_account_and_mail(item, owner) -> None:
    raise_reminders(now=NOON)

    reminder = Reminder.objects.get()
    assert (reminder.item, reminder.cycle, reminder.stage) == (item, 1, Stage.NEAR)
    assert reminder.person == owner
    assert reminder.raised_at == NOON
    mail = Mail.objects.get()
    assert reminder.mail == mail
    assert (mail.kind, mail.state, mail.person) == (MailKind.REMINDER, MailState.WAITING, owner)
    assert mail.to == owner.email


@pytest.mark.parametrize("state", [DueState.AHEAD, DueState.RESTING])
def test_what_is_ahead_or_rests_is_not_told(unit, state) -> None:
    make_item(unit, state=state)

    raise_reminders(now=NOON)

    assert not Reminder.objects.exists()
    assert not Mail.objects.exists()


def test_what_is_no_longer_on_the_plan_is_not_told(unit) -> None:
    make_item(unit, in_force=False)

    raise_reminders(now=NOON)

    assert not Reminder.objects.exists()


def test_a_second_run_tells_nothing_twice(item) -> None:
    raise_reminders(now=NOON)
    raise_reminders(now=NOON + timedelta(hours=1))
    raise_reminders(now=NOON + timedelta(days=400))

    assert stages() == ["near"]
    assert Mail.objects.count() == 1


def test_each_stage_is_told_once_a_cycle(item) -> None:
    for state in (DueState.NEAR, DueState.DUE, DueState.DUE, DueState.LATE, DueState.LATE):
        move(item, state)
        raise_reminders(now=NOON)

    assert stages() == ["near", "due", "late"]


def test_a_stage_that_was_passed_is_not_told_afterwards(item) -> None:
    """A reading put in late moves an item back; what was said stays said."""
    for state in (DueState.LATE, DueState.NEAR, DueState.DUE, DueState.AHEAD, DueState.NEAR):
        move(item, state)
        raise_reminders(now=NOON)

    assert stages() == ["late"]


def test_the_next_cycle_begins_anew(item) -> None:
    move(item, DueState.LATE)
    raise_reminders(now=NOON)
    move(item, DueState.NEAR, cycle=2)
    raise_reminders(now=NOON)

    assert list(Reminder.objects.order_by("pk").values_list("cycle", "stage")) == [
        (1, "late"),
        (2, "near"),
    ]


def test_one_mail_carries_all_of_an_owners_items(unit, owner, design, make_owner) -> None:
    make_item(unit, WorkKind.OIL_CHANGE)
    make_item(unit, WorkKind.SEAL_WEEP, DueState.LATE)
    other = make_owner("Other One", WorkKind.OIL_CHANGE, WorkKind.PIPE_CHECK)

    raise_reminders(now=NOON)

    mails = {mail.person: mail for mail in Mail.objects.all()}
    assert set(mails) == {owner, other}
    assert mails[owner].reminders.count() == 2
    assert mails[other].reminders.count() == 2


def test_by_day_a_mail_may_go_at_once(item) -> None:
    raise_reminders(now=NOON)

    assert Mail.objects.get().next_try_at == NOON


def test_by_night_a_mail_waits_for_the_morning_where_its_owner_lives(item, owner) -> None:
    raise_reminders(now=NIGHT)

    # 07:00 in London in May is 06:00 UTC
    assert Mail.objects.get().next_try_at == datetime(2024, 5, 15, 6, 0, tzinfo=UTC)


def test_what_comes_up_in_one_night_goes_in_one_mail(unit) -> None:
    make_item(unit, WorkKind.OIL_CHANGE)
    raise_reminders(now=NIGHT)
    make_item(unit, WorkKind.PIPE_CHECK)
    raise_reminders(now=NIGHT + timedelta(hours=1))

    assert Mail.objects.get().reminders.count() == 2


@pytest.mark.parametrize(
    "fields",
    [
        {"state": MailState.SENT},
        {"held_until": NOON},
        {"attempts": 1},
        {"kind": MailKind.ANSWER},
    ],
)
def test_a_mail_that_is_on_its_way_takes_nothing_more(unit, fields) -> None:
    make_item(unit, WorkKind.OIL_CHANGE)
    raise_reminders(now=NIGHT)
    Mail.objects.update(**fields)
    make_item(unit, WorkKind.PIPE_CHECK)

    raise_reminders(now=NIGHT)

    assert Mail.objects.count() == 2
    assert [mail.reminders.count() for mail in Mail.objects.all()] == [1, 1]


def test_who_wants_no_mail_is_told_in_the_account(item, owner) -> None:
    NoticePreference.objects.create(person=owner, reminders_by_mail=False)

    raise_reminders(now=NOON)

    assert Reminder.objects.get().mail is None
    assert not Mail.objects.exists()


def test_an_address_that_takes_no_mail_gets_none_until_it_is_another(item, owner) -> None:
    NoticePreference.objects.create(person=owner, refused_address=owner.email)
    raise_reminders(now=NOON)
    assert Reminder.objects.get().mail is None

    owner.email = "orla@elsewhere.example"
    owner.save()
    move(item, DueState.DUE)
    raise_reminders(now=NOON)

    assert Mail.objects.get().to == "orla@elsewhere.example"


def test_who_has_left_is_not_told(item, owner) -> None:
    owner.is_active = False
    owner.save()

    raise_reminders(now=NOON)

    assert not Reminder.objects.exists()


def test_a_unit_without_an_owner_reminds_nobody(item) -> None:
    item.unit.owner = None
    item.unit.save()

    raise_reminders(now=NOON)

    assert not Reminder.objects.exists()


def test_while_a_car_is_laid_up_only_the_lay_ups_own_work_is_told(unit, car) -> None:
    """Asked for here too: the plan of the night may be older than the lay-up."""
    LayUp.objects.create(car=car, from_date=NOON.date() - timedelta(days=1))
    for work in WorkKind:
        make_item(unit, work)

    raise_reminders(now=NOON)

    told = set(Reminder.objects.values_list("item__work", flat=True))
    assert told == {WorkKind.COOLANT_STRENGTH, WorkKind.LAY_UP_OIL, WorkKind.PUT_RIGHT}


@pytest.mark.parametrize(
    ("from_date", "until_date"),
    [(date(2024, 5, 16), None), (date(2023, 10, 1), date(2024, 4, 1))],
    ids=["not yet", "no longer"],
)
def test_a_lay_up_that_does_not_hold_today_keeps_nothing_back(
    item, car, from_date, until_date
) -> None:
    LayUp.objects.create(car=car, from_date=from_date, until_date=until_date)

    raise_reminders(now=NOON)

    assert Reminder.objects.count() == 1


def test_the_lay_up_of_a_car_that_it_has_left_keeps_nothing_back(item, car) -> None:
    LayUp.objects.create(car=car, from_date=date(2024, 1, 1))
    item.unit.fittings.update(until_date=date(2024, 3, 1))

    raise_reminders(now=NOON)

    assert Reminder.objects.count() == 1


def test_a_new_owner_is_told_anew(item, second_owner) -> None:
    raise_reminders(now=NOON)
    item.unit.owner = second_owner
    item.unit.save()

    raise_reminders(now=NOON)

    assert Reminder.objects.filter(person=second_owner).count() == 1


def test_chunks_together_tell_everybody(make_owner) -> None:
    for number in range(5):
        make_owner(f"Owner {number}", WorkKind.OIL_CHANGE)

    raised = raise_reminders(now=NOON, people_at_once=2)

    assert (raised.reminders, raised.mails) == (5, 5)
    assert Reminder.objects.count() == Mail.objects.count() == 5


@pytest.mark.parametrize("works", [[WorkKind.OIL_CHANGE], list(WorkKind)])
def test_a_chunk_takes_the_same_number_of_queries_however_many_are_told(make_owner, works) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as caught:
            raise_reminders(now=NOON)
        return len(caught)

    make_owner("The First", *works)
    one = queries()
    for number in range(3):
        make_owner(f"Owner {number}", *works)

    assert queries() == one


@pytest.mark.django_db(transaction=True)
def test_killed_between_reminder_and_mail_leaves_neither(item, monkeypatch) -> None:
    class Killed(BaseException):
        pass

    def kill(*args: object, **kwargs: object) -> None:
        raise Killed

    with monkeypatch.context() as patch:
        patch.setattr(reminders, "send_soon", kill)
        with pytest.raises(Killed):
            raise_reminders(now=NOON)
    assert not Reminder.objects.exists()
    assert not Mail.objects.exists()

    raise_reminders(now=NOON)
    assert Reminder.objects.count() == Mail.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_killed_between_two_chunks_the_next_run_does_the_rest(make_owner, monkeypatch) -> None:
    for number in range(4):
        make_owner(f"Owner {number}", WorkKind.OIL_CHANGE)

    class Killed(BaseException):
        pass

    chunks: list[int] = []

    def kill_the_second() -> None:
        chunks.append(1)
        if len(chunks) == 2:
            raise Killed

    with monkeypatch.context() as patch:
        patch.setattr(reminders, "send_soon", kill_the_second)
        with pytest.raises(Killed):
            raise_reminders(now=NOON, people_at_once=2)
    assert Reminder.objects.count() == Mail.objects.count() == 2

    raise_reminders(now=NOON, people_at_once=2)
    assert Reminder.objects.count() == Mail.objects.count() == 4


def test_a_mail_tells_exactly_what_this_run_wrote(unit, owner, monkeypatch) -> None:
    """Another run writes between our look at the plan and our writing: it has its own mail."""
    first = make_item(unit, WorkKind.OIL_CHANGE)
    second = make_item(unit, WorkKind.PIPE_CHECK)
    real = mailing.mails_that_wait

    def while_another_run_tells_the_first(people, kind):
        mails = real(people, kind)
        other = Mail.objects.create(
            key="other", kind=MailKind.REMINDER, person=owner, to=owner.email, message_id="<o@x>"
        )
        Reminder.objects.create(item=first, cycle=1, stage=Stage.NEAR, person=owner, mail=other)
        return mails

    monkeypatch.setattr(mailing, "mails_that_wait", while_another_run_tells_the_first)
    raise_reminders(now=NOON)

    told = {
        mail.key == "other": [r.item for r in mail.reminders.all()] for mail in Mail.objects.all()
    }
    assert told == {True: [first], False: [second]}


def test_no_empty_mail_is_left_when_another_run_told_it_all(item, owner, monkeypatch) -> None:
    real = mailing.mails_that_wait

    def while_another_run_tells_it(people, kind):
        Reminder.objects.create(item=item, cycle=1, stage=Stage.NEAR, person=owner)
        return real(people, kind)

    monkeypatch.setattr(mailing, "mails_that_wait", while_another_run_tells_it)
    raised = raise_reminders(now=NOON)

    assert raised.mails == 0
    assert not Mail.objects.exists()
    assert Reminder.objects.count() == 1
