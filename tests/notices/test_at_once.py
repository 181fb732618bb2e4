"""Several workers doing the same at the same moment, each with its own connection."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.core import mail as outgoing
from django.db import connection

from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailState
from advisory.notices.models import Mail, Reminder
from advisory.register.enums import WorkKind
from tests.notices.conftest import NOON

pytestmark = pytest.mark.django_db(transaction=True)

WORKERS = 4
OWNERS = 12


def all_at_once(work: Callable[[], object]) -> None:
    together = Barrier(WORKERS)

    def one() -> None:
        try:
            together.wait(timeout=30)
            work()
        finally:
            connection.close()

    with ThreadPoolExecutor(WORKERS) as pool:
        for future in [pool.submit(one) for _ in range(WORKERS)]:
            future.result(timeout=60)


@pytest.fixture(autouse=True)
def _owners(make_owner) -> None:
    for number in range(OWNERS):
        make_owner(f"Owner {number}", WorkKind.OIL_CHANGE, WorkKind.PIPE_CHECK)


def test_reminders_are_raised_once_and_each_mail_carries_all_of_its_owners() -> None:
    all_at_once(lambda: raise_reminders(now=NOON, people_at_once=5))

    assert Reminder.objects.count() == 2 * OWNERS
    assert Mail.objects.count() == OWNERS
    for mail in Mail.objects.all():
        assert {reminder.person_id for reminder in mail.reminders.all()} == {mail.person_id}
        assert mail.reminders.count() == 2


def test_mail_is_sent_once() -> None:
    raise_reminders(now=NOON)

    all_at_once(deliver_waiting)

    sent = [message.message()["Message-ID"] for message in outgoing.outbox]
    assert sorted(sent) == sorted(Mail.objects.values_list("message_id", flat=True))
    assert set(Mail.objects.values_list("state", "attempts")) == {(MailState.SENT, 1)}
