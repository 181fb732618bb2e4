"""Raising reminders: each item, cycle and stage once, and one mail a window for all of them."""

import logging
from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from advisory.notices.actions.mailing import Raised, write_with_mail
from advisory.notices.actions.outbox import send_soon
from advisory.notices.enums import MailKind, Stage
from advisory.notices.models import Reminder
from advisory.notices.queries import (
    STAGE_OF,
    items_to_remind_of,
    items_to_tell_workshops_of,
)
from advisory.people.enums import Role
from advisory.people.models import Membership, Person
from advisory.plans.enums import DueState

logger = logging.getLogger(__name__)

PEOPLE_AT_ONCE = 500


def raise_reminders(*, now: datetime | None = None, people_at_once: int = PEOPLE_AT_ONCE) -> Raised:
    """Remind every owner of what has come to a new stage, and tell workshops what they are to know.

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
    raised += _tell_workshops(now, people_at_once)
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
            after_snooze=item.last_snooze,  # type: ignore[attr-defined]  # annotated
            raised_at=now,
        )
        for item in items.order_by("pk")
        if item.unit.owner_id is not None
    ]
    return write_with_mail(reminders, people, MailKind.REMINDER, now)


def _tell_workshops(now: datetime, items_at_once: int) -> Raised:
    """Let a workshop's managers know what is overdue, where its owner wants that."""
    raised = Raised()
    after = 0
    while items := list(
        items_to_tell_workshops_of(now)
        .filter(pk__gt=after)
        .select_related("unit")
        .order_by("pk")[:items_at_once]
    ):
        after = items[-1].pk
        members: dict[int, list[Person]] = defaultdict(list)
        for row in (
            Membership.objects.filter(
                organisation__in={item.unit.workshop_id for item in items},
                role=Role.MANAGER,
                person__is_active=True,
            )
            .select_related("person")
            .order_by("person")
        ):
            members[row.organisation_id].append(row.person)
        reminders = [
            Reminder(
                item=item, cycle=item.cycle, stage=Stage.LATE, person_id=member.pk, raised_at=now
            )
            for item in items
            for member in members[item.unit.workshop_id or 0]
            if member.pk != item.unit.owner_id
        ]
        people = {member.pk: member for each in members.values() for member in each}
        with transaction.atomic():
            raised += write_with_mail(reminders, list(people.values()), MailKind.WORD, now)
            send_soon()
    return raised
