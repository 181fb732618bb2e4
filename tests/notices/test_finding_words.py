"""What is mailed of a finding's course, and the link that answers one word of it."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core import mail as outgoing
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from advisory.findings.actions import (
    Measure,
    Offer,
    answer_finding,
    close_finding,
    pick_way,
    report_finding,
    set_answering_aim,
    write_back,
)
from advisory.findings.enums import Cause, Currency, FindingState, Instruction, PartOrigin, Said
from advisory.findings.models import Finding
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.findings import tell_late_findings
from advisory.notices.enums import MailKind, MailState
from advisory.notices.mail_links import finding_of, finding_secret
from advisory.notices.models import FindingNotice, Mail
from advisory.people.models import Person
from advisory.register.models import Unit

pytestmark = pytest.mark.django_db

WAY = Offer(
    text="New washer", part=PartOrigin.MADE, price=Decimal("380.50"), currency=Currency.GBP, days=5
)


@pytest.fixture
def heard(whole_unit: Unit, owner: Person) -> Finding:
    return report_finding(unit=whole_unit, by=owner, text="It ticks.", seen_on=timezone.localdate())


def sent() -> list[str]:
    """Deliver what waits, whatever the hour, and return subjects and texts."""
    Mail.objects.update(next_try_at=timezone.now())
    outgoing.outbox.clear()
    deliver_waiting()
    return [f"{letter.subject}\n{letter.body}" for letter in outgoing.outbox]


def test_each_side_is_told_of_each_word_of_the_other(fitter, manager, heard, owner) -> None:
    assert len(sent()) == 2  # fitter and manager

    answer_finding(
        finding=heard, text="Leave it.", by=fitter, instruction=Instruction.STOP, ways=[WAY]
    )
    mail = Mail.objects.get(kind=MailKind.ANSWER)
    assert mail.next_try_at <= timezone.now()  # at whatever hour it is
    [letter] = sent()
    assert "Stop: don't run it" in letter
    assert "don't turn it by hand" in letter
    assert "New washer (Made new, 5 days in the workshop)" in letter
    assert "380" not in letter
    assert "/from-mail/" in letter

    pick_way(way=heard.ways.get(), by=owner)
    for letter in sent():
        assert "agrees to the work" in letter
        assert "New washer" in letter

    close_finding(finding=heard, cause=Cause.WEAR, found="Worn through.", by=fitter)
    [letter] = sent()
    assert "has closed your finding" in letter
    assert "/from-mail/" not in letter


def test_nothing_is_told_after_the_consent_is_withdrawn(heard, owner, fitter, consent) -> None:
    answer_finding(finding=heard, text="Since when?", by=fitter, asks=True)
    sent()
    consent.withdrawn_at = timezone.now()
    consent.save()

    write_back(finding=heard, by=owner, text="Since May.")

    assert sent() == []


def test_an_answer_that_waited_until_the_finding_was_closed_does_not_go(heard, fitter) -> None:
    """Told not to run what is put right by now, its owner would take the car apart again."""
    sent()
    answer_finding(finding=heard, text="Leave it.", by=fitter, instruction=Instruction.STOP)
    close_finding(finding=heard, cause=Cause.WEAR, found="Worn through.", by=fitter)

    [letter] = sent()

    assert "has closed your finding" in letter
    assert Mail.objects.filter(kind=MailKind.ANSWER, state=MailState.HELD).count() == 1


def test_what_is_late_is_told_once(heard, owner, manager, fitter, workshop) -> None:
    sent()
    set_answering_aim(workshop=workshop, by=manager, days=3)
    then = timezone.now() + timedelta(days=4)
    assert tell_late_findings() == 0

    assert [tell_late_findings(now=then), tell_late_findings(now=then)] == [1, 0]

    letters = sent()
    assert len(letters) == FindingNotice.objects.filter(late=True).count() == 2
    assert all("within 3 days" in letter for letter in letters)


def test_a_late_letter_is_withheld_once_it_is_answered(heard, manager, fitter, workshop) -> None:
    sent()
    set_answering_aim(workshop=workshop, by=manager, days=3)
    tell_late_findings(now=timezone.now() + timedelta(days=4))
    answer_finding(finding=heard, text="Here.", by=fitter)

    assert [letter.splitlines()[0] for letter in sent()] == [
        f"{heard.unit.workshop} answers your finding on {heard.unit}"
    ]


def test_a_mails_link_takes_the_value_that_was_asked_for_without_signing_in(
    client: Client, heard, owner, fitter
) -> None:
    bearing = heard.unit.design.positions.get(name="Front bearing")
    word = answer_finding(
        finding=heard, text="How wide?", by=fitter, measure=Measure(position=bearing), ways=[WAY]
    )
    url = reverse("notices:finding", args=[finding_secret(word, owner)])
    page = client.get(url).text
    assert "How wide?" in page
    assert "380" not in page
    assert heard.answers.count() == 1

    day = timezone.localdate().isoformat()
    said = {"measurement": "2", "measurement_unit": "thou", "measured_on": day}
    assert client.post(url, said | {"measurement": "two"}).status_code == 422
    assert "Sent, thank you" in client.post(url, said).text
    client.post(url, {"write": "1", "text": "And it is warm.", "client_key": "k"})

    kinds = [word.kind for word in heard.answers.all()]
    assert kinds == [Said.QUESTION, Said.MEASURED, Said.WRITTEN]
    heard.refresh_from_db()
    assert heard.state == FindingState.SENT


def test_the_link_ends_with_the_next_word_another_address_and_a_sale(
    heard, owner, fitter, second_owner
) -> None:
    first = answer_finding(finding=heard, text="One.", by=fitter)
    opens = finding_secret(first, owner)
    assert finding_of(opens) == (first, owner)
    assert finding_of(finding_secret(first, second_owner)) is None
    second = answer_finding(finding=heard, text="Two.", by=fitter)
    assert finding_of(opens) is None

    opens = finding_secret(second, owner)
    Unit.objects.filter(pk=heard.unit_id).update(owner=second_owner)
    assert finding_of(opens) is None
