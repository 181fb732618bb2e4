"""Reads that more than one caller needs."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from django.db.models import (
    Exists,
    F,
    Min,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Subquery,
    prefetch_related_objects,
)
from django.db.models.functions import Coalesce
from django.utils import timezone

from advisory.findings.queries import has_writing
from advisory.notices.enums import STAGES, MailState, Stage, WebhookState
from advisory.notices.models import (
    CalendarFeed,
    Mail,
    ReadingRequest,
    Reminder,
    Snooze,
    WebhookMessage,
)
from advisory.notices.snoozing import latest_day
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.enums import ConsentScope
from advisory.people.models import Consent, Person
from advisory.people.rules import Permission
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.plans.queries import halts_of
from advisory.plans.work import WORKS
from advisory.register.enums import WorkKind
from advisory.register.models import Car
from advisory.usage.models import LayUp, Reading

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


def snoozes_holding(now: datetime) -> "QuerySet[Snooze]":
    """Return the snoozes that hold back what is said at that moment, of whichever cycle."""
    read_since = Reading.objects.filter(
        odometer__car__fittings__unit=OuterRef("item__unit"),
        odometer__car__fittings__until_date=None,
        created_at__gt=OuterRef("created_at"),
        created_at__lte=now,
    )
    return Snooze.objects.filter(lifted_at=None, created_at__lte=now, ends_at__gt=now).exclude(
        Exists(read_since), until_reading=True
    )


def snooze_of(item: PlanItem, person: Person) -> Snooze | None:
    """Return what holds back an item's reminders to its owner now, if anything does."""
    rows = snoozes_holding(timezone.now()).filter(item=item, cycle=item.cycle, person=person)
    return rows.order_by("-pk").first()


def snoozes_of(person: Person) -> dict[int, Snooze]:
    """Return by item all that holds back reminders to a person now, in one query."""
    rows = snoozes_holding(timezone.now()).filter(person=person).order_by("cycle", "pk")
    return {snooze.item_id: snooze for snooze in rows}


def longest_snoozes(items: Sequence[PlanItem], by: Person) -> dict[int, date | None]:
    """Return by key the last day to which a person may put each off; None where they may not."""
    units = {item.unit_id: item.unit for item in items}
    halts = halts_of(list(units.values()), by)
    today = today_of(by)
    return {
        item.pk: latest_day(
            state=DueState(item.state),
            expected=item.forecast_first or item.forecast_date or item.due_date,
            stop_matter=item.unit_id in halts or WORKS[WorkKind(item.work)].stop_matter,
            today=today,
        )
        for item in items
    }


def put_off(now: datetime) -> Exists:
    """Say of an item whether its owner wants to hear nothing of it at that moment."""
    return Exists(
        snoozes_holding(now).filter(
            item=OuterRef("pk"), cycle=OuterRef("cycle"), person=OuterRef("unit__owner")
        )
    )


def last_snooze() -> Coalesce:
    """Return, for an item, the key of the last snooze of its cycle by its owner; 0 without one."""
    snoozes = Snooze.objects.filter(
        item=OuterRef("pk"),
        cycle=OuterRef("cycle"),
        person=OuterRef("unit__owner"),
        lifted_at=None,
    )
    return Coalesce(Subquery(snoozes.order_by("-pk").values("pk")[:1]), 0)


def items_to_remind_of(now: datetime) -> "QuerySet[PlanItem]":
    """Return the items that have come to a stage of which their owner has not been reminded.

    What was put off is told of again when that has ended, at whichever stage it is then.
    """
    unheard = Q()
    for number, stage in enumerate(STAGES):
        states = [state for state, its_stage in STAGE_OF.items() if its_stage == stage]
        reminded = Reminder.objects.filter(
            item=OuterRef("pk"),
            cycle=OuterRef("cycle"),
            person=OuterRef("unit__owner"),
            stage__in=STAGES[number:],
            after_snooze=OuterRef("last_snooze"),
        )
        unheard |= Q(~Exists(reminded), state__in=states)
    items = PlanItem.objects.annotate(last_snooze=last_snooze()).filter(
        unheard, ~put_off(now), unit__owner__is_active=True
    )
    return items_awake(items, now.date())


def items_to_tell_workshops_of(now: datetime) -> "QuerySet[PlanItem]":
    """Return what is overdue, whose owner wants the workshop to know, and nobody there was told.

    The owner must have said so among their notices, and their consent to that workshop must stand.
    """
    told = Reminder.objects.filter(
        item=OuterRef("pk"), cycle=OuterRef("cycle"), stage=Stage.LATE
    ).exclude(person=OuterRef("unit__owner"))
    consent = Consent.objects.filter(
        organisation=OuterRef("unit__workshop"),
        person=OuterRef("unit__owner"),
        scope=ConsentScope.RECORDS,
        withdrawn_at=None,
    )
    items = PlanItem.objects.filter(
        ~Exists(told),
        ~put_off(now),
        Exists(consent),
        state=DueState.LATE,
        unit__owner__is_active=True,
        unit__owner__notice_preference__tell_workshop=True,
    )
    return items_awake(items, now.date())


def items_still_due(
    person: Person, reminders: Iterable[Reminder], now: datetime
) -> dict[int, PlanItem]:
    """Return by key what of these reminders still holds, and is still this person's to do."""
    return _still(person, Permission.KEEP_USE, reminders, now, Q(state__in=STAGE_OF))


def items_still_late(
    person: Person, reminders: Iterable[Reminder], now: datetime
) -> dict[int, PlanItem]:
    """Return by key what is still overdue, and what its owner lets this person know now."""
    late = Q(state=DueState.LATE, unit__owner__notice_preference__tell_workshop=True)
    return _still(person, Permission.VIEW_USE, reminders, now, late)


def _still(
    person: Person,
    permission: Permission,
    reminders: Iterable[Reminder],
    now: datetime,
    wanted: Q,
) -> dict[int, PlanItem]:
    reminders = list(reminders)
    unread = [reminder for reminder in reminders if not hasattr(reminder, "awake")]
    if unread:
        prefetch_related_objects(unread, Prefetch("item", _items_awake(now), to_attr="awake"))
    cycles = dict(sorted((reminder.item_id, reminder.cycle) for reminder in reminders))
    awake: dict[int, PlanItem] = {}
    for item in (reminder.awake for reminder in reminders):  # type: ignore[attr-defined]
        if item is not None:
            item.unit.has_writing = item.has_writing
            awake[item.pk] = item
    # they may have been read with those of other mails; whose they are, and how they stand, is
    # asked of each mail at its own moment
    theirs = rules.scope(person, permission, PlanItem.objects.filter(wanted, pk__in=awake))
    standing = theirs.order_by().values_list("pk", "cycle")
    return {pk: awake[pk] for pk, cycle in standing if cycle == cycles[pk] == awake[pk].cycle}


def _items_awake(now: datetime) -> "QuerySet[PlanItem]":
    """Return what may be told of at that moment to whom it concerns, with all that is told."""
    items = PlanItem.objects.filter(~put_off(now)).annotate(has_writing=has_writing("unit"))
    items = items.select_related("unit__design", "unit__workshop", "unit__owner")
    return items_awake(items, now.date())


def with_what_they_tell(mails: "QuerySet[Mail]", now: datetime) -> "QuerySet[Mail]":
    """Read with mails, for all of them at once, what they remind of as far as it still holds."""
    items = Prefetch("reminders__item", _items_awake(now), to_attr="awake")
    return mails.prefetch_related("reminders", items)


def requests_still_open(person: Person, mail: Mail) -> list[ReadingRequest]:
    """Return what a mail asks for that nobody has said since, of cars still this person's."""
    read_since = Reading.objects.filter(
        odometer__car=OuterRef("car"), created_at__gt=OuterRef("raised_at")
    )
    mine = rules.scope(person, Permission.KEEP_USE, Car.objects.all())
    rows = ReadingRequest.objects.filter(
        ~Exists(read_since), mail=mail, person=person, car__in=mine, answered_at=None
    )
    return list(rows.select_related("car", "person", "item__unit__design").order_by("car"))


def waiting_mail(now: datetime) -> "QuerySet[Mail]":
    """Return the mails that may be sent now, and that no worker holds."""
    return Mail.objects.filter(
        Q(held_until=None) | Q(held_until__lte=now),
        state=MailState.WAITING,
        next_try_at__lte=now,
    ).order_by("next_try_at", "id")


def sweeps_at_work(now: datetime) -> int:
    """Return how many workers hold a mail at this moment."""
    return Mail.objects.filter(state=MailState.WAITING, held_until__gt=now).count()


def oldest_waiting(now: datetime) -> datetime | None:
    """Return since when the oldest waiting mail could have gone; None where none waits.

    What waits for a morning or a day that its reader chose is not old by that.
    """
    since = Coalesce("first_tried_at", "next_try_at")
    waiting = Mail.objects.filter(state=MailState.WAITING).annotate(since=since)
    oldest: datetime | None = waiting.filter(since__lte=now).aggregate(oldest=Min("since"))[
        "oldest"
    ]
    return oldest


def waiting_messages(now: datetime) -> "QuerySet[WebhookMessage]":
    """Return what may go to workshops' own systems now, and no worker holds."""
    return WebhookMessage.objects.filter(
        Q(held_until=None) | Q(held_until__lte=now),
        state=WebhookState.WAITING,
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


def own_feeds(person: Person) -> "QuerySet[CalendarFeed]":
    """Return the calendar addresses of this person that still work, newest first."""
    feeds = rules.scope(person, Permission.KEEP_ACCOUNT, CalendarFeed.objects.all())
    return feeds.filter(revoked_at=None)
