"""The course of a finding: question, measurement, instruction, ways, agreement, closing."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.common.models import AuditEntry
from advisory.findings.actions import (
    Measure,
    Offer,
    answer_finding,
    bring_measurement,
    close_finding,
    pick_way,
    report_finding,
    set_answering_aim,
    write_back,
)
from advisory.findings.enums import (
    Cause,
    Currency,
    FindingState,
    Instruction,
    Judgement,
    PartOrigin,
    Said,
    Urgency,
)
from advisory.findings.models import Answer, AnsweringAim, Finding, Measuring, Way
from advisory.findings.queries import LATE, TURN, came_back, inbox, waiting_for_owner
from advisory.findings.signals import way_picked
from advisory.findings.urgency import urgency_of
from advisory.people.enums import ConsentScope
from advisory.people.models import Consent, Organisation, Person
from advisory.plans.actions import refresh_plan
from advisory.plans.models import PlanItem
from advisory.plans.queries import halts_of
from advisory.register.enums import WorkKind
from advisory.register.models import Position, Unit
from advisory.register.signals import unit_passed_on
from tests.cast import make_consent
from tests.findings.conftest import SEEN_ON
from tests.findings.pictures import jpeg

pytestmark = pytest.mark.django_db

MM = 1e-3
NEW_WASHER = Offer(
    text="New washer, thrust face ground",
    part=PartOrigin.MADE,
    price=Decimal("380.50"),
    currency=Currency.GBP,
    days=5,
)
USED_WASHER = Offer(
    text="Washer from a donor unit",
    part=PartOrigin.DONOR,
    price=Decimal(120),
    currency=Currency.GBP,
    days=2,
)


@pytest.fixture
def washer(whole_unit: Unit) -> Position:
    return whole_unit.design.positions.get(name="Floating thrust washer")


@pytest.fixture
def bearing(whole_unit: Unit) -> Position:
    return whole_unit.design.positions.get(name="Front bearing")


@pytest.fixture
def heard(whole_unit: Unit, owner: Person) -> Finding:
    """A finding without a figure, sent."""
    return report_finding(unit=whole_unit, by=owner, text="It ticks.", seen_on=SEEN_ON)


def work_of(unit: Unit) -> dict[str, PlanItem]:
    refresh_plan(unit=unit)
    return {item.work: item for item in PlanItem.objects.filter(unit=unit)}


def codes(item: PlanItem) -> set[str]:
    return {reason["code"] for reason in item.reasons}


def test_a_question_for_a_measurement_is_answered_with_a_value_that_is_judged(
    heard, bearing, owner, fitter
) -> None:
    measure = Measure(position=bearing, how="Plastic strip, cold.")
    answer = answer_finding(finding=heard, text="How wide is it?", by=fitter, measure=measure)
    assert (answer.kind, heard.state) == (Said.QUESTION, FindingState.QUESTION)
    assert heard.owners_turn

    brought = bring_measurement(
        asked=answer.asked, by=owner, value=0.2 * MM, as_typed="0.2 mm", measured_on=SEEN_ON
    )
    twice = bring_measurement(
        asked=answer.asked, by=owner, value=0.1 * MM, as_typed="0.1 mm", measured_on=SEEN_ON
    )

    assert twice == brought
    assert heard.state == FindingState.SENT
    value = brought.measured.value
    assert (value.judgement, value.value) == (Judgement.STOP, pytest.approx(0.2 * MM))
    assert Finding.objects.count() == 1  # it belongs to this matter, and makes no other
    assert Measuring.objects.get().measured_on == SEEN_ON
    [halt] = halts_of([heard.unit], owner)[heard.unit_id]
    assert (halt.finding, halt.stop, halt.standing.as_typed) == (heard, True, "0.2 mm")


def test_a_good_value_takes_back_what_stood_at_its_place(finding, washer, owner, fitter) -> None:
    answer = answer_finding(
        finding=finding, text="Once more, please.", by=fitter, measure=Measure(position=washer)
    )
    assert halts_of([finding.unit], owner)

    bring_measurement(
        asked=answer.asked, by=owner, value=0.15 * MM, as_typed="0.15 mm", measured_on=SEEN_ON
    )

    assert not halts_of([finding.unit], owner)
    assert urgency_of(finding, asked=[answer.asked]).level == Urgency.NOW  # as it was read before
    answer.asked.refresh_from_db()
    assert urgency_of(finding, asked=[answer.asked]).level == Urgency.WATCH


def test_a_value_that_is_not_believed_is_asked_about_and_nothing_is_kept(
    heard, bearing, owner, fitter
) -> None:
    answer = answer_finding(
        finding=heard, text="How wide?", by=fitter, measure=Measure(position=bearing)
    )

    with pytest.raises(Question):
        bring_measurement(
            asked=answer.asked, by=owner, value=5 * MM, as_typed="5 mm", measured_on=SEEN_ON
        )

    heard.refresh_from_db()
    assert heard.state == FindingState.QUESTION
    assert not Measuring.objects.exists()


def test_writing_back_makes_it_the_workshops_turn_once(heard, owner, fitter) -> None:
    answer_finding(finding=heard, text="Since when?", by=fitter, asks=True)

    for _time in range(2):
        write_back(finding=heard, by=owner, text="May.", photos=[jpeg()], client_key="k")

    assert heard.state == FindingState.SENT
    word = heard.answers.get(kind=Said.WRITTEN)
    assert word.photos.count() == heard.photos.count() == 1
    with pytest.raises(Refused, match="Write something"):
        write_back(finding=heard, by=owner)


def test_a_way_is_picked_and_another_later_takes_its_place(heard, owner, fitter) -> None:
    told: list[tuple[Finding, Way]] = []

    def hear(finding: Finding, way: Way, **_: object) -> None:
        told.append((finding, way))

    way_picked.connect(hear)
    answer_finding(finding=heard, text="Two ways.", by=fitter, ways=[NEW_WASHER, USED_WASHER])
    first, second = heard.ways.all()

    assert waiting_for_owner([heard.unit]) == [heard]
    pick_way(way=first, by=owner)
    pick_way(way=first, by=owner)
    assert waiting_for_owner([heard.unit]) == []
    assert (heard.ways.get(pk=first.pk).finding.agreed, len(told)) == (first, 1)
    answer_finding(finding=heard, text="Bring it on Monday.", by=fitter)
    heard.refresh_from_db()
    assert heard.state == FindingState.AGREED
    pick_way(way=second, by=owner)
    way_picked.disconnect(hear)

    heard.refresh_from_db()
    assert (heard.state, heard.agreed) == (FindingState.AGREED, second)
    assert heard.workshops_turn
    assert [way for _finding, way in told] == [first, second]
    assert AuditEntry.objects.filter(action="pick_way").count() == 2


def test_a_way_is_picked_by_the_owner_alone_and_while_the_workshop_hears_of_it(
    heard, owner, fitter, manager, stranger, consent
) -> None:
    answer_finding(finding=heard, text="One way.", by=fitter, ways=[NEW_WASHER])
    way = heard.ways.get()
    for person in (fitter, manager, stranger):
        with pytest.raises(NotAllowed):
            pick_way(way=way, by=person)
    consent.withdrawn_at = datetime.now(UTC)
    consent.save()

    with pytest.raises(Refused, match="consent"):
        pick_way(way=way, by=owner)


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"text": " "}, "way2_text"),
        ({"price": Decimal(-1)}, "way2_price"),
        ({"price": Decimal("NaN")}, "way2_price"),
        ({"days": 1000}, "way2_days"),
    ],
)
def test_a_way_without_its_parts_is_refused_at_its_field(heard, fitter, fields, field) -> None:
    bad = Offer(**{**vars(USED_WASHER), **fields})

    with pytest.raises(Refused) as caught:
        answer_finding(finding=heard, text="So.", by=fitter, ways=[NEW_WASHER, bad])

    assert caught.value.field == field
    assert not Answer.objects.exists()


def test_an_instruction_stands_on_plan_and_pages_until_another_or_the_closing(
    heard, owner, fitter
) -> None:
    unit = heard.unit
    assert WorkKind.PUT_RIGHT not in work_of(unit)

    answer_finding(finding=heard, text="Don't.", by=fitter, instruction=Instruction.STOP)
    item = work_of(unit)[WorkKind.PUT_RIGHT]
    assert codes(item) == {"told_stop"}
    [halt] = halts_of([unit], owner)[unit.pk]
    assert (halt.stop, halt.title) == (True, "Stop: don't run it")
    assert urgency_of(heard).level == Urgency.NOW

    answer_finding(finding=heard, text="Oil.", by=fitter, instruction=Instruction.OIL_NOW)
    items = work_of(unit)
    assert WorkKind.PUT_RIGHT not in items
    assert "told_oil_now" in codes(items[WorkKind.OIL_CHANGE])
    assert items[WorkKind.OIL_CHANGE].due_date <= timezone.localdate()
    assert not halts_of([unit], owner)

    close_finding(finding=heard, cause=Cause.DIRT, found="Black oil.", by=fitter)
    assert "told_oil_now" not in codes(work_of(unit)[WorkKind.OIL_CHANGE])
    heard.refresh_from_db()
    assert (heard.state, heard.cause, heard.instruction) == (FindingState.CLOSED, Cause.DIRT, "")


def test_a_bad_figure_brings_its_measuring_forward_and_closing_takes_that_back(
    finding, owner, fitter
) -> None:
    items = work_of(finding.unit)
    assert "found_past_limit" in codes(items[WorkKind.END_FLOAT])
    assert items[WorkKind.END_FLOAT].due_date <= SEEN_ON
    assert "found_past_limit" in codes(items[WorkKind.PUT_RIGHT])

    with pytest.raises(Question, match="past where to ask"):
        close_finding(finding=finding, cause=Cause.WEAR, found="Worn.", by=fitter)
    close_finding(finding=finding, cause=Cause.WEAR, found="Worn.", by=fitter, confirm=True)

    items = work_of(finding.unit)
    assert "found_past_limit" not in codes(items[WorkKind.END_FLOAT])
    assert WorkKind.PUT_RIGHT not in items
    # nothing better is on record: it goes on standing against running
    assert halts_of([finding.unit], owner)


def test_what_the_owner_told_nobody_moves_no_plan_that_the_workshop_reads(
    unit, owner, washer
) -> None:
    Consent.objects.all().delete()
    report_finding(
        unit=unit, by=owner, text="Mine.", seen_on=SEEN_ON, position=washer, value=0.43 * MM
    )

    assert WorkKind.PUT_RIGHT not in work_of(unit)


def test_a_closed_finding_is_answered_no_more_and_opened_again_by_its_owner(
    heard, owner, fitter
) -> None:
    close_finding(finding=heard, cause=Cause.UNKNOWN, found="Nothing.", by=fitter)
    with pytest.raises(Refused, match="is closed"):
        answer_finding(finding=heard, text="And", by=fitter)

    write_back(finding=heard, by=owner, text="It ticks again.")

    assert (heard.state, heard.cause, heard.closed_at) == (FindingState.SENT, "", None)
    answer_finding(finding=heard, text="Bring it.", by=fitter)


def test_an_owner_closes_what_reaches_nobody_and_nothing_else(unit, owner, heard, workshop) -> None:
    Consent.objects.all().delete()
    kept = report_finding(unit=unit, by=owner, text="Whistles.", seen_on=SEEN_ON)
    close_finding(finding=kept, cause=Cause.WRONG_FASTENER, found="Too short.", by=owner)
    assert (kept.state, kept.closed_by) == (FindingState.CLOSED, owner)

    make_consent(owner, workshop, ConsentScope.RECORDS)
    with pytest.raises(NotAllowed):
        close_finding(finding=heard, cause=Cause.OTHER, found="So.", by=owner)


def test_with_the_unit_go_neither_prices_nor_words_nor_agreement(
    heard, owner, fitter, second_owner
) -> None:
    answer_finding(finding=heard, text="A way.", by=fitter, ways=[NEW_WASHER])
    write_back(finding=heard, by=owner, text="Ring me at the office.")
    pick_way(way=heard.ways.get(), by=owner, text="Gladly.")

    Unit.objects.filter(pk=heard.unit_id).update(owner=second_owner)
    unit_passed_on.send(sender=Unit, unit=heard.unit, former=owner, with_car=False)

    heard.refresh_from_db()
    assert (heard.state, heard.agreed, heard.reported_by) == (FindingState.ANSWERED, None, None)
    assert heard.ways.get().price is None
    theirs = heard.answers.filter(kind__in=(Said.WRITTEN, Said.PICKED))
    assert {(word.by, word.text) for word in theirs} == {(None, "")}
    with pytest.raises(Refused, match="former owner"):
        pick_way(way=heard.ways.get(), by=second_owner)


def test_what_waits_longer_than_the_workshop_means_is_late(
    heard, owner, fitter, manager, workshop
) -> None:
    now = timezone.now()
    with pytest.raises(NotAllowed):
        set_answering_aim(workshop=workshop, by=fitter, days=3)
    with pytest.raises(Refused):
        set_answering_aim(workshop=workshop, by=manager, days=0)
    set_answering_aim(workshop=workshop, by=manager, days=3)

    assert not inbox(fitter, show=LATE, now=now + timedelta(days=2))
    late = inbox(fitter, show=LATE, now=now + timedelta(days=4))
    assert list(late) == list(inbox(fitter, show=TURN, now=now)) == [heard]
    answer_finding(finding=heard, text="Soon.", by=fitter)
    write_back(finding=heard, by=owner, text="Thank you.")
    assert not inbox(fitter, show=LATE, now=now + timedelta(days=9))
    set_answering_aim(workshop=workshop, by=manager, days=None)
    assert not AnsweringAim.objects.exists()


def test_the_second_at_one_place_within_a_year_is_more_urgent(whole_unit, owner, washer) -> None:
    first, second = (
        report_finding(
            unit=whole_unit, by=owner, text=f"Ticks {day}.", seen_on=day, position=washer
        )
        for day in (date(2023, 5, 2), SEEN_ON)
    )

    assert (came_back(first), came_back(second)) == (False, True)
    assert urgency_of(first).level == Urgency.UNSURE
    assert urgency_of(second, again=True).level == Urgency.SOON


# Pages --------------------------------------------------------------------------------------------


def test_a_way_that_was_begun_is_asked_for_in_full_and_nothing_typed_is_lost(
    as_fitter, heard
) -> None:
    said = {"text": "So.", "client_key": "k", "way2_text": "A new one", "way2_part": "made"}

    response = as_fitter.post(reverse("findings:finding", args=[heard.pk]), said)

    assert response.status_code == 422
    assert 'value="A new one"' in response.text
    assert "leave the whole way empty" in response.text
    assert not Answer.objects.exists()


def test_who_writes_back_can_still_agree_to_a_way(as_owner, heard, owner, fitter) -> None:
    answer_finding(finding=heard, text="A way.", by=fitter, ways=[NEW_WASHER])
    page, pick = (
        reverse("findings:finding", args=[heard.pk]),
        reverse("findings:pick", args=[heard.ways.get().pk]),
    )
    assert pick in as_owner.get(page).text
    write_back(finding=heard, by=owner, text="Would it be done before May?")

    assert pick in as_owner.get(page).text

    pick_way(way=heard.ways.get(), by=owner)
    assert pick not in as_owner.get(page).text


def test_the_print_view_shows_no_price_and_is_nobody_elses(
    as_owner, client, heard, fitter, other_fitter
) -> None:
    answer_finding(finding=heard, text="A way.", by=fitter, ways=[NEW_WASHER])
    url = reverse("findings:print", args=[heard.pk])
    assert "380.50" in as_owner.get(reverse("findings:finding", args=[heard.pk])).text

    page = as_owner.get(url).text

    assert "A way." in page
    assert "380.50" not in page
    client.force_login(other_fitter)
    assert client.get(url).status_code == 404


def test_the_aim_is_set_on_its_page_by_who_leads(
    client, as_fitter, manager, workshop: Organisation, stranger
) -> None:
    url = reverse("findings:aim", args=[workshop.pk])
    assert as_fitter.post(url, {"days": "3"}).status_code == 404
    client.force_login(manager)
    assert client.post(url, {"days": "400"}).status_code == 422
    assert client.post(url, {"days": "3"}).status_code == 302
    assert "Within 3 days" in as_fitter.get(url).text
    client.force_login(stranger)
    assert client.get(url).status_code == 404
