"""Reads that more than one caller needs."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db.models import Exists, F, Max, OuterRef, Q, QuerySet
from django.utils import timezone

from advisory.notices.enums import STAGES, MailState, Stage
from advisory.notices.models import CalendarFeed, Mail, Reminder
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.plans.work import WORKS
from advisory.usage.models import LayUp

STAGE_OF = {
    DueState.NEAR: Stage.NEAR,
    DueState.DUE: Stage.DUE,
    DueState.LATE: Stage.LATE,
}
# What rests while a car is laid up; the rest of the work belongs to the lay-up itself.
RESTS_LAID_UP = [kind for kind, work in WORKS.items() if work.rests_laid_up]


def items_awake(items: "QuerySet[PlanItem]", today: date) -> "QuerySet[PlanItem]":
    """Leave out what rests because its car is laid up on that day."""
    laid_up = LayUp.objects.filter(
        Q(until_date=None) | Q(until_date__gt=today),
        from_date__lte=today,
        car__fittings__unit=OuterRef("unit"),
        car__fittings__until_date=None,
    )
    return items.exclude(state=DueState.RESTING).exclude(Exists(laid_up), work__in=RESTS_LAID_UP)


def items_to_remind_of(now: datetime) -> "QuerySet[PlanItem]":
    """Return the items that have come to a stage of which their owner has not been reminded."""
    unheard = Q()
    for number, stage in enumerate(STAGES):
        states = [state for state, its_stage in STAGE_OF.items() if its_stage == stage]
        reminded = Reminder.objects.filter(
            item=OuterRef("pk"),
            cycle=OuterRef("cycle"),
            person=OuterRef("unit__owner"),
            stage__in=STAGES[number:],
        )
        unheard |= Q(~Exists(reminded), state__in=states)
    return items_awake(PlanItem.objects.filter(unheard, unit__owner__is_active=True), now.date())


def items_still_due(
    person: Person, reminders: Iterable[Reminder], now: datetime
) -> dict[int, PlanItem]:
    """Return by key what of these reminders still holds, and is still this person's to do."""
    cycles = dict(sorted((reminder.item_id, reminder.cycle) for reminder in reminders))
    items = PlanItem.objects.filter(pk__in=cycles, state__in=STAGE_OF)
    mine = rules.scope(person, Permission.KEEP_USE, items_awake(items, now.date()))
    return {
        item.pk: item
        for item in mine.select_related("unit__design", "unit__workshop")
        if item.cycle == cycles[item.pk]
    }


def waiting_mail(now: datetime) -> "QuerySet[Mail]":
    """Return the mails that may be sent now, and that no worker holds."""
    return Mail.objects.filter(
        Q(held_until=None) | Q(held_until__lte=now),
        state=MailState.WAITING,
        next_try_at__lte=now,
    ).order_by("next_try_at", "id")


def feed_items(person: Person) -> "QuerySet[PlanItem]":
    """Return the plan of a person's own units, as far as it has a day and does not rest."""
    items = items_awake(PlanItem.objects.filter(forecast_date__isnull=False), timezone.now().date())
    return (
        rules.scope(person, Permission.KEEP_USE, items)
        .select_related("unit__design")
        .order_by(F("forecast_date"), "pk")
    )


def plan_changed_at(person: Person) -> datetime | None:
    """Return when anything on this person's plans last changed, also what rests or went away."""
    items = rules.scope(person, Permission.KEEP_USE, PlanItem.everything.all())
    changed: datetime | None = items.aggregate(last=Max("updated_at"))["last"]
    return changed


def own_feeds(person: Person) -> "QuerySet[CalendarFeed]":
    """Return the calendar addresses of this person that still work, newest first."""
    feeds = rules.scope(person, Permission.KEEP_ACCOUNT, CalendarFeed.objects.all())
    return feeds.filter(revoked_at=None)
