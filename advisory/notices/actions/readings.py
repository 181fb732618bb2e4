"""Asking for a reading by mail at the moment at which it is worth most, and taking the answer."""

import logging
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Count, Exists, Max, OuterRef, QuerySet, Subquery
from django.utils import timezone

from advisory.common import audit
from advisory.engineering import usage_forecast as forecasting
from advisory.notices.actions.mailing import Raised, write_with_mail
from advisory.notices.actions.outbox import send_soon
from advisory.notices.enums import MailKind
from advisory.notices.models import ReadingRequest
from advisory.notices.queries import items_awake, put_off
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.plans.models import PlanItem
from advisory.plans.queries import items_asking_for_reading
from advisory.plans.work import WORKS
from advisory.register.enums import WorkKind
from advisory.register.models import Car, Fitting
from advisory.usage.actions import record_reading
from advisory.usage.enums import ReadingSource
from advisory.usage.models import Reading

logger = logging.getLogger(__name__)

# Nobody is asked for the same car more often. Common practice, no source.
NOT_AGAIN_FOR = timedelta(weeks=6)
CARS_AT_ONCE = 500


def items_to_ask_about(now: datetime) -> "QuerySet[Any]":
    """Return the items of which only a reading can tell how near they are, where none was asked."""
    asked = ReadingRequest.objects.filter(
        car=OuterRef("car_key"), raised_at__gt=now - NOT_AGAIN_FOR
    )
    readings = Reading.objects.filter(odometer__car=OuterRef("car_key")).order_by()
    fitted = Fitting.objects.filter(unit=OuterRef("unit"), until_date=None)
    items = items_asking_for_reading().annotate(
        car_key=Subquery(fitted.values("car")[:1]),
        read_on=Subquery(
            readings.values("odometer__car").annotate(last=Max("date")).values("last")
        ),
    )
    items = items.filter(
        ~Exists(asked),
        ~put_off(now),
        car_key__isnull=False,
        read_on__isnull=False,
        forecast_first__isnull=False,
        unit__owner__is_active=True,
    )
    return items_awake(items, now.date())


def ask_for_readings(*, now: datetime | None = None, cars_at_once: int = CARS_AT_ONCE) -> Raised:
    """Ask each owner whose plan nobody can tell for a reading, once it is worth most.

    May be killed anywhere, and run twice at once: the request's number for its car makes it once.
    """
    now = now or timezone.now()
    raised, after = Raised(), 0
    while cars := list(
        items_to_ask_about(now)
        .filter(car_key__gt=after)
        .order_by("car_key")
        .values_list("car_key", flat=True)
        .distinct()[:cars_at_once]
    ):
        after = cars[-1]
        with transaction.atomic():
            raised += _ask(cars, now)
            send_soon()
    logger.info("%d readings asked for, %d mails written", raised.reminders, raised.mails)
    return raised


def _ask(cars: Sequence[int], now: datetime) -> Raised:
    items = list(
        items_to_ask_about(now)
        .filter(car_key__in=cars)
        .select_related("unit__owner")
        .order_by("car_key", "pk")
    )
    worth = _worth(items)
    best: dict[int, tuple[float, PlanItem]] = {}
    for item, days in zip(items, worth, strict=True):
        key = item.car_key
        if days is not None and (key not in best or days > best[key][0]):
            best[key] = days, item
    before = dict(
        Car.objects.filter(pk__in=best).values_list("pk").annotate(asked=Count("reading_requests"))
    )
    rows: list[ReadingRequest] = []
    people: dict[int, Person] = {}
    for key, (days, item) in best.items():
        owner = item.unit.owner
        assert owner is not None  # asked for by the query
        people[owner.pk] = owner
        rows.append(
            ReadingRequest(
                car_id=key,
                item=item,
                person=owner,
                number=before[key] + 1,
                raised_at=now,
                worth=days,
            )
        )
    return write_with_mail(rows, people.values(), MailKind.READING, now)


def _worth(items: Sequence[Any]) -> list[float | None]:
    """Return the days that a reading saves; None where it is not to be asked for now."""
    if not items:
        return []
    days: list[tuple[int, int, int, int, int]] = []
    for item in items:
        today = today_of(item.unit.owner)
        read_on: date = item.read_on
        horizon = read_on + timedelta(days=forecasting.HORIZON)
        last = item.forecast_last or horizon
        middle = min(item.forecast_date or last, last)
        first = min(item.forecast_first or middle, middle)
        days.append(
            (
                (first - today).days,
                (middle - today).days,
                (last - today).days,
                max((today - read_on).days, 0),
                WORKS[WorkKind(item.work)].lead.days,
            )
        )
    worth = forecasting.reading_worth(*zip(*days, strict=True))  # type: ignore[arg-type]
    return [
        float(saved) if asks else None
        for saved, asks in zip(worth.now, worth.asks_now, strict=True)
    ]


@transaction.atomic
def answer_request(
    *, request: ReadingRequest, shown: int, confirm: bool = False, went_round: bool = False
) -> None:
    """Write down what the odometer shows today, as the person who was asked; once a request.

    Raises
    ------
    Refused, Question
        As for any reading; nothing was written then.
    NotAllowed
        Where the car is no longer this person's.
    """
    request = (
        ReadingRequest.objects.select_for_update(of=("self",))
        .select_related("car", "person")
        .get(pk=request.pk)
    )
    if request.answered_at is not None:
        return
    record_reading(
        car=request.car,
        date=today_of(request.person),
        shown=shown,
        by=request.person,
        source=ReadingSource.TYPED,
        confirm=confirm,
        went_round=went_round,
    )
    ReadingRequest.objects.filter(pk=request.pk).update(answered_at=timezone.now())
    audit.record("answer_request", request, by=request.person, car=request.car_id)
