"""What a workshop may know of its units, as columns: a constant number of SQL queries.

A unit is watched from the day on which it first went into a car (where it never did: was handed
over, else built) to today, or to the day on which it left its last one. What was found before or
after that widens it, so that no finding is without its time.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import QuerySet
from django.db.models.functions import TruncDate

from advisory.findings.enums import Cause, Judgement
from advisory.findings.marks import DamageMark
from advisory.findings.models import Finding
from advisory.lubrication.enums import Filtration
from advisory.lubrication.models import OilArrangement
from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.register.enums import BuildState, PositionKind
from advisory.register.models import Build, Design, Fitting, HandOver, Position, SheetEntry, Unit
from advisory.reports.columns import Among, Column, Days, code_of, day, read
from advisory.reports.enums import Period
from advisory.reports.gathering import FILTRATIONS, begin_of
from advisory.reports.gathering.distances import Places

# The names of the places of a build sheet that tell of a part.
BATCH, ORIGIN = "batch", "origin"
MARKS = list(DamageMark)
CAUSES = list(Cause)


@dataclass(frozen=True)
class Place:
    """A place of a design, in all its versions."""

    key: int
    design: int  # a place in `designs`
    kind: PositionKind
    name: str


@dataclass(frozen=True)
class PartWritten:
    """What a build sheet says of the part at one place."""

    unit: int
    place: int
    day: int
    what: str
    text: str


@dataclass(frozen=True)
class Watched:
    """A workshop's units as far as one of its people may see them, and what was found on them.

    Units, designs and places go by their place in `keys`, `designs` and `places`.
    """

    on: date
    keys: Column
    design: Places
    designs: tuple[tuple[int, str], ...]  # key and name
    places: tuple[Place, ...]
    begin: Column
    until: Column
    found_unit: Places
    found_day: Column
    found_place: Places  # -1 where no position was named
    found_mark: Places  # a place in MARKS; -1 where none was picked
    found_cause: Places  # a place in CAUSES; -1 where it isn't closed
    found_key: Places
    oiled_unit: Places
    oiled_day: Column
    oiled_filter: Places
    parts: tuple[PartWritten, ...]

    @property
    def units(self) -> int:
        """How many units."""
        return int(self.keys.size)


def units_seen(workshop: Organisation, by: Person) -> "QuerySet[Unit]":
    """Return the units of a workshop that have an owner who lets this person see their use."""
    units = Unit.objects.filter(workshop=workshop, owner__isnull=False)
    return rules.scope(by, Permission.VIEW_USE, units)


def findings_counted(by: Person) -> "QuerySet[Finding]":
    """Return what this person may count: a figure as good as built is no trouble."""
    findings = rules.scope(by, Permission.VIEW_FINDING, Finding.objects.all())
    return findings.exclude(judgement=Judgement.GOOD)


def watched_by(workshop: Organisation, by: Person, on: date, period: Period) -> Watched:
    """Read what a person may know of a workshop's units, by a day, over the years asked for."""
    own = read(units_seen(workshop, by), pk="pk", design="design_id")
    order = np.argsort(own["pk"])
    keys, of_design = own["pk"][order], own["design"][order]
    among = Among("unit_id", keys)
    found = read(
        findings_counted(by).filter(among, seen_on__lte=on),
        unit="unit_id",
        day=day("seen_on"),
        position="position_id",
        mark=code_of("mark", DamageMark),
        cause=code_of("cause", Cause),
        pk="pk",
    )
    found_unit = np.searchsorted(keys, found["unit"])
    begin, until = _watched(keys, on, found_unit, found["day"])
    first = begin_of(period, on)
    if first is not None:
        begin = np.maximum(begin, first.toordinal())
        until = np.maximum(until, begin)
    designs, place_of, places, group_of = _designs(keys, of_design)
    oiled = read(
        OilArrangement.objects.filter(among, from_date__lte=on),
        unit="unit_id",
        day=day("from_date"),
        filter=code_of("filtration", Filtration),
    )
    return Watched(
        on=on,
        keys=keys,
        design=np.array([group_of.get(int(key), 0) for key in of_design], dtype=np.int64),
        designs=designs,
        places=places,
        begin=begin,
        until=until,
        found_unit=found_unit,
        found_day=found["day"],
        found_place=_places_found(found["position"], place_of),
        found_mark=np.nan_to_num(found["mark"], nan=-1.0).astype(np.int64),
        found_cause=np.nan_to_num(found["cause"], nan=-1.0).astype(np.int64),
        found_key=found["pk"].astype(np.int64),
        oiled_unit=np.searchsorted(keys, oiled["unit"]),
        oiled_day=oiled["day"],
        oiled_filter=np.nan_to_num(oiled["filter"], nan=FILTRATIONS.index(Filtration.UNKNOWN))
        .astype(np.int64),
        parts=_parts(keys, on, place_of),
    )  # fmt: skip


def _watched(keys: Column, on: date, found: Places, found_day: Column) -> tuple[Column, Column]:
    """Return the first day of each unit's time, and the day after its last."""
    among = Among("unit_id", keys)
    fitted = read(
        Fitting.objects.filter(among, from_date__lte=on),
        unit="unit_id",
        begin=day("from_date"),
        end=day("until_date"),
    )
    handed = read(
        HandOver.objects.filter(among, claimed_at__isnull=False, for_workshop=False),
        unit="unit_id",
        day=Days(TruncDate("claimed_at")),
    )
    built = read(
        Build.objects.filter(among, state=BuildState.SIGNED, built_on__lte=on),
        unit="unit_id",
        day=day("built_on"),
    )
    today = float(on.toordinal())
    first = _least(keys, fitted["unit"], fitted["begin"])
    for column in (handed, built):
        first = np.where(np.isinf(first), _least(keys, column["unit"], column["day"]), first)
    end = np.where(np.isnan(fitted["end"]), today, fitted["end"])
    last = -_least(keys, fitted["unit"], -end)
    last = np.where(np.isinf(last), today, np.minimum(last, today))
    np.minimum.at(first, found, found_day)
    np.maximum.at(last, found, found_day)
    first = np.where(np.isinf(first), today + 1.0, first)  # nothing is known: not watched
    return first, np.maximum(last + 1.0, first)


def _least(keys: Column, unit: Column, value: Column) -> Column:
    found = np.full(keys.size, np.inf)
    np.minimum.at(found, np.searchsorted(keys, unit), value)
    return found


_Designs = tuple[
    tuple[tuple[int, str], ...], dict[int, int], tuple[Place, ...], dict[int, int]
]  # fmt: skip


def _designs(keys: Column, of_design: Column) -> _Designs:
    """Return designs and their places, all versions together, and each version's by its key.

    What was measured or written before a new version came names a position of the old one.
    """
    rows = Design.objects.filter(
        name__in=Design.objects.filter(Among("pk", np.unique(of_design))).values("name")
    )
    groups: dict[tuple[int | None, str], int] = {}
    designs: list[tuple[int, str]] = []
    group_of: dict[int, int] = {}
    for pk, workshop, name in rows.order_by("pk").values_list("pk", "workshop_id", "name"):
        group = groups.setdefault((workshop, name), len(designs))
        if group == len(designs):
            designs.append((pk, name))
        group_of[pk] = group
    by_name: dict[tuple[int, str, str], int] = {}
    places: list[Place] = []
    place_of: dict[int, int] = {}
    positions = Position.objects.filter(Among("design_id", np.array(list(group_of), dtype=float)))
    wanted = positions.order_by("pk").values_list("pk", "design_id", "kind", "name")
    for pk, design, kind, name in wanted:
        named = (group_of[design], kind, one_spelling(name))
        place = by_name.setdefault(named, len(places))
        if place == len(places):
            places.append(Place(pk, named[0], PositionKind(kind), name))
        place_of[pk] = place
    return tuple(designs), place_of, tuple(places), group_of


def one_spelling(text: str) -> str:
    """Return what somebody wrote so that capitals and spaces make no difference."""
    return " ".join(text.split()).casefold()


def _places_found(positions: Column, place_of: dict[int, int]) -> Places:
    known = np.nan_to_num(positions, nan=-1.0).astype(np.int64).tolist()
    return np.array([place_of.get(pk, -1) for pk in known], dtype=np.int64)


def _parts(keys: Column, on: date, place_of: dict[int, int]) -> tuple[PartWritten, ...]:
    """Read what signed sheets say of parts, without those that a newer one puts right."""
    rows = (
        SheetEntry.objects.filter(
            Among("build__unit_id", keys),
            build__state=BuildState.SIGNED,
            build__built_on__lte=on,
            name__in=(BATCH, ORIGIN),
            position__isnull=False,
        )
        .exclude(build__corrections__state=BuildState.SIGNED)
        .order_by("build__built_on", "build_id", "pk")
    )
    unit_of = {int(key): place for place, key in enumerate(keys)}
    wanted = rows.values_list("build__unit_id", "position_id", "build__built_on", "name", "text")
    return tuple(
        PartWritten(unit_of[unit], place_of[position], built.toordinal(), what, text)
        for unit, position, built, what, text in wanted
        if position in place_of and text.strip()
    )
