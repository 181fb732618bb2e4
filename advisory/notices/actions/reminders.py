"""Raising reminders: each item, cycle and stage once, and one mail for all that an owner gets."""

import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from advisory.notices.actions.outbox import mail_for, send_soon
from advisory.notices.enums import MailKind, MailState
from advisory.notices.models import Mail, NoticePreference, Reminder
from advisory.notices.queries import STAGE_OF, items_to_remind_of
from advisory.people.models import Person
from advisory.plans.enums import DueState

logger = logging.getLogger(__name__)

PEOPLE_AT_ONCE = 500


@dataclass(frozen=True)
class Raised:
    """What a run did."""

    reminders: int = 0
    mails: int = 0

    def __add__(self, other: "Raised") -> "Raised":
        return Raised(self.reminders + other.reminders, self.mails + other.mails)


def raise_reminders(*, now: datetime | None = None, people_at_once: int = PEOPLE_AT_ONCE) -> Raised:
    """Remind every owner of what has come to a new stage.

    May be killed anywhere, and run twice at once: a chunk of people is one transaction, and the
    database keeps a reminder from being written twice.
    """
    now = now or timezone.now()
    raised = Raised()
    after = 0
    while people := list(
        Person.objects.filter(
            pk__in=items_to_remind_of(now).order_by().values("unit__owner"), pk__gt=after
        ).order_by("pk")[:people_at_once]
    ):
        after = people[-1].pk
        with transaction.atomic():
            raised += _remind(people, now)
            send_soon()
    logger.info("%d reminders raised, %d mails written", raised.reminders, raised.mails)
    return raised


def _remind(people: Sequence[Person], now: datetime) -> Raised:
    """Write one chunk's reminders and their mails, in a constant number of queries."""
    items = items_to_remind_of(now).filter(unit__owner__in=people).select_related("unit")
    # always in the order of their keys, so that two runs at once wait for each other in one order
    reminders = [
        Reminder(
            item=item,
            cycle=item.cycle,
            stage=STAGE_OF[DueState(item.state)],
            person_id=item.unit.owner_id,
            raised_at=now,
        )
        for item in items.order_by("pk")
        if item.unit.owner_id is not None
    ]
    reminded = {reminder.person_id for reminder in reminders}
    reachable = _reachable_by_mail([person for person in people if person.pk in reminded])
    mails = _mails_that_wait(reachable)
    written = Mail.objects.bulk_create(
        mail_for(person, MailKind.REMINDER, now) for person in reachable if person.pk not in mails
    )
    mails |= {mail.person_id: mail for mail in written if mail.person_id}
    for reminder in reminders:
        reminder.mail = mails.get(reminder.person_id)
    # One that stands already keeps its own mail: a mail tells exactly what was written with it.
    Reminder.objects.bulk_create(reminders, ignore_conflicts=True)
    Mail.objects.filter(pk__in=[mail.pk for mail in written], reminders=None).delete()
    return Raised(
        reminders=Reminder.objects.filter(person__in=people, raised_at=now).count(),
        mails=Mail.objects.filter(pk__in=[mail.pk for mail in written]).count(),
    )


def _reachable_by_mail(people: Sequence[Person]) -> list[Person]:
    """Return who wants reminders by mail, and has an address that takes any."""
    unreachable = {
        preference.person_id
        for preference in NoticePreference.objects.filter(person__in=people).select_related(
            "person"
        )
        if not preference.reminders_by_mail or preference.refused_address == preference.person.email
    }
    return [person for person in people if person.pk not in unreachable]


def _mails_that_wait(people: Sequence[Person]) -> dict[int, Mail]:
    """Return mails that wait for the morning and take more; none leaves before we are done."""
    waiting = Mail.objects.select_for_update().filter(
        kind=MailKind.REMINDER,
        person__in=people,
        state=MailState.WAITING,
        attempts=0,
        held_until=None,
    )
    return {mail.person_id: mail for mail in waiting.order_by("pk") if mail.person_id}
