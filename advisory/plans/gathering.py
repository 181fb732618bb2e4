"""What the plans of many units rest on, gathered with a constant number of queries."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cached_property
from itertools import pairwise, starmap
from typing import NamedTuple

from django.db.models import Exists, Max, OuterRef
from django.utils import timezone

from advisory.common.keys import among
from advisory.lubrication.adapters import IntervalAdvice
from advisory.lubrication.adapters.assumed import MEAN_SPEED
from advisory.lubrication.advice import advise_many
from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.models import OilService
from advisory.lubrication.queries import OilInUnit, oils_of
from advisory.people.clock import today_of
from advisory.people.seasons import season_ahead
from advisory.plans.bulletins.asked import asked_by_bulletins
from advisory.plans.computation import Anchor, Limits, Spell
from advisory.plans.days import days_of_lay_ups
from advisory.plans.matters import matters_of
from advisory.plans.models import PlanItem, WearMark, WorkDone
from advisory.plans.work import WORKS, AskedByBulletin, Facts, Instruction, Matter, WornPlace
from advisory.register.enums import BuildState, PositionKind, Season, UnitKind, WorkKind
from advisory.register.models import Build, MaintenanceInstruction, Position, Unit
from advisory.usage.models import LayUp
from advisory.usage.queries import unit_uses_of
from advisory.usage.use import CarUse, UnitUse

WINTER = frozenset({12, 1, 2})
# Which service closes which work by itself, however it was entered.
CLOSED_BY = {
    work.oil_service: work.kind
    for work in WORKS.values()
    if work.closed_by_service and work.oil_service is not None
}


@dataclass(frozen=True)
class Done:
    """When one kind of work was last written down as done, and the last of its cycles."""

    date: date
    cycle: int


class OpenService(NamedTuple):
    """An oil service that no work done stands for yet."""

    pk: int
    unit_id: int
    kind: str
    date: date
    shown: int | None
    entered_by_id: int | None


@dataclass
class Known:
    """All that the plan of one unit rests on.

    `open_services` are oil services by the work that they close, oldest first, that no work done
    stands for yet.
    """

    unit: Unit
    today: date
    use: UnitUse
    oil: OilInUnit
    advice: IntervalAdvice
    positions: frozenset[PositionKind] = frozenset()
    instructions: Mapping[WorkKind, Instruction] = field(default_factory=dict)
    worn: Mapping[PositionKind, Sequence[WornPlace]] = field(default_factory=dict)
    matters: tuple[Matter, ...] = ()
    bulletins: Sequence[AskedByBulletin] = ()
    built_on: date | None = None
    now: datetime = field(default_factory=timezone.now)
    items: dict[WorkKind, PlanItem] = field(default_factory=dict)
    done: dict[WorkKind, Done] = field(default_factory=dict)
    open_services: dict[WorkKind, list[OpenService]] = field(default_factory=dict)
    # the cycle of each item as it stands in the database
    cycles_read: dict[WorkKind, int] = field(init=False)
    # most items count from the same few days
    _distances: dict[tuple[date, int | None], float | None] = field(init=False)
    _expected: dict[date, float | None] = field(init=False)

    def __post_init__(self) -> None:
        """Note the cycles before anything moves them."""
        self.cycles_read = {kind: item.cycle for kind, item in self.items.items()}
        self._distances = {}
        self._expected = {}

    @cached_property
    def start(self) -> date:
        """The day on which the unit came into the register."""
        return min(self.unit.created_at.date(), self.today)

    @property
    def days_done(self) -> set[date]:
        """The days on which work of its plan was done, or is about to count as done."""
        days = {done.date for done in self.done.values()}
        return days | {row.date for rows in self.open_services.values() for row in rows}

    @property
    def facts(self) -> Facts:
        """What the kinds of work may ask."""
        car, owner = self.use.current, self.unit.owner
        ahead = [] if car is None else _lay_ups_ahead(car, self.today)
        return Facts(
            kind=UnitKind(self.unit.design.kind),
            today=self.today,
            oil=self.oil,
            advice=self.advice,
            positions=self.positions,
            in_car=car is not None,
            lay_up=ahead[0].from_date if ahead else None,
            back_on=ahead[0].until_date if ahead else None,
            laid_up=car is not None and car.laid_up(self.today) is not None,
            laid_up_last=None if car is None else _laid_up_last(car),
            rests_in_winter=car is None or _rests_in_winter(car),
            season_ahead=timedelta(0) if owner is None else season_ahead(owner.zone),
            built=self.built_on is not None,
            looked_at=WorkKind.FIRST_LOOK in self.done,
            counts_hours=self.use.mean_speed is not None,
            instructions=self.instructions,
            worn=self.worn,
            matters=self.matters,
            bulletins=tuple(self.bulletins),
        )

    @cached_property
    def days_that_matter(self) -> list[date]:
        """The days on which its car's lay-ups, or its coming into the register, change things."""
        days = [self.unit.created_at.date()]
        for _fitting, car in self.use.stays:
            days += days_of_lay_ups(car.lay_ups, self.today, car.season_ahead)
        return days

    @cached_property
    def spells(self) -> list[Spell]:
        """The days on which it stood still: laid up, or in no car between two."""
        stays = self.use.stays
        spells = [
            Spell(lay_up.from_date, lay_up.until_date)
            for fitting, car in stays
            for lay_up in car.lay_ups
            if fitting.until_date is None or lay_up.from_date <= fitting.until_date
        ]
        for (before, _), (after, _) in pairwise(stays):
            if before.until_date is not None:
                spells.append(Spell(before.until_date, after.from_date))
        return spells

    @property
    def mean_speed(self) -> float:
        """Metres a second of running: as the hour counter tells, else as is usual."""
        return self.use.mean_speed or MEAN_SPEED

    def ran_out_at(self, running_time: float | None, anchor: Anchor) -> float | None:
        """Return the unit's distance at which a running time since the anchor is used up.

        By the hour counter as far as it goes, and on at the mean speed; None where neither the
        counter nor the distance reaches back to the anchor.
        """
        if running_time is None:
            return None
        ran, last = self.use.hours.since(anchor.date.toordinal()), self.use.hours.last
        if ran is not None and last is not None:
            here = self.use.distance(date.fromordinal(last.day))
            if here is not None:
                return here + (running_time - ran) * self.mean_speed
        if anchor.distance is None:
            return None
        return anchor.distance + running_time * self.mean_speed

    def distance_at(self, day: date, shown: int | None = None) -> float | None:
        """Return the unit's own distance on a day; None where what lies between isn't known."""
        if (day, shown) not in self._distances:
            now, since = self.use.distance(), self.use.since(day, shown)
            there = None if now is None or since is None else now - since
            self._distances[day, shown] = there
        return self._distances[day, shown]

    def passed_anyhow(self, limits: Limits, anchor: Anchor) -> float | None:
        """Return the distance of the anchor, at the latest, where a limit is passed by then.

        Over a gap of unknown distance nobody knows how far the unit has come; what is known of it
        may be too far already. None where that isn't so, or the distance is known.
        """
        now = self.use.distance()
        if now is None or anchor.distance is not None or not limits.counts_distance:
            return None
        least = self.use.at_least_since(anchor.date)
        hours = limits.running_time
        marks = [limits.distance, None if hours is None else hours * self.mean_speed]
        reached = any(mark is not None and least >= mark for mark in marks)
        return now - least if reached else None

    def expected_at(self, day: date) -> float | None:
        """Return the unit's own distance on a day, after the last reading as it is expected."""
        if day not in self._expected:
            there = self.distance_at(day)
            if there is not None:
                # to ten kilometres: it is a guess, and what is learnt each night would else move it
                there += round(self.use.driven_unread(day, self.today), -4)
            self._expected[day] = there
        return self._expected[day]


def gather(units: Sequence[Unit]) -> list[Known]:
    """Gather what the plans of these units rest on, in their order.

    Select `design__workshop` and `owner` related.
    """
    ids, now = [unit.pk for unit in units], timezone.now()
    todays = {unit.pk: today_of(unit.owner) for unit in units}
    uses, oils = unit_uses_of(units), oils_of(units)
    advices = advise_many(units, uses=uses, oils=oils, todays=todays)
    positions, worn = _positions(units), _worn(ids)
    instructions = _instructions(units)
    bulletins = asked_by_bulletins(units)
    built = dict(
        Build.objects.filter(unit__in=among(ids), state=BuildState.SIGNED)
        .order_by("built_on")
        .values_list("unit_id", "built_on")
    )
    matters = matters_of(units, built)
    items: dict[int, dict[WorkKind, PlanItem]] = defaultdict(dict)
    for item in PlanItem.everything.filter(unit__in=among(ids)):
        items[item.unit_id][WorkKind(item.work)] = item
    done: dict[int, dict[WorkKind, Done]] = defaultdict(dict)
    last = WorkDone.objects.filter(unit__in=among(ids)).order_by().values("unit_id", "work")
    for row in last.annotate(day=Max("date"), last_cycle=Max("cycle")):
        done[row["unit_id"]][WorkKind(row["work"])] = Done(row["day"], row["last_cycle"])
    services: dict[int, dict[WorkKind, list[OpenService]]] = defaultdict(dict)
    for service in _open_services(ids):
        kind = CLOSED_BY[ServiceKind(service.kind)]
        services[service.unit_id].setdefault(kind, []).append(service)
    return [
        Known(
            unit=unit,
            today=todays[unit.pk],
            use=uses[unit.pk],
            oil=oils[unit.pk],
            advice=advices[unit.pk],
            positions=positions[unit.design_id],
            instructions=instructions[unit.design_id],
            worn=worn[unit.pk],
            matters=tuple(matters[unit.pk]),
            bulletins=bulletins.get(unit.pk, ()),
            built_on=built.get(unit.pk),
            now=now,
            items=items[unit.pk],
            done=done[unit.pk],
            open_services=services[unit.pk],
        )
        for unit in units
    ]


def _lay_ups_ahead(car: CarUse, today: date) -> list[LayUp]:
    """Return the lay-ups that a car is in or is announced to be in, the first one first."""
    ahead = [row for row in car.lay_ups if row.until_date is None or row.until_date > today]
    return sorted(ahead, key=lambda row: row.from_date)


def _laid_up_last(car: CarUse) -> date | None:
    return max((spell.from_date for spell in car.lay_ups), default=None)


def _rests_in_winter(car: CarUse) -> bool:
    """Say whether a car is laid up in winter; it is taken so unless its readings say otherwise."""
    if car.lay_ups:
        return True
    for before, after in pairwise(car.trace.believed):
        days = (date.fromordinal(point.reading.day) for point in (before, after))
        first, last = (day + car.season_ahead for day in days)
        of_one_winter = first.month in WINTER and last.month in WINTER and (last - first).days < 100
        if of_one_winter and after.stretch == before.stretch and after.metres != before.metres:
            return False
    return True


def _positions(units: Sequence[Unit]) -> dict[int, frozenset[PositionKind]]:
    found: dict[int, set[PositionKind]] = {unit.design_id: set() for unit in units}
    rows = Position.objects.filter(design__in=found).order_by().values_list("design_id", "kind")
    for design_id, kind in rows.distinct():
        found[design_id].add(PositionKind(kind))
    return {design_id: frozenset(kinds) for design_id, kinds in found.items()}


def _worn(ids: Sequence[int]) -> dict[int, dict[PositionKind, tuple[WornPlace, ...]]]:
    """Return by unit and kind the places that wear, the one that is to be measured first first."""
    found: dict[int, dict[PositionKind, tuple[WornPlace, ...]]] = defaultdict(dict)
    rows = WearMark.objects.filter(unit__in=among(ids)).order_by("look_at", "pk")
    for row in rows.select_related("position"):
        place = WornPlace(row.position.name, row.measured_at, row.look_at, row.contradicts)
        kind = PositionKind(row.position.kind)
        found[row.unit_id][kind] = (*found[row.unit_id].get(kind, ()), place)
    return found


def _instructions(units: Sequence[Unit]) -> dict[int, dict[WorkKind, Instruction]]:
    found: dict[int, dict[WorkKind, Instruction]] = {unit.design_id: {} for unit in units}
    workshops = {unit.design_id: unit.design.workshop for unit in units}
    for row in MaintenanceInstruction.objects.filter(design__in=found):
        workshop = workshops[row.design_id]
        found[row.design_id][WorkKind(row.work)] = Instruction(
            workshop="" if workshop is None else workshop.name,
            distance=row.distance,
            months=row.months,
            text=row.text,
            running_time=row.hours,
            season=Season(row.season) if row.season else None,
            needs=row.needs,
        )
    return found


def _open_services(ids: Sequence[int]) -> list[OpenService]:
    standing_for = WorkDone.objects.filter(service=OuterRef("pk"), work__in=CLOSED_BY.values())
    rows = OilService.objects.filter(unit__in=among(ids), kind__in=CLOSED_BY)
    rows = rows.filter(~Exists(standing_for)).order_by("date", "pk")
    return list(starmap(OpenService, rows.values_list(*OpenService._fields)))
