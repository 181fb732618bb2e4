"""Why units need a word, as it stands now: a constant number of SQL queries, only of what does."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import DateField, Exists, F, OuterRef, Q, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce, Greatest, TruncDate

from advisory.findings.enums import FindingState, Judgement
from advisory.findings.models import Answer, Finding, MeasuredValue, Measuring, Way
from advisory.lubrication.models import OilService
from advisory.notices.enums import FollowReason
from advisory.people import rules
from advisory.people.clock import EARLIEST
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.plans.enums import CountedFrom, DueBy, DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.register.enums import BuildState, WorkKind
from advisory.register.models import Build, Fitting, Unit
from advisory.reports.columns import Among, Column, read
from advisory.usage.models import HourReading, LayUp, Reading

# After so long something has gone wrong on the way; set by us, no source.
WAITS = timedelta(days=7)
SILENCE = timedelta(days=365)
_COMING = (DueState.NEAR, DueState.DUE)
_REACHED = (*_COMING, DueState.LATE)


@dataclass(frozen=True)
class Standing:
    """One reason on one unit, since when, and what it is about."""

    unit: int
    reason: FollowReason
    occasion: str
    since: date
    work: str = ""
    position: str = ""
    finding: int | None = None


def units_followed(workshop: Organisation, by: Person) -> "QuerySet[Unit]":
    """Return the units whose owners a person of the workshop may write to."""
    units = Unit.objects.filter(workshop=workshop, owner__is_active=True)
    return rules.scope(by, Permission.FOLLOW_UP, units)


def standing_of(units: "QuerySet[Unit]", today: date) -> list[Standing]:
    """Return what stands on these units, each reason once a unit: the longest standing."""
    keys = read(units, pk="pk")["pk"]
    first: dict[tuple[int, FollowReason], Standing] = {}
    for find in _FINDERS:
        for found in find(keys, today):
            before = first.get((found.unit, found.reason))
            if before is None or found.since < before.since:
                first[found.unit, found.reason] = found
    return list(first.values())


def _items(keys: Column) -> "QuerySet[PlanItem]":
    return PlanItem.objects.filter(Among("unit_id", keys)).order_by()


def _by_item(items: "QuerySet[PlanItem]", reason: FollowReason) -> Iterator[Standing]:
    """Name the occasion by the cycle; it stands since the day on which it was, or will be, due."""
    rows = items.values_list("unit_id", "work", "cycle", "due_date", "forecast_date", "anchor_date")
    for unit, work, cycle, due, forecast, anchor in rows:
        since = min((day for day in (due, forecast) if day), default=anchor)
        yield Standing(unit, reason, f"{work}-{cycle}", since, work=work)


def running_in(keys: Column, _today: date) -> Iterator[Standing]:
    """Yield units of which an oil change that running-in asks for is near or due."""
    items = _items(keys).filter(limited_by=DueBy.RUNNING_IN, state__in=_COMING)
    return _by_item(items.filter(work=WorkKind.OIL_CHANGE), FollowReason.RUNNING_IN)


def _first_change() -> "QuerySet[PlanItem]":
    return PlanItem.objects.filter(
        work=WorkKind.OIL_CHANGE, counted_from=CountedFrom.BUILD, state=DueState.LATE
    )


def first_change(keys: Column, _today: date) -> Iterator[Standing]:
    """Yield units whose first oil change since they were built is overdue, or not written down."""
    items = _items(keys).filter(pk__in=_first_change())
    return _by_item(items, FollowReason.FIRST_CHANGE)


def overdue_twice(keys: Column, _today: date) -> Iterator[Standing]:
    """Yield units with overdue work that was done late the time before."""
    late_before = WorkDone.objects.filter(
        unit=OuterRef("unit"), work=OuterRef("work"), cycle=OuterRef("cycle") - 1, in_time=False
    )
    items = _items(keys).filter(Exists(late_before), state=DueState.LATE)
    return _by_item(items.exclude(pk__in=_first_change()), FollowReason.OVERDUE_TWICE)


def wearing(keys: Column, _today: date) -> Iterator[Standing]:
    """Yield units on which what was measured so far says to measure again now."""
    items = _items(keys).filter(limited_by=DueBy.WEAR, state__in=_REACHED)
    return _by_item(items, FollowReason.DRIFTING)


def watched(keys: Column, _today: date) -> Iterator[Standing]:
    """Yield units not rebuilt since, whose newest figure at a place is one to watch."""
    values = MeasuredValue.objects.filter(
        Among("measuring__unit_id", keys), judgement=Judgement.WATCH
    ).order_by()
    newer = MeasuredValue.objects.filter(
        measuring__unit=OuterRef("measuring__unit"),
        position=OuterRef("position"),
        measuring__measured_on__gt=OuterRef("measuring__measured_on"),
    )
    told = Finding.objects.filter(
        unit=OuterRef("measuring__unit"),
        position=OuterRef("position"),
        value__isnull=False,
        seen_on__gt=OuterRef("measuring__measured_on"),
    )
    rebuilt = Build.objects.filter(
        unit=OuterRef("measuring__unit"),
        state=BuildState.SIGNED,
        built_on__gt=OuterRef("measuring__measured_on"),
    )
    rows = values.filter(~Exists(newer), ~Exists(told), ~Exists(rebuilt)).values_list(
        "measuring__unit_id", "measuring__measured_on", "position_id", "position__name"
    )
    for unit, day, position, name in rows:
        occasion = f"watch-{position}-{day}"
        yield Standing(unit, FollowReason.DRIFTING, occasion, day, position=name)


def _exchanged(keys: Column) -> Any:
    """Return findings and when something was said to each last, be it that it was sent."""
    said = Answer.objects.filter(finding=OuterRef("pk")).order_by("-at", "-pk")
    return (
        Finding.objects.filter(Among("unit_id", keys), sent_at__isnull=False)
        .order_by()
        .annotate(
            said_at=Coalesce(Subquery(said.values("at")[:1]), F("sent_at")),
            said=Subquery(said.values("pk")[:1]),
        )
    )


def waiting(keys: Column, today: date) -> Iterator[Standing]:
    """Yield units of which a finding waits for the workshop longer than it means to let it."""
    aim = F("unit__workshop__answering_aim__days")
    rows = _exchanged(keys).filter(state__in=(FindingState.SENT, FindingState.SEEN))
    for unit, pk, said, first, days in rows.values_list(
        "unit_id", "pk", "said_at", "first_answered_at", aim
    ):
        aimed = timedelta(days) if days is not None and first is None else WAITS
        if said.date() < today - aimed:
            occasion = f"finding-{pk}-{said.date()}"
            yield Standing(unit, FollowReason.WAITING, occasion, said.date(), finding=pk)


def unanswered(keys: Column, today: date) -> Iterator[Standing]:
    """Yield units whose owner has not answered a question, or picked none of the ways offered."""
    offered = Way.objects.filter(finding=OuterRef("pk"))
    rows = _exchanged(keys).filter(
        Q(state=FindingState.QUESTION)
        | Q(Exists(offered), state=FindingState.ANSWERED, agreed=None)
    )
    for unit, pk, at, said in rows.values_list("unit_id", "pk", "said_at", "said"):
        if at.date() < today - WAITS:
            occasion = f"said-{said}"
            yield Standing(unit, FollowReason.UNANSWERED, occasion, at.date(), finding=pk)


def silent(keys: Column, today: date) -> Iterator[Standing]:
    """Yield units on which nothing was entered, done, sent or measured for a year."""
    since = today - SILENCE
    units = Unit.objects.filter(Among("pk", keys), created_at__date__lt=since).order_by()
    for rows, day in _signs():
        units = units.filter(~Exists(rows.filter(**{f"{day}__gte": since})))
    last = Greatest(
        TruncDate("created_at"),
        *(
            Coalesce(
                Subquery(rows.order_by(F(day).desc(nulls_last=True)).values(day)[:1]),
                Value(EARLIEST, output_field=DateField()),
                output_field=DateField(),
            )
            for rows, day in _signs()
        ),
    )
    for unit, day in units.annotate(last=last).values_list("pk", "last"):
        yield Standing(unit, FollowReason.SILENT, f"since-{day}", day)


def _signs() -> "list[tuple[QuerySet[Any], str]]":
    """Return the rows that are a sign of life of an outer unit, each with its day's name."""
    unit = OuterRef("pk")
    in_it = {"fittings__unit": unit, "fittings__until_date": None}
    of_car: dict[str, Any] = {f"car__{name}": value for name, value in in_it.items()}
    of_instrument = {f"odometer__{name}": value for name, value in of_car.items()}
    signs: list[tuple[QuerySet[Any], str]] = [
        (Reading.objects.filter(**of_instrument), "date"),
        (LayUp.objects.filter(**of_car), "from_date"),
        # what was sent to nobody is the owner's alone, and so is its day
        (Finding.objects.filter(unit=unit, sent_at__isnull=False), "seen_on"),
    ]
    for model, day in (
        (HourReading, "date"),
        (OilService, "date"),
        (WorkDone, "date"),
        (Measuring, "measured_on"),
        (Fitting, "from_date"),
        (Fitting, "until_date"),
    ):
        signs.append((model._default_manager.filter(unit=unit), day))
    return signs


_FINDERS: tuple[Callable[[Column, date], Iterator[Standing]], ...] = (
    running_in,
    first_change,
    overdue_twice,
    wearing,
    watched,
    waiting,
    unanswered,
    silent,
)
