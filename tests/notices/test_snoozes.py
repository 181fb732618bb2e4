"""Putting a reminder off: with a reason, to an end, and never past what may cost the unit."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.urls import reverse

from advisory.common.errors import NotAllowed, Refused
from advisory.findings.enums import Judgement
from advisory.findings.models import Finding
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.actions.snoozes import lift_snooze, snooze_item
from advisory.notices.enums import SnoozeReason
from advisory.notices.letters import Withheld, letter_for
from advisory.notices.models import Mail, Reminder, Snooze
from advisory.notices.queries import snooze_of
from advisory.notices.snoozing import latest_day
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.register.enums import WorkKind
from advisory.usage.actions import record_reading
from tests.notices.conftest import NOON, make_item

pytestmark = pytest.mark.django_db
TODAY = NOON.date()


@pytest.fixture(autouse=True)
def at_noon():
    with time_machine.travel(NOON, tick=False) as clock:
        yield clock


def put_off(item, by, days: int | None = 10, **fields) -> Snooze:
    until = None if days is None else TODAY + timedelta(days=days)
    snooze = snooze_item(item=item, by=by, reason=SnoozeReason.PARTS, **{"until": until} | fields)
    assert snooze is not None
    return snooze


def told(at: datetime) -> list[str]:
    before = set(Reminder.objects.values_list("pk", flat=True))
    raise_reminders(now=at)
    return [row.stage for row in Reminder.objects.exclude(pk__in=before).order_by("pk")]


@pytest.mark.parametrize(
    ("state", "expected", "stop_matter", "latest"),
    [
        (DueState.NEAR, TODAY + timedelta(9), False, TODAY + timedelta(60)),
        (DueState.DUE, TODAY, False, TODAY + timedelta(28)),
        (DueState.LATE, TODAY - timedelta(30), False, TODAY + timedelta(28)),
        (DueState.NEAR, TODAY + timedelta(9), True, TODAY + timedelta(9)),
        (DueState.AHEAD, TODAY + timedelta(200), True, TODAY + timedelta(60)),
        (DueState.NEAR, TODAY, True, None),
        (DueState.NEAR, None, True, None),
        (DueState.DUE, TODAY + timedelta(9), True, None),
        (DueState.LATE, TODAY - timedelta(30), True, None),
    ],
)
def test_how_long_it_may_be_put_off(state, expected, stop_matter, latest) -> None:
    assert (
        latest_day(state=state, expected=expected, stop_matter=stop_matter, today=TODAY) == latest
    )


def test_nothing_is_said_until_it_ends_and_then_it_is_said_again(item, owner) -> None:
    assert told(NOON) == ["near"]
    put_off(item, owner, 10)

    assert told(NOON + timedelta(days=9)) == []
    # midnight of the tenth day in London is 23:00 UTC of the ninth
    assert told(datetime(2024, 5, 24, 22, 59, tzinfo=UTC)) == []
    assert told(datetime(2024, 5, 24, 23, 0, tzinfo=UTC)) == ["near"]
    assert told(NOON + timedelta(days=11)) == []


def test_what_fell_due_meanwhile_is_said_as_due(item, owner) -> None:
    told(NOON)
    put_off(item, owner, 28)
    item.state = DueState.DUE
    item.save()

    assert told(NOON + timedelta(days=20)) == []
    assert told(NOON + timedelta(days=28)) == ["due"]


def test_the_next_reading_ends_it_sooner(item, owner, car, at_noon) -> None:
    told(NOON)
    put_off(item, owner, None, until_reading=True)
    at_noon.shift(timedelta(days=3))
    assert told(NOON + timedelta(days=3)) == []

    record_reading(car=car, date=TODAY + timedelta(days=3), shown=42_000, by=owner)

    assert told(NOON + timedelta(days=3)) == ["near"]


def test_a_reading_ends_none_that_did_not_ask_for_it(item, owner, car, at_noon) -> None:
    told(NOON)
    put_off(item, owner, 10)
    at_noon.shift(timedelta(days=3))
    record_reading(car=car, date=TODAY + timedelta(days=3), shown=42_000, by=owner)

    assert told(NOON + timedelta(days=3)) == []


def test_a_mail_that_waits_leaves_out_what_was_put_off(item, owner) -> None:
    raise_reminders(now=NOON)
    put_off(item, owner)

    assert isinstance(letter_for(Mail.objects.get(), NOON), Withheld)


def test_another_cycle_is_not_held_back(item, owner) -> None:
    put_off(item, owner, 28)
    item.cycle = 2
    item.save()

    assert told(NOON + timedelta(days=1)) == ["near"]


def test_taken_back_it_goes_on_as_if_it_had_not_been(item, owner) -> None:
    told(NOON)
    lift_snooze(snooze=put_off(item, owner), by=owner)

    assert told(NOON + timedelta(hours=1)) == []  # that stage was told already
    item.state = DueState.DUE
    item.save()
    assert told(NOON + timedelta(hours=2)) == ["due"]


def test_the_same_again_changes_nothing_and_another_takes_its_place(item, owner) -> None:
    first = put_off(item, owner, 10)
    assert put_off(item, owner, 10) == first

    second = put_off(item, owner, 20)

    first.refresh_from_db()
    assert first.lifted_at is not None
    assert snooze_of(item, owner) == second


@pytest.mark.parametrize("days", [0, -1, 61])
def test_a_day_that_is_past_or_too_far_is_refused(item, owner, days) -> None:
    with pytest.raises(Refused):
        put_off(item, owner, days)
    assert not Snooze.objects.exists()


def test_what_may_cost_the_unit_is_not_put_off_past_its_day(unit, owner) -> None:
    pipe = make_item(unit, WorkKind.PIPE_CHECK)  # expected on 1 June
    with pytest.raises(Refused, match="1 June 2024"):
        put_off(pipe, owner, 18)
    put_off(pipe, owner, 17)

    pipe.state = DueState.DUE
    pipe.save()
    with pytest.raises(Refused, match="can't be put off"):
        put_off(pipe, owner, 3)


def test_nothing_is_put_off_past_its_day_while_a_figure_says_stop(item, unit, owner) -> None:
    Finding.objects.create(
        unit=unit,
        seen_on=TODAY,
        text="Float",
        position=unit.design.positions.first(),
        quantity="end_float",
        value=1e-3,
        judgement=Judgement.STOP,
        reported_by=owner,
    )
    with pytest.raises(Refused, match="1 June 2024"):
        put_off(item, owner, 18)


@pytest.mark.parametrize("who", ["stranger", "fitter", "second_owner"])
def test_nobody_else_puts_it_off_or_takes_it_back(item, owner, consent, request, who) -> None:
    with pytest.raises(NotAllowed):
        put_off(item, request.getfixturevalue(who))
    with pytest.raises(NotAllowed):
        lift_snooze(snooze=put_off(item, owner), by=request.getfixturevalue(who))


def test_a_reason_is_asked_for(item, owner) -> None:
    with pytest.raises(Refused) as refused:
        snooze_item(item=item, by=owner, reason="", until=TODAY + timedelta(days=3))
    assert refused.value.field == "reason"


def test_on_its_page_it_says_until_when_and_why(client, item, owner) -> None:
    client.force_login(owner)
    at = reverse("notices:later", args=[item.unit_id, item.work])
    page = client.get(at).text
    assert "no leave to run on" in page
    assert "14 July 2024" in page  # the last day to which it may be put off

    failed = client.post(at, {"until": "2024-07-15", "note": "the rings"})
    assert failed.status_code == 422
    assert "the rings" in failed.text
    kept = client.post(at, {"reason": "parts", "until": "2024-05-30", "note": "rings"}, follow=True)

    assert "Put off until 30 May 2024" in kept.text
    assert "Waiting for parts or oil" in kept.text
    snooze = Snooze.objects.get()
    client.post(reverse("notices:lift", args=[snooze.pk]))
    snooze.refresh_from_db()
    assert snooze.lifted_at is not None


def test_plan_and_first_page_say_until_when_it_is_put_off(client, item, owner) -> None:
    pages = (reverse("home"), reverse("plans:unit", args=[item.unit_id]))
    client.force_login(owner)
    for page in pages:
        assert "Put off until" not in client.get(page).text
    put_off(item, owner, 10)
    for page in pages:
        assert client.get(page).text.count("Put off until 25 May 2024") == 1
    PlanItem.objects.filter(pk=item.pk).update(cycle=item.cycle + 1)
    for page in pages:
        assert "Put off until" not in client.get(page).text


def test_later_is_offered_only_where_it_may_be(client, unit, item, owner) -> None:
    pipe = make_item(unit, work=WorkKind.PIPE_CHECK, state=DueState.LATE)
    client.force_login(owner)
    for one, offered in ((item, True), (pipe, False)):
        page = client.get(reverse("plans:item", args=[unit.pk, one.work])).text
        assert (reverse("notices:later", args=[unit.pk, one.work]) in page) is offered
