"""Units that need a word: why they stand there, what is done about them, once, and who sees it."""

import threading
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.core import mail as outgoing
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from advisory.common.errors import NotAllowed, Refused
from advisory.common.models import AuditEntry
from advisory.findings.enums import FindingState, Judgement, Said
from advisory.findings.models import Answer, AnsweringAim, Finding, Measuring
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.preferences import preference_of
from advisory.notices.enums import FollowReason, MailState
from advisory.notices.masthead import masthead_of
from advisory.notices.models import FollowUp, Mail
from advisory.people.actions import withdraw_consent
from advisory.people.clock import today_of
from advisory.people.models import Consent, Organisation, Person
from advisory.plans.enums import CountedFrom, DueBy, DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.register.actions import NewOwner, claim_unit, offer_unit
from advisory.register.claim_code import code_from
from advisory.register.enums import WorkKind
from advisory.register.models import Unit
from advisory.reports.actions import log_call, set_aside, write_to_owner
from advisory.reports.follow_up.listed import FollowList, follow_list
from advisory.usage.models import Reading
from tests.cast import make_build, make_consent, make_person, make_unit

DAY = timedelta(days=1)
R = FollowReason


@pytest.fixture(autouse=True)
def at_noon() -> Iterator[None]:
    """Let it be noon in spring: no mail goes at night."""
    with time_machine.travel(datetime(2026, 5, 13, 11, 0, tzinfo=UTC), tick=True):
        yield


def today() -> date:
    return today_of(None)


def item(unit: Unit, state: DueState, **fields: Any) -> PlanItem:
    usual = {"work": WorkKind.OIL_CHANGE, "anchor_date": date(2023, 6, 1), "cycle": 3}
    return PlanItem.objects.create(unit=unit, state=state, **(usual | fields))


def late_again(unit: Unit) -> PlanItem:
    """Let an oil change be overdue that was late the time before."""
    WorkDone.objects.create(
        unit=unit, work=WorkKind.OIL_CHANGE, cycle=2, date=today() - 40 * DAY, in_time=False
    )
    return item(unit, DueState.LATE, due_date=today() - 9 * DAY)


@pytest.fixture
def alive(whole_unit: Unit) -> Unit:
    """The whole unit, with a reading of last week."""
    car = whole_unit.fittings.get().car
    Reading.objects.create(odometer=car.odometers.get(), date=today() - 7 * DAY, shown=43_000)
    return whole_unit


@pytest.fixture
def listed(workshop: Organisation, fitter: Person) -> Callable[[], FollowList]:
    return lambda: follow_list(workshop, fitter, today())


def reasons(found: FollowList) -> list[R]:
    return [reason.standing.reason for needs in found.now for reason in needs.reasons]


# Why it stands there ------------------------------------------------------------------------------


def running_in(unit: Unit) -> None:
    item(unit, DueState.NEAR, limited_by=DueBy.RUNNING_IN)


def first_change(unit: Unit) -> None:
    item(unit, DueState.LATE, counted_from=CountedFrom.BUILD, limited_by=DueBy.RUNNING_IN)


def overdue_once(unit: Unit) -> None:
    item(unit, DueState.LATE)


def wear(unit: Unit) -> None:
    item(unit, DueState.DUE, work=WorkKind.CLEARANCES, limited_by=DueBy.WEAR)


def measured(unit: Unit, judgement: Judgement, ago: int) -> None:
    row = Measuring.objects.create(unit=unit, measured_on=today() - ago * DAY)
    row.values.create(
        position=unit.design.positions.get(name="Front bearing"),
        quantity="running_clearance",
        value=8e-5,
        judgement=judgement,
    )


def watched(unit: Unit) -> None:
    measured(unit, Judgement.WATCH, 20)


def watched_then_good(unit: Unit) -> None:
    watched(unit)
    measured(unit, Judgement.GOOD, 10)


def watched_then_rebuilt(unit: Unit) -> None:
    watched(unit)
    make_build(unit, unit.builds.first().signed_by, built_on=today() - 5 * DAY)


def sent(unit: Unit, ago: int) -> None:
    Finding.objects.create(
        unit=unit,
        seen_on=today() - ago * DAY,
        text="It weeps",
        state=FindingState.SENT,
        sent_at=timezone.now() - ago * DAY,
    )


def waits(unit: Unit) -> None:
    sent(unit, 9)


def just_sent(unit: Unit) -> None:
    sent(unit, 2)


def owner_wrote_back(unit: Unit) -> None:
    """Something was said to it since: it waits from then on."""
    waits(unit)
    Answer.objects.create(
        finding=Finding.objects.get(), kind=Said.WRITTEN, text="More", at=timezone.now() - 2 * DAY
    )


def within_its_aim(unit: Unit) -> None:
    AnsweringAim.objects.create(workshop=unit.workshop, days=10)
    waits(unit)


def past_its_aim(unit: Unit) -> None:
    AnsweringAim.objects.create(workshop=unit.workshop, days=1)
    just_sent(unit)


def said_to_owner(unit: Unit, state: FindingState, ago: int) -> Answer:
    sent(unit, 20)
    Finding.objects.update(state=state)
    return Answer.objects.create(
        finding=Finding.objects.get(), text="How far?", at=timezone.now() - ago * DAY
    )


def asked(unit: Unit) -> None:
    said_to_owner(unit, FindingState.QUESTION, 9)


def asked_just_now(unit: Unit) -> None:
    said_to_owner(unit, FindingState.QUESTION, 3)


def told(unit: Unit) -> None:
    said_to_owner(unit, FindingState.ANSWERED, 9)


def offered(unit: Unit) -> None:
    answer = said_to_owner(unit, FindingState.ANSWERED, 9)
    answer.ways.create(
        finding=answer.finding, text="A new seal", part="made", currency="GBP", days=2
    )


def silent(unit: Unit) -> None:
    Reading.objects.all().delete()
    Unit.objects.filter(pk=unit.pk).update(created_at=datetime(2023, 4, 1, tzinfo=UTC))


@pytest.mark.parametrize(
    ("happen", "expected"),
    [
        (running_in, [R.RUNNING_IN]),
        (first_change, [R.FIRST_CHANGE]),
        (late_again, [R.OVERDUE_TWICE]),
        (overdue_once, []),
        (wear, [R.DRIFTING]),
        (watched, [R.DRIFTING]),
        (watched_then_good, []),
        (watched_then_rebuilt, []),
        (waits, [R.WAITING]),
        (just_sent, []),
        (owner_wrote_back, []),
        (within_its_aim, []),
        (past_its_aim, [R.WAITING]),
        (asked, [R.UNANSWERED]),
        (asked_just_now, []),
        (told, []),
        (offered, [R.UNANSWERED]),
        (silent, [R.SILENT]),
    ],
    ids=lambda each: getattr(each, "__name__", ""),
)
def test_unit_stands_there_for_its_reason(
    happen: Callable[[Unit], None], expected: list[R], alive: Unit, listed: Any
) -> None:
    happen(alive)
    assert reasons(listed()) == expected


def test_silence_counts_from_the_last_sign_and_not_from_what_the_owner_kept(
    alive: Unit, listed: Any
) -> None:
    silent(alive)
    Finding.objects.create(unit=alive, seen_on=today() - 3 * DAY, text="For me alone")
    (needs,) = listed().now
    assert needs.reasons[0].standing.since == date(2023, 4, 1)  # when it was fitted
    alive.oil_services.create(date=today() - 300 * DAY, kind="change")
    assert listed().now == []


# What is done about it ----------------------------------------------------------------------------


@pytest.fixture
def late(alive: Unit) -> Unit:
    late_again(alive)
    return alive


def test_one_letter_goes_whoever_taps_and_the_unit_rests(
    late: Unit, fitter: Person, manager: Person, owner: Person, listed: Any
) -> None:
    assert len(write_to_owner(unit=late, by=fitter)) == 1
    assert write_to_owner(unit=late, by=manager) == []

    assert listed().now == []
    assert [needs.unit for needs in listed().resting] == [late.pk]
    mail = Mail.objects.get()
    assert mail.person == owner
    Mail.objects.update(next_try_at=timezone.now() - DAY)
    deliver_waiting()
    (letter,) = outgoing.outbox
    assert "Oil change is overdue again" in letter.body
    assert letter.extra_headers["Reply-To"] == "bench@sallowlane.example"
    assert AuditEntry.objects.filter(action="write_to_owner", by=fitter).count() == 1
    assert masthead_of(owner).unread == 1
    # after a while without anything done it stands there again, and no second letter goes
    FollowUp.objects.update(raised_at=timezone.now() - 15 * DAY)
    (needs,) = listed().now
    assert not needs.to_write


def test_what_comes_new_is_written_of_by_itself(late: Unit, fitter: Person, listed: Any) -> None:
    write_to_owner(unit=late, by=fitter)
    watched(late)
    (needs,) = listed().now
    assert needs.to_write
    (row,) = write_to_owner(unit=late, by=fitter)
    assert row.reason == R.DRIFTING


@pytest.mark.parametrize("why", ["done", "withdrawn", "unwanted"])
def test_letter_that_no_longer_holds_is_held_back(
    why: str, late: Unit, fitter: Person, owner: Person, consent: Consent
) -> None:
    write_to_owner(unit=late, by=fitter)
    if why == "done":
        PlanItem.objects.update(state=DueState.AHEAD)
    elif why == "withdrawn":
        withdraw_consent(consent=consent, by=owner)
    else:
        type(preference_of(owner)).objects.filter(person=owner).update(findings_by_mail=False)
    Mail.objects.update(next_try_at=timezone.now() - DAY)
    deliver_waiting()
    assert outgoing.outbox == []
    assert Mail.objects.get().state == MailState.HELD


def test_owner_who_wants_no_mail_is_called_instead(
    late: Unit, fitter: Person, owner: Person, listed: Any
) -> None:
    preference = preference_of(owner)
    preference.findings_by_mail = False
    preference.save()
    with pytest.raises(Refused, match="Call instead"):
        write_to_owner(unit=late, by=fitter)
    assert not FollowUp.objects.exists()
    for _twice in range(2):
        log_call(unit=late, by=fitter, note="Comes  on Friday", client_key="k")
    assert [row.note for row in FollowUp.objects.all()] == ["Comes on Friday"]
    assert listed().now == []


def test_set_aside_until_a_day(late: Unit, fitter: Person, listed: Any) -> None:
    for wrong in (today(), today() + 500 * DAY):
        with pytest.raises(Refused) as refused:
            set_aside(unit=late, by=fitter, until=wrong)
        assert refused.value.field == "until"
    set_aside(unit=late, by=fitter, until=today() + 40 * DAY)
    assert listed().now == []
    assert listed().resting[0].rests_until == today() + 40 * DAY
    # the newest word counts
    set_aside(unit=late, by=fitter, until=today() + 2 * DAY)
    assert listed().resting[0].rests_until == today() + 2 * DAY


def test_finding_that_waits_is_answered_there(alive: Unit, fitter: Person) -> None:
    waits(alive)
    with pytest.raises(Refused, match="answer there"):
        write_to_owner(unit=alive, by=fitter)


@pytest.mark.parametrize("who", ["owner", "other_fitter", "officer", "stranger"])
def test_nobody_else_acts_or_finds_it(
    who: str, late: Unit, workshop: Organisation, client: Client, request: pytest.FixtureRequest
) -> None:
    person = request.getfixturevalue(who)
    for act in (
        lambda: write_to_owner(unit=late, by=person),
        lambda: log_call(unit=late, by=person),
        lambda: set_aside(unit=late, by=person, until=today() + DAY),
    ):
        with pytest.raises(NotAllowed):
            act()
    client.force_login(person)
    assert client.get(reverse("reports:follow_up", args=[workshop.pk])).status_code == 404
    page = reverse("reports:follow_up_unit", args=[late.pk])
    assert client.get(page).status_code == 404
    assert client.post(page, {"do": "write"}).status_code == 404
    assert client.get(f"/api/v1/workshops/{workshop.pk}/follow-up/").status_code == 404
    answer = client.post(f"/api/v1/units/{late.pk}/follow-up/", {"do": "write"})
    assert answer.status_code == 404
    assert not FollowUp.objects.exists()


def test_consent_withdrawn_shows_nothing(
    late: Unit, fitter: Person, owner: Person, consent: Consent, client: Client, listed: Any
) -> None:
    log_call(unit=late, by=fitter, note="Was away")
    withdraw_consent(consent=consent, by=owner)
    assert (listed().now, listed().resting) == ([], [])
    client.force_login(fitter)
    assert client.get(reverse("reports:follow_up_unit", args=[late.pk])).status_code == 404
    assert client.get("/api/v1/follow-ups/").json()["count"] == 0
    client.force_login(owner)
    assert client.get("/api/v1/follow-ups/").json()["count"] == 1


def test_sale_takes_away_what_was_said(
    late: Unit, fitter: Person, owner: Person, second_owner: Person
) -> None:
    write_to_owner(unit=late, by=fitter)
    offer = offer_unit(unit=late, by=owner)
    claim_unit(code=code_from(offer.nonce), by=second_owner, new=NewOwner())
    assert not FollowUp.objects.exists()
    Mail.objects.update(next_try_at=timezone.now() - DAY)
    deliver_waiting()
    assert not [letter for letter in outgoing.outbox if "a word about" in letter.subject]


# Pages and API ------------------------------------------------------------------------------------


def test_page_takes_a_tap_and_keeps_what_was_typed(
    late: Unit, workshop: Organisation, fitter: Person, client: Client
) -> None:
    client.force_login(fitter)
    address = reverse("reports:follow_up", args=[workshop.pk])
    assert "1 unit needs a word" in client.get(address).content.decode()
    page = reverse("reports:follow_up_unit", args=[late.pk])
    wrong = client.post(page, {"do": "aside", "until": "soon", "note": "Asked for parts"})
    assert wrong.status_code == 422
    said = wrong.content.decode()
    assert "Asked for parts" in said
    assert "soon" in said
    assert client.post(page, {"do": "write"}).status_code == 302
    assert (
        "nothing is sent twice" in client.post(page, {"do": "write"}, follow=True).content.decode()
    )
    assert "No unit needs a word now" in client.get(address).content.decode()
    assert str(late) in client.get(address, {"resting": "on"}).content.decode()
    assert Mail.objects.count() == 1


def test_api_lists_and_does(
    late: Unit, workshop: Organisation, fitter: Person, client: Client
) -> None:
    client.force_login(fitter)
    address = f"/api/v1/workshops/{workshop.pk}/follow-up/"
    (row,) = client.get(address).json()["results"]
    assert (row["unit"], row["reasons"][0]["reason"]) == (late.pk, "overdue_twice")
    act = f"/api/v1/units/{late.pk}/follow-up/"
    assert client.post(act, {"do": "aside"}).status_code == 400
    assert client.post(act, {"do": "aside", "until": today().isoformat()}).status_code == 422
    (done,) = client.post(act, {"do": "write"}).json()
    assert done["kind"] == "letter"
    assert client.post(act, {"do": "write"}).json() == []
    assert client.get(address).json()["count"] == 0
    assert client.get(address, {"resting": "true"}).json()["count"] == 1


def test_list_takes_the_same_number_of_queries(
    late: Unit,
    workshop: Organisation,
    fitter: Person,
    client: Client,
    django_assert_max_num_queries: Callable[..., Any],
) -> None:
    client.force_login(fitter)
    address = reverse("reports:follow_up", args=[workshop.pk])

    def queries() -> int:
        with django_assert_max_num_queries(30) as asked:
            assert client.get(address).status_code == 200
        return len(asked)

    before = queries()
    for number in range(3):
        owner = make_person(f"Owner {number}")
        make_consent(owner, workshop, "records")
        unit = make_unit(owner, late.design, serial=f"X{number}")
        late_again(unit)
        watched(unit)
        log_call(unit=unit, by=fitter, note="Away")
        FollowUp.objects.update(raised_at=timezone.now() - 20 * DAY)
    assert queries() == before


@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite lets one write at a time")
@pytest.mark.django_db(transaction=True)
def test_two_fitters_at_once_write_once(late: Unit, fitter: Person, manager: Person) -> None:
    def tap(by: Person) -> None:
        try:
            write_to_owner(unit=Unit.objects.get(pk=late.pk), by=by)
        finally:
            connection.close()

    threads = [threading.Thread(target=tap, args=(by,)) for by in (fitter, manager)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert Mail.objects.count() == FollowUp.objects.count() == 1
