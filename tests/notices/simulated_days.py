"""Days of a small club, driven through the service, and the rules of sending written out plainly.

The rules here are slow and know nothing of the service's own queries: they look at each item, one
after the other, and remember what was said. What the service raises and sends is held against them
at every hour at which it works.
"""

import random
import zoneinfo
from collections import Counter, defaultdict
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta

import time_machine

from advisory.common.errors import Refused
from advisory.lubrication.enums import Filtration
from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.actions.snoozes import snooze_item
from advisory.notices.enums import MailKind, MailState
from advisory.notices.models import Mail, NoticePreference, Reminder, Snooze
from advisory.people.models import Person
from advisory.plans.actions import mark_done, refresh_plans
from advisory.plans.models import PlanItem
from advisory.register.models import Car, Design, Unit
from advisory.usage.actions import lay_up_car, record_reading, return_car_to_use
from advisory.usage.models import LayUp, Reading
from tests.cast import make_arrangement, make_car, make_unit

RANK = {"near": 0, "due": 1, "late": 2}
HOURS = (3, 9, 15, 21)
ZONES = ("Europe/London", "America/New_York", "Australia/Sydney")
Commits = Callable[[], AbstractContextManager[object]]


@dataclass
class Owner:
    """Somebody with a car, and what of it is true whoever knows it."""

    person: Person
    car: Car
    unit: Unit
    miles_a_day: float
    shown: float = 40_000.0


@dataclass
class Club:
    """The world, the plain rules' memory, and what was counted."""

    owners: list[Owner]
    chance: random.Random
    rests: frozenset[str]
    heard: dict[tuple[int, int, int], int] = field(default_factory=dict)
    reminders: Counter[str] = field(default_factory=Counter)
    mails: Counter[tuple[int, date]] = field(default_factory=Counter)
    done: int = 0
    put_off: int = 0
    laid_up: int = 0


def make_club(
    design: Design, *, cars: int, seed: int, begin: date, rests: frozenset[str],
    make_person: Callable[..., Person],
) -> Club:  # fmt: skip
    """Found a club: owners in three zones, some with hours and days of their own."""
    chance = random.Random(seed)
    owners = []
    with time_machine.travel(datetime.combine(begin, time(9), tzinfo=UTC), tick=False):
        for n in range(cars):
            person = make_person(f"Owner {n:03d}", zone=ZONES[n % len(ZONES)])
            if n % 4 == 1:
                NoticePreference.objects.create(person=person, from_hour=17, until_hour=20)
            elif n % 4 == 3:
                NoticePreference.objects.create(person=person, mail_days=0b1100000)
            car = make_car(person, f"Maker {n}")
            unit = make_unit(person, design, serial=f"S-{n:04d}", car=car)
            make_arrangement(unit, chance.choice([Filtration.NONE, Filtration.BYPASS]))
            one = Owner(person, car, unit, miles_a_day=chance.choice([4, 12, 30]))
            record_reading(car=car, date=begin, shown=int(one.shown), by=person, confirm=True)
            owners.append(one)
    return Club(owners, chance, rests)


def live(club: Club, begin: date, days: int, commits: Commits) -> None:
    """Let days pass: plans by night, work by day, reminders and mail every few hours."""
    for number in range(1, days + 1):
        day = begin + timedelta(days=number)
        with time_machine.travel(datetime.combine(day, time(2, 10), tzinfo=UTC), tick=False):
            refresh_plans(units=[one.unit.pk for one in club.owners])
        for hour in HOURS:
            now = datetime.combine(day, time(hour, 20), tzinfo=UTC)
            with time_machine.travel(now, tick=False):
                if hour == HOURS[1]:
                    with commits():
                        _people_act(club, day)
                _service_works(club, now)


def _people_act(club: Club, day: date) -> None:
    for one in club.owners:
        resting = LayUp.objects.filter(car=one.car, until_date=None).first()
        if resting is None:
            one.shown += one.miles_a_day * club.chance.uniform(0.2, 1.8)
        roll = club.chance.random()
        if resting is not None:
            if day.month in (3, 4, 9) and roll < 0.1:
                return_car_to_use(car=one.car, date=day, by=one.person)
        elif day.month in (10, 11) and roll < 0.02:
            club.laid_up += 1
            lay_up_car(car=one.car, date=day, by=one.person)
        elif roll < 0.06:
            record_reading(
                car=one.car, date=day, shown=int(one.shown), by=one.person,
                confirm=True, went_round=False,
            )  # fmt: skip
        for item in PlanItem.objects.filter(unit=one.unit, state__in=RANK):
            roll = club.chance.random()
            if roll < 0.05:
                club.done += 1
                mark_done(
                    unit=one.unit, work=item.work, date=day, by=one.person,
                    shown=int(one.shown), confirm=True,
                )  # fmt: skip
            elif roll < 0.08:
                try:
                    snooze_item(
                        item=item, reason="parts", by=one.person,
                        until=day + timedelta(days=club.chance.randint(1, 20)),
                        until_reading=club.chance.random() < 0.5,
                    )  # fmt: skip
                    club.put_off += 1
                except Refused:
                    pass  # what must not be put off


def _service_works(club: Club, now: datetime) -> None:
    wanted = expected_reminders(club, now)
    raise_reminders(now=now)
    raised = {
        (row.item_id, row.cycle, row.stage, row.person_id)
        for row in Reminder.objects.filter(raised_at=now)
    }
    assert raised == {key for key, _epoch in wanted}, now
    for (item, cycle, stage, _person), epoch in wanted:
        club.heard[item, cycle, epoch] = RANK[stage]
        club.reminders[stage] += 1
    for item, cycle, rank, epoch in _speaking(club, now):
        # nothing that is due, or overdue, of which its owner has not heard
        assert club.heard.get((item.pk, cycle, epoch), -1) >= rank
    deliver_waiting()
    _check_mails(club, now)


def expected_reminders(club: Club, now: datetime) -> list[tuple[tuple[int, int, str, int], int]]:
    """Say item by item what is to be raised now, by the rules and by what was said before."""
    found = []
    for item, cycle, rank, epoch in _speaking(club, now):
        if club.heard.get((item.pk, cycle, epoch), -1) < rank:
            found.append(((item.pk, cycle, str(item.state), item.unit.owner_id), epoch))
    return found


def _speaking(club: Club, now: datetime) -> list[tuple[PlanItem, int, int, int]]:
    """Return the items that may be spoken of now, each with its stage and its last snooze."""
    lay_ups = list(LayUp.objects.all())
    car_of = {one.unit.pk: one.car.pk for one in club.owners}
    resting = {row.car_id for row in lay_ups if _rests(row, now.date())}
    read: dict[int, list[datetime]] = defaultdict(list)
    for car, at in Reading.objects.values_list("odometer__car", "created_at"):
        read[car].append(at)
    of_item: dict[int, list[Snooze]] = defaultdict(list)
    for snooze in Snooze.objects.filter(lifted_at=None):
        of_item[snooze.item_id].append(snooze)
    found = []
    for item in PlanItem.everything.select_related("unit"):
        car = car_of[item.unit_id]
        if not item.in_force or item.state not in RANK:
            continue
        if item.work in club.rests and car in resting:
            continue
        snoozes = [
            row
            for row in of_item[item.pk]
            if row.cycle == item.cycle and row.person_id == item.unit.owner_id
        ]
        if any(_holds(row, read[car], now) for row in snoozes):
            continue
        epoch = max((row.pk for row in snoozes), default=0)
        found.append((item, item.cycle, RANK[item.state], epoch))
    return found


def _rests(lay_up: LayUp, today: date) -> bool:
    return lay_up.from_date <= today and (lay_up.until_date is None or today < lay_up.until_date)


def _holds(snooze: Snooze, read: list[datetime], now: datetime) -> bool:
    if now >= snooze.ends_at:
        return False
    if not snooze.until_reading:
        return True
    return not any(snooze.created_at < at <= now for at in read)


def _check_mails(club: Club, now: datetime) -> None:
    speaking = {(item.pk, cycle) for item, cycle, _rank, _epoch in _speaking(club, now)}
    for mail in Mail.objects.filter(kind=MailKind.REMINDER, state=MailState.SENT, sent_at=now):
        assert mail.person is not None
        local = now.astimezone(zoneinfo.ZoneInfo(mail.person.zone))
        chosen = NoticePreference.objects.filter(person=mail.person).first()
        first, last, days = 7, 21, 0b1111111
        if chosen is not None:
            first, last, days = chosen.from_hour, chosen.until_hour, chosen.mail_days
        assert first <= local.hour < last, "no mail at night, none outside of the hours chosen"
        assert days >> local.weekday() & 1, "only on the days chosen"
        club.mails[mail.person.pk, local.date()] += 1
        assert club.mails[mail.person.pk, local.date()] == 1, "one mail a window"
        told = {(row.item_id, row.cycle) for row in mail.reminders.all()}
        assert told & speaking, "none of what is done, and none without anything to say"


def check_the_end(club: Club, now: datetime) -> None:
    """Nothing waits past its window, and nothing is told twice."""
    for mail in Mail.objects.filter(kind=MailKind.REMINDER, state=MailState.WAITING):
        assert mail.next_try_at > now - timedelta(hours=7)
    keys = Reminder.objects.values_list("item", "cycle", "stage", "person", "after_snooze")
    assert max(Counter(keys).values(), default=1) == 1
