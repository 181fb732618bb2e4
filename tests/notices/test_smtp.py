"""Over a real SMTP connection: what the server sees, by Message-ID."""

from collections.abc import Iterator

import pytest
import time_machine
from django.utils import timezone

from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.failures import REFUSED_AGAIN_AFTER
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailState
from advisory.notices.models import Mail, NoticePreference
from advisory.register.enums import WorkKind
from tests.notices.conftest import NOON
from tests.notices.sink import Sink, free_port, running_sink

pytestmark = pytest.mark.django_db


@pytest.fixture
def sink(settings) -> Iterator[Sink]:
    with running_sink() as (sink, port):
        settings.EMAIL_BACKEND = "advisory.common.smtp.CourierBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
        yield sink


@pytest.fixture
def mails(make_owner) -> list[Mail]:
    for number in range(5):
        make_owner(f"Owner {number}", WorkKind.OIL_CHANGE)
    raise_reminders(now=NOON)
    return list(Mail.objects.all())


def let_time_pass() -> None:
    Mail.objects.update(next_try_at=timezone.now())


def test_each_mail_arrives_once(sink, mails) -> None:
    assert deliver_waiting() == 5
    deliver_waiting()

    assert sink.taken == {mail.message_id: 1 for mail in mails}


def test_an_address_refused_for_good_stops_and_the_others_go(sink, mails) -> None:
    refused = mails[2]
    sink.refuse[refused.to] = "550 no such person here"

    with time_machine.travel(timezone.now(), tick=False) as clock:
        assert deliver_waiting() == 4
        for wait in REFUSED_AGAIN_AFTER:
            clock.shift(wait)
            assert deliver_waiting() == 0

    refused.refresh_from_db()
    assert refused.state == MailState.GIVEN_UP
    assert "550" in refused.last_error
    assert "no such person here" in refused.last_error
    assert NoticePreference.objects.get(person=refused.person).refused_address == refused.to


def test_a_full_mailbox_is_tried_again(sink, mails) -> None:
    full = mails[2]
    sink.refuse[full.to] = "452 mailbox full"
    assert deliver_waiting() == 4
    sink.refuse.clear()
    let_time_pass()

    assert deliver_waiting() == 1
    assert sink.taken[full.message_id] == 1


def test_a_connection_that_breaks_loses_nothing(sink, mails) -> None:
    """The server took the third mail and broke off before it said so: nobody can know.

    It is sent again, under the same Message-ID; all the others arrive once.
    """
    sink.break_after = [3]
    deliver_waiting()
    let_time_pass()
    deliver_waiting()

    assert set(sink.taken) == {mail.message_id for mail in mails}
    assert sorted(sink.taken.values()) == [1, 1, 1, 1, 2]
    assert set(Mail.objects.values_list("state", flat=True)) == {MailState.SENT}


def test_a_server_that_was_away_gets_all_of_it_once_afterwards(settings, mails) -> None:
    settings.EMAIL_BACKEND = "advisory.common.smtp.CourierBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", (port := free_port())
    for _ in range(3):
        assert deliver_waiting() == 0
    assert set(Mail.objects.values_list("state", "attempts")) == {(MailState.WAITING, 0)}

    with running_sink(port) as (sink, _port):
        assert deliver_waiting() == 5

    assert sink.taken == {mail.message_id: 1 for mail in mails}
