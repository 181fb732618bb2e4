"""All that a report wants to know of a fleet, as columns: a constant number of SQL queries."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

import numpy as np
from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from advisory.findings.enums import Judgement
from advisory.findings.marks import DamageMark
from advisory.findings.models import Finding
from advisory.lubrication.enums import Feed, Filtration
from advisory.lubrication.models import OilArrangement
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.register.enums import BuildState, MeasuredQuantity, PositionKind, UnitKind, WorkKind
from advisory.register.models import Build, BuildMeasurement, Design, Unit
from advisory.reports.columns import (
    Column,
    PlaceOf,
    Reader,
    code_of,
    day,
    flag_of,
    in_order,
    read,
)
from advisory.reports.enums import RINGS_OF, YEARS_OF, Period, Ring
from advisory.reports.gathering.distances import Places, Stays
from advisory.reports.gathering.stays import read_stays, stays_of, sums_of
from advisory.reports.second_connection import reading_beside

Columns = dict[str, Column]
FILTRATIONS = list(Filtration)
FEEDS = list(Feed)
JUDGEMENTS = list(Judgement)
MARKS = list(DamageMark)
POSITIONS = list(PositionKind)
QUANTITIES = list(MeasuredQuantity)
WORKS = list(WorkKind)
# What says that the unit must not simply go on: the first such finding ends a life.
SERIOUS = (Judgement.STOP, Judgement.ASK)


@dataclass(frozen=True)
class DesignGroup:
    """A design in all its versions."""

    key: str
    name: str
    kind: str
    positions: frozenset[str]


@dataclass(frozen=True)
class Facts:
    """A fleet's units, what became of them, and how far they had come.

    `unit` of every table is a place in `keys`; days are ordinals, distances metres.
    """

    on: date
    keys: Column
    owner: Places
    design: Places  # a place in `designs`
    designs: tuple[DesignGroup, ...]
    stays: Stays
    arrangements: Columns
    builds: Columns
    findings: Columns
    works: Columns
    planned: Places  # items of each unit's plan, and how many of them are overdue
    late: Places
    measured: Columns

    @property
    def units(self) -> int:
        """How many units."""
        return int(self.keys.size)

    @property
    def today(self) -> float:
        """The report's day, as an ordinal."""
        return float(self.on.toordinal())

    def arrangement(self, what: str, unit: Places, days: Column) -> Places:
        """Return what stood in each unit's arrangement on each day; 0, unknown, before the first.

        `what` is "filtration" or "feed".
        """
        table = self.arrangements
        key = table["unit"] * 4e6 + table["day"]
        place = np.searchsorted(key, unit * 4e6 + days, side="right") - 1
        there = (place >= 0) & (table["unit"][np.maximum(place, 0)] == unit) if key.size else None
        if there is None:
            return np.zeros(unit.shape, dtype=np.int64)
        return np.where(there, table[what][np.maximum(place, 0)], 0.0).astype(np.int64)

    def ring(self, days: Column) -> Places:
        """Return how long ago each day was: a place in `Ring`."""
        bounds = [begin_of(period, self.on) for period in (Period.LAST_YEAR, Period.FIVE_YEARS)]
        ring = np.zeros(days.shape, dtype=np.int64)
        for begin in bounds:
            assert begin is not None
            ring += days < begin.toordinal()
        return ring


def begin_of(period: Period, on: date) -> date | None:
    """Return the first day of a period that ends on a day; None for one without a beginning."""
    years = YEARS_OF.get(period)
    if years is None:
        return None
    # the day after the same day, so that a year has each day of the calendar once
    last = on.replace(year=on.year - years, day=28) if (on.month, on.day) == (2, 29) else None
    same = last or on.replace(year=on.year - years)
    return date.fromordinal(same.toordinal() + 1)


def rings_of(period: Period) -> list[int]:
    """Return the places in `Ring` of a period's rings."""
    return [list(Ring).index(ring) for ring in RINGS_OF[period]]


def gather(units: "QuerySet[Unit]", findings: "QuerySet[Finding]", on: date) -> Facts:
    """Read the facts of units that have an owner; `findings` are those that may be counted."""
    with reading_beside() as beside, ThreadPoolExecutor(max_workers=1) as pool:
        units = units.filter(owner__isnull=False)
        own = read(units, pk="pk", owner="owner_id", design="design_id")
        order = np.argsort(own["pk"])
        keys, owner, design = (own[name][order] for name in ("pk", "owner", "design"))
        reader = Reader(most=2 * keys.size > Unit.objects.count())
        place_of = PlaceOf(keys)
        happened = beside(partial(_happened, reader, place_of, findings, on))
        told = read_stays(place_of, reader)
        # the sums need no database
        sums = pool.submit(sums_of, told)
        groups, group_of = _designs()
        return Facts(
            on=on,
            keys=keys,
            owner=owner.astype(np.int64),
            design=_groups(design, group_of),
            designs=groups,
            **happened(),
            stays=stays_of(told, sums.result()),
        )


def _happened(
    reader: Reader, place_of: PlaceOf, findings: "QuerySet[Finding]", on: date
) -> dict[str, Any]:
    """Read what was built, oiled, found and done, and what is planned."""

    def table(rows: "QuerySet[Any]", *by: str, of: str = "unit_id", **wanted: Any) -> Columns:
        """Read rows of these units with the unit by its place, in order of unit and the rest."""
        found = reader.read(rows, of, place_of, **wanted)
        found["unit"] = found.pop("place").astype(np.float64)
        arranged = in_order(*(found[name] for name in ("unit", *by)))
        return {name: column[arranged] for name, column in found.items()}

    plan = reader.read(
        PlanItem.objects.order_by()
        .values("unit_id")
        .annotate(items=Count("pk"), overdue=Count("pk", filter=Q(state=DueState.LATE))),
        "unit_id",
        place_of,
        planned="items",
        late="overdue",
    )
    planned, late = (np.zeros(place_of.keys.size, dtype=np.int64) for _ in range(2))
    planned[plan["place"]] = plan["planned"].astype(np.int64)
    late[plan["place"]] = plan["late"].astype(np.int64)
    signed = Build.objects.filter(state=BuildState.SIGNED, built_on__lte=on)
    seen = findings.filter(seen_on__lte=on)
    return {
        "planned": planned,
        "late": late,
        "arrangements": table(
            OilArrangement.objects.filter(from_date__lte=on),
            "day",
            day=day("from_date"),
            filtration=code_of("filtration", Filtration),
            feed=code_of("feed", Feed),
        ),
        "builds": table(signed, "day", day=day("built_on")),
        "findings": table(
            seen,
            "day",
            "pk",
            day=day("seen_on"),
            judgement=code_of("judgement", Judgement),
            kind=code_of("position__kind", PositionKind),
            mark=code_of("mark", DamageMark),
            position="position_id",
            quantity=code_of("quantity", MeasuredQuantity),
            value="value",
            pk="pk",
        ),
        "works": table(
            WorkDone.objects.filter(date__lte=on, in_time__isnull=False),
            "day",
            day=day("date"),
            work=code_of("work", WorkKind),
            in_time=flag_of("in_time"),
            distance="distance",
            due_distance="was_due_distance",
            due_day=day("was_due_on"),
        ),
        "measured": table(
            _measured_again(seen),
            "day",
            of="build__unit_id",
            day=day("build__built_on"),
            position="position_id",
            quantity=code_of("quantity", MeasuredQuantity),
            value="value",
        ),
    }


def _groups(design: Column, group_of: dict[int, int]) -> Places:
    place_of = PlaceOf(np.array(sorted(group_of), dtype=np.float64))
    return np.array([group_of[key] for key in sorted(group_of)], dtype=np.int64)[place_of(design)]


def _designs() -> tuple[tuple[DesignGroup, ...], dict[int, int]]:
    """Return the designs, all versions of one together, and the place of each by its key."""
    kinds_of: dict[int, set[str]] = {}
    for design, kind in Design.objects.values_list("pk", "positions__kind"):
        kinds_of.setdefault(design, set()).add(kind)
    groups: dict[tuple[int | None, str], int] = {}
    found: list[DesignGroup] = []
    place_of: dict[int, int] = {}
    rows = Design.objects.order_by("pk").values_list("pk", "workshop_id", "name", "kind")
    for pk, workshop, name, kind in rows:
        positions = frozenset(kinds_of[pk] - {None})
        place = groups.setdefault((workshop, name), len(found))
        if place == len(found):
            found.append(DesignGroup(f"design-{pk}", name, UnitKind(kind).value, positions))
        else:
            earlier = found[place]
            found[place] = DesignGroup(
                earlier.key, name, earlier.kind, earlier.positions | positions
            )
        place_of[pk] = place
    return tuple(found), place_of


def _measured_again(findings: "QuerySet[Finding]") -> "QuerySet[BuildMeasurement]":
    """Return the as-built figures of what was measured again later."""
    again = findings.filter(
        unit=OuterRef("build__unit"),
        position=OuterRef("position"),
        quantity=OuterRef("quantity"),
        value__isnull=False,
    )
    return BuildMeasurement.objects.filter(Exists(again), build__state=BuildState.SIGNED)
