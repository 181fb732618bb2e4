"""What a reminder says, asked anew at the moment of sending."""

import re

import pytest
from django.core import mail as outgoing
from django.utils import timezone

from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailState
from advisory.notices.mail_links import item_secret, without_secrets
from advisory.notices.models import Mail, NoticePreference
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.register.enums import WorkKind
from advisory.usage.models import LayUp
from tests.notices.conftest import NOON, make_item, sent, state_after_a_sweep

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_https")]


def test_a_waiting_mail_is_sent_and_noted(mail, owner) -> None:
    assert deliver_waiting() == 1

    mail.refresh_from_db()
    message = sent()
    assert message.to == [owner.email]
    assert mail.state == MailState.SENT
    assert mail.sent_at is not None
    assert mail.held_until is None
    assert mail.subject == message.subject
    assert mail.text == without_secrets(str(message.body))
    assert item_secret(mail.reminders.get().item, owner) not in mail.text
    assert (mail.attempts, mail.last_error) == (1, "")


def test_what_is_sent_is_not_sent_again(mail) -> None:
    deliver_waiting()
    deliver_waiting()

    assert len(outgoing.outbox) == 1


def test_the_reminder_says_what_when_why_and_how_not_to_get_hurt(mail, item) -> None:
    deliver_waiting()

    message = sent()
    html = message.alternatives[0].content
    assert message.subject == "Oil change is coming up: Pattern 4 blower 0417"
    for part in (message.body, html):
        assert "Oil change" in part
        assert "Pattern 4 blower 0417" in part
        assert f"https://advisory.example/units/{item.unit_id}/plan/oil_change/" in part
        assert "Hot oil burns" in part
        assert "never a licence to keep running" in part
        assert "https://advisory.example/unsubscribe/" in part


def test_the_reminder_gives_its_reasons_in_the_readers_units(unit, owner) -> None:
    reason = {"code": "interval", "distance": 1_609_344.0, "months": 12}
    item = make_item(unit, WorkKind.PIPE_CHECK, reasons=[reason])
    raise_reminders(now=NOON)
    deliver_waiting()
    # 1 mile is 1609.344 m exactly (the yard of 1959)
    assert "1,000 miles or 12 months" in sent().body
    outgoing.outbox.clear()

    owner.distance_unit = "km"
    owner.save()
    item.state = DueState.DUE
    item.save()
    raise_reminders(now=NOON)
    deliver_waiting()

    assert "1,600 km or 12 months" in sent().body


def test_several_items_stand_in_one_mail_the_most_urgent_first(unit) -> None:
    make_item(unit, WorkKind.SEAL_WEEP, DueState.NEAR)
    make_item(unit, WorkKind.OIL_CHANGE, DueState.LATE)
    make_item(unit, WorkKind.PIPE_CHECK, DueState.DUE)
    raise_reminders(now=NOON)

    deliver_waiting()

    message = sent()
    assert message.subject == "Oil change is overdue: Pattern 4 blower 0417, and 2 more"
    order = [message.body.index(f"* {word}") for word in ("Oil", "External", "Seal")]
    assert order == sorted(order)
    assert message.body.count("Hot oil burns") <= 1


def test_the_text_part_is_plain_and_tidy(mail, owner) -> None:
    owner.name = "O'Hara & <Sons>"
    owner.save()

    deliver_waiting()

    body = sent().body
    assert body.startswith("Dear O'Hara & <Sons>,\n\none thing on your units")
    assert "\n\n* Oil change, Pattern 4 blower 0417\n" in body
    assert "&#x27;" not in body
    assert "\n\n\n" not in body
    assert not re.search(r"[ \t]$", body, re.MULTILINE)


def test_the_html_part_escapes_what_people_wrote(mail, item) -> None:
    item.unit.name = "<script>alert(1)</script>"
    item.unit.save()

    deliver_waiting()

    html = sent().alternatives[0].content
    assert "<script" not in html
    assert "&lt;script&gt;" in html


def test_a_name_with_a_line_break_cannot_add_a_header(mail, item) -> None:
    item.unit.name = "Blower\r\nBcc: everybody@example.com"
    item.unit.save()

    deliver_waiting()

    message = sent()
    assert message.message()["Bcc"] is None
    assert "\n" not in message.subject


def test_headers_allow_one_click_and_say_that_a_program_wrote(mail, owner) -> None:
    deliver_waiting()

    message = sent().message()
    secret = NoticePreference.objects.get(person=owner).unsubscribe_secret
    # RFC 8058, section 3.1
    assert message["List-Unsubscribe"] == (
        f"<https://advisory.example/unsubscribe/{secret}/?of=reminders>"
    )
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    # RFC 3834, section 5
    assert message["Auto-Submitted"] == "auto-generated"
    assert message["Message-ID"] == mail.message_id
    assert mail.message_id.endswith("@advisory.example>")
    kinds = [part.get_content_type() for part in message.walk()]
    assert kinds == ["multipart/alternative", "text/plain", "text/html"]


def test_work_done_meanwhile_is_left_out(unit) -> None:
    first = make_item(unit, WorkKind.OIL_CHANGE)
    make_item(unit, WorkKind.PIPE_CHECK)
    raise_reminders(now=NOON)
    first.cycle = 2
    first.state = DueState.AHEAD
    first.save()

    deliver_waiting()

    assert "External pipe" in sent().body
    assert "* Oil change" not in sent().body


def done(item: PlanItem) -> None:
    PlanItem.objects.filter(pk=item.pk).update(cycle=2, state=DueState.AHEAD)


def due_again_in_the_next_cycle(item: PlanItem) -> None:
    PlanItem.objects.filter(pk=item.pk).update(cycle=2)


def no_longer_near(item: PlanItem) -> None:
    PlanItem.objects.filter(pk=item.pk).update(state=DueState.AHEAD)


def off_the_plan(item: PlanItem) -> None:
    PlanItem.everything.filter(pk=item.pk).update(in_force=False)


def laid_up(item: PlanItem) -> None:
    LayUp.objects.create(car=item.unit.fittings.get().car, from_date=timezone.now().date())


def sold(item: PlanItem) -> None:
    item.unit.owner = None
    item.unit.save()


def left(item: PlanItem) -> None:
    item.unit.owner.is_active = False
    item.unit.owner.save()


def stopped_by_one_click(item: PlanItem) -> None:
    NoticePreference.objects.create(person=item.unit.owner, reminders_by_mail=False)


@pytest.mark.parametrize(
    ("happens", "reason"),
    [
        (done, "Nothing of it is due"),
        (due_again_in_the_next_cycle, "Nothing of it is due"),
        (no_longer_near, "Nothing of it is due"),
        (off_the_plan, "Nothing of it is due"),
        (laid_up, "Nothing of it is due"),
        (sold, "Nothing of it is due"),
        (left, "Nothing of it is due"),
        (stopped_by_one_click, "wants no such mail"),
    ],
)
def test_a_reminder_that_no_longer_holds_is_held_back_with_the_reason(
    mail, item, happens, reason
) -> None:
    happens(item)

    assert state_after_a_sweep() == MailState.HELD
    assert reason in Mail.objects.get().last_error
    assert outgoing.outbox == []


def test_a_former_owner_who_works_at_the_workshop_is_not_reminded(
    mail, item, owner, second_owner, workshop, request
) -> None:
    """They may still see the plan; it is no longer theirs to do."""
    workshop.memberships.create(person=owner, role="fitter")
    workshop.consents.create(person=second_owner, scope="records")
    item.unit.owner = second_owner
    item.unit.save()

    assert state_after_a_sweep() == MailState.HELD


def test_a_new_address_gets_what_was_written_to_the_old_one(mail, owner) -> None:
    owner.email = "orla@elsewhere.example"
    owner.save()

    deliver_waiting()

    assert sent().to == ["orla@elsewhere.example"]
    assert Mail.objects.get().to == "orla@elsewhere.example"
