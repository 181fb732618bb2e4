"""Findings from being written down to being answered."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.files.storage import default_storage
from django.db import DatabaseError

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.common.models import AuditEntry
from advisory.findings.actions import (
    answer_finding,
    mark_seen,
    photographed,
    report_finding,
    reporting,
    send_finding,
)
from advisory.findings.enums import NEXT_STATES, FindingState, Judgement
from advisory.findings.models import Answer, Finding, FindingPhoto
from advisory.findings.signals import finding_answered, finding_reported
from advisory.people.models import Consent, Person
from advisory.register.models import Position, Unit
from tests.findings.pictures import jpeg, upload

pytestmark = pytest.mark.django_db

SEEN_ON = date(2024, 5, 1)
THOU = 25.4e-6


@pytest.fixture
def washer(unit: Unit) -> Position:
    return unit.design.positions.get(name="Floating thrust washer")


@pytest.fixture
def told():
    """What the signals said, in order."""
    heard: list[tuple[str, object]] = []

    def reported(finding: Finding, **_: object) -> None:
        heard.append(("reported", finding.pk))

    def answered(answer: Answer, **_: object) -> None:
        heard.append(("answered", answer.pk))

    finding_reported.connect(reported)
    finding_answered.connect(answered)
    yield heard
    finding_reported.disconnect(reported)
    finding_answered.disconnect(answered)


def report(unit: Unit, by: Person, **fields: object) -> Finding:
    return report_finding(
        **{"unit": unit, "by": by, "text": "It ticks at idle.", "seen_on": SEEN_ON} | fields
    )


def stored_photos() -> list[str]:
    try:
        return default_storage.listdir("findings")[1]
    except FileNotFoundError:
        return []


def test_with_consent_it_is_sent_and_told(whole_unit, owner, told) -> None:
    finding = report(whole_unit, owner)

    assert finding.state == FindingState.SENT
    assert finding.sent_at is not None
    assert finding.workshops_turn
    assert told == [("reported", finding.pk)]


@pytest.mark.parametrize("why", ["never given", "withdrawn", "no workshop"])
def test_without_consent_or_workshop_it_is_written_down_and_goes_to_nobody(
    unit, owner, workshop, told, why
) -> None:
    if why == "withdrawn":
        Consent.objects.create(
            person=owner, organisation=workshop, scope="records", withdrawn_at=datetime.now(UTC)
        )
    if why == "no workshop":
        unit.workshop = None
        unit.save()

    finding = report(unit, owner)

    assert (finding.state, finding.sent_at) == (FindingState.KEPT, None)
    assert told == []


def test_what_was_kept_goes_once_when_the_owner_consents_and_sends_it(
    unit, owner, fitter, told, request
) -> None:
    finding = report(unit, owner)
    with pytest.raises(Refused, match="consent"):
        send_finding(finding=finding, by=owner)
    request.getfixturevalue("consent")

    send_finding(finding=finding, by=owner)
    send_finding(finding=finding, by=owner)

    assert finding.state == FindingState.SENT
    assert told == [("reported", finding.pk)]


def test_what_was_kept_is_not_shown_to_the_workshop_by_consent_alone(
    unit, owner, fitter, request
) -> None:
    finding = report(unit, owner)
    request.getfixturevalue("consent")

    with pytest.raises(NotAllowed):
        answer_finding(finding=finding, text="Who told us?", by=fitter)


def test_a_measured_figure_is_judged_and_kept_as_typed(whole_unit, owner, washer) -> None:
    finding = report(
        whole_unit, owner, position=washer, value=17 * THOU, as_typed="17 thou", shown=41_900
    )

    finding.refresh_from_db()
    assert finding.quantity == "end_float"
    assert finding.value == pytest.approx(0.4318e-3)
    assert finding.as_typed == "17 thou"
    assert finding.judgement == Judgement.STOP
    entry = AuditEntry.objects.get(action="report_finding")
    assert entry.by == owner
    assert entry.data["held_against"]["wear_limit"] == 0.25e-3
    assert entry.data["because"] == "past-limit"


def test_a_figure_is_held_against_the_last_signed_build(whole_unit, owner) -> None:
    bearing = whole_unit.design.positions.get(name="Front bearing")

    # as built 2 thou; 2.6 is beyond the design's 2.5 and the gauge's doubt of 0.4, below 3.5
    finding = report(whole_unit, owner, position=bearing, value=2.6 * THOU)

    assert finding.judgement == Judgement.WATCH


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"text": "   "}, "text"),
        ({"text": "x" * 5001}, "text"),
        ({"seen_on": date.today() + timedelta(days=2)}, "seen_on"),  # noqa: DTZ011
        ({"seen_on": date(204, 5, 1)}, "seen_on"),
        ({"value": 1e-4}, "position"),
        ({"shown": -1}, "shown"),
        ({"shown": 12_345_678}, "shown"),
    ],
)
def test_bad_input_is_refused_with_its_field_and_nothing_is_saved(
    whole_unit, owner, fields, field
) -> None:
    with pytest.raises(Refused) as caught:
        report(whole_unit, owner, photos=[jpeg()], **fields)

    assert caught.value.field == field
    assert not Finding.objects.exists()
    assert stored_photos() == []


@pytest.mark.parametrize("value", [-1e-5, float("nan"), float("inf")])
def test_a_figure_that_is_no_size_is_refused(whole_unit, owner, washer, value) -> None:
    with pytest.raises(Refused, match="zero or more"):
        report(whole_unit, owner, position=washer, value=value)


def test_a_figure_where_nothing_is_measured_is_refused(whole_unit, owner) -> None:
    pipe = whole_unit.design.positions.get(name="Oil feed pipe")

    with pytest.raises(Refused, match="Nothing is measured"):
        report(whole_unit, owner, position=pipe, value=1e-4)


def test_a_position_of_another_design_is_refused(whole_unit, owner, starter_design) -> None:
    with pytest.raises(Refused, match="of this unit"):
        report(whole_unit, owner, position=starter_design.positions.first())


def test_a_figure_in_the_wrong_unit_is_asked_about_and_taken_when_confirmed(
    whole_unit, owner, washer
) -> None:
    with pytest.raises(Question) as caught:
        report(whole_unit, owner, position=washer, value=5e-3, as_typed="5 mm")
    assert "5 mm" in caught.value.message

    finding = report(whole_unit, owner, position=washer, value=5e-3, as_typed="5 mm", confirm=True)

    assert finding.judgement == Judgement.STOP


def test_photos_are_kept_with_their_size(whole_unit, owner) -> None:
    finding = report(whole_unit, owner, photos=[jpeg(2000, 1000), jpeg(60, 40)])

    assert [(p.width, p.height) for p in finding.photos.all()] == [(1600, 800), (60, 40)]
    assert len(stored_photos()) == 2


def test_a_seventh_photo_is_refused(whole_unit, owner) -> None:
    with pytest.raises(Refused, match="at most 6 photos; these are 7"):
        report(whole_unit, owner, photos=[jpeg()] * 7)


def test_one_bad_photo_saves_nothing(whole_unit, owner) -> None:
    with pytest.raises(Refused, match="is no photo"):
        report(whole_unit, owner, photos=[jpeg(), upload(b"text")])

    assert not Finding.objects.exists()
    assert stored_photos() == []


@pytest.mark.django_db(transaction=True)
def test_when_the_database_fails_no_photo_stays_behind(whole_unit, owner, monkeypatch) -> None:
    def fail(*args: object, **kwargs: object) -> None:
        raise DatabaseError

    monkeypatch.setattr(reporting.audit, "record", fail)

    with pytest.raises(DatabaseError):
        report(whole_unit, owner, photos=[jpeg()])

    assert not Finding.objects.exists()
    assert stored_photos() == []


@pytest.mark.django_db(transaction=True)
def test_a_photo_goes_with_its_finding(whole_unit, owner) -> None:
    finding = report(whole_unit, owner, photos=[jpeg()])
    assert len(stored_photos()) == 1

    finding.delete()

    assert stored_photos() == []


def test_the_same_form_sent_twice_makes_one_finding(whole_unit, owner, told) -> None:
    first = report(whole_unit, owner, client_key="k1", photos=[jpeg()])
    second = report(whole_unit, owner, client_key="k1", photos=[jpeg()])

    assert first == second
    assert Finding.objects.count() == 1
    assert FindingPhoto.objects.count() == len(stored_photos()) == 1
    assert len(told) == 1


@pytest.mark.parametrize("fields", [{"text": "It ticks when warm."}, {"photos": [jpeg(30, 20)]}])
def test_the_same_form_changed_and_sent_again_is_not_lost(whole_unit, owner, fields) -> None:
    report(whole_unit, owner, client_key="k1")
    report(whole_unit, owner, client_key="k1", **fields)

    assert Finding.objects.count() == 2


@pytest.mark.django_db(transaction=True)
def test_the_same_form_twice_at_the_same_moment_makes_one_finding(
    whole_unit, owner, monkeypatch
) -> None:
    """The second passes the look for the first, and meets it when it writes."""
    real = photographed.prepare_photo
    calls = []

    def while_the_other_is_faster(photo):
        if not calls:
            calls.append(1)
            report(whole_unit, owner, client_key="k1", photos=[jpeg()])
        return real(photo)

    monkeypatch.setattr(photographed, "prepare_photo", while_the_other_is_faster)
    finding = report(whole_unit, owner, client_key="k1", photos=[jpeg()])

    assert Finding.objects.get() == finding
    assert FindingPhoto.objects.count() == len(stored_photos()) == 1


@pytest.mark.parametrize("who", ["stranger", "fitter", "manager", "officer", "other_fitter"])
def test_nobody_but_the_owner_reports(whole_unit, who, request) -> None:
    with pytest.raises(NotAllowed):
        report(whole_unit, request.getfixturevalue(who))


def test_a_former_owner_reports_no_more(whole_unit, owner, second_owner) -> None:
    whole_unit.owner = second_owner
    whole_unit.save()

    with pytest.raises(NotAllowed):
        report(whole_unit, owner)


def test_the_workshop_opens_it_once(whole_unit, owner, fitter, manager) -> None:
    finding = report(whole_unit, owner)

    mark_seen(finding=finding, by=fitter)
    first = Finding.objects.get().seen_by_workshop_at
    mark_seen(finding=finding, by=manager)

    finding.refresh_from_db()
    assert finding.state == FindingState.SEEN
    assert finding.seen_by_workshop_at == first
    assert AuditEntry.objects.filter(action="mark_seen").count() == 1


def test_an_answer_is_kept_told_and_turns_the_course(whole_unit, owner, fitter, told) -> None:
    finding = report(whole_unit, owner)

    answer = answer_finding(finding=finding, text=" Leave it stand, and ring us. ", by=fitter)

    finding.refresh_from_db()
    assert answer.text == "Leave it stand, and ring us."
    assert finding.state == FindingState.ANSWERED
    assert finding.seen_by_workshop_at is not None
    assert not finding.workshops_turn
    assert told[-1] == ("answered", answer.pk)


def test_a_second_answer_stands_beside_the_first(whole_unit, owner, fitter) -> None:
    finding = report(whole_unit, owner)
    answer_finding(finding=finding, text="One.", by=fitter)
    answer_finding(finding=finding, text="Two.", by=fitter)

    assert [answer.text for answer in finding.answers.all()] == ["One.", "Two."]


def test_the_same_answer_form_sent_twice_makes_one_answer(whole_unit, owner, fitter, told) -> None:
    finding = report(whole_unit, owner)
    answer_finding(finding=finding, text="One.", by=fitter, client_key="k")
    answer_finding(finding=finding, text="One.", by=fitter, client_key="k")

    assert finding.answers.count() == 1
    assert [kind for kind, _ in told] == ["reported", "answered"]


@pytest.mark.parametrize("who", ["stranger", "owner", "officer", "other_fitter"])
def test_nobody_but_the_workshop_answers(whole_unit, owner, who, request) -> None:
    finding = report(whole_unit, owner)

    with pytest.raises(NotAllowed):
        answer_finding(finding=finding, text="So?", by=request.getfixturevalue(who))


def test_no_answer_after_the_consent_is_withdrawn(whole_unit, owner, fitter, consent) -> None:
    finding = report(whole_unit, owner)
    consent.withdrawn_at = datetime.now(UTC)
    consent.save()

    with pytest.raises(NotAllowed):
        answer_finding(finding=finding, text="So?", by=fitter)
    with pytest.raises(NotAllowed):
        mark_seen(finding=finding, by=fitter)


def test_an_empty_answer_is_refused(whole_unit, owner, fitter) -> None:
    finding = report(whole_unit, owner)

    with pytest.raises(Refused) as caught:
        answer_finding(finding=finding, text=" ", by=fitter)

    assert caught.value.field == "text"
    assert not Answer.objects.exists()


def test_every_state_is_reached_and_has_its_way(whole_unit) -> None:
    assert set(NEXT_STATES) == set(FindingState)
    reached = {state for states in NEXT_STATES.values() for state in states}
    assert reached | {FindingState.KEPT} == set(FindingState)
