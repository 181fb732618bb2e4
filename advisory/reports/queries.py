"""The club's fleet report: how many units, looked after in time or not, by kind of filter."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import QuerySet

from advisory.lubrication.enums import Filtration
from advisory.lubrication.models import OilArrangement
from advisory.people import rules
from advisory.people.enums import ConsentScope
from advisory.people.models import Organisation, Person
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.register.models import Unit
from advisory.reports.suppression import Owners, Showable, showable

A_YEAR = timedelta(days=365)


@dataclass(frozen=True)
class Share:
    """So many of so many."""

    part: int
    of: int

    @property
    def percent(self) -> int:
        """The share of a hundred, as a whole number."""
        return round(100 * self.part / self.of)


@dataclass(frozen=True)
class Row:
    """The figures of one kind of filter, or of all; None where one may not be shown."""

    label: str
    owners: int | None
    units: int | None
    in_time: Share | None
    overdue: Share | None

    @property
    def is_shown(self) -> bool:
        """Whether any of its figures may be shown."""
        figures = (self.owners, self.units, self.in_time, self.overdue)
        return any(figure is not None for figure in figures)


@dataclass(frozen=True)
class OverdueWork:
    """Work that is overdue on somebody's unit, and since when, where a day was set."""

    work: str
    unit_kind: str
    since: date | None


@dataclass(frozen=True)
class NamedOwner:
    """An owner who lets the technical officer read their name, and what is overdue."""

    name: str
    overdue: tuple[OverdueWork, ...]


@dataclass(frozen=True)
class FleetReport:
    """What a club may know of its members' units."""

    club: Organisation
    since: date
    until: date
    total: Row
    rows: tuple[Row, ...]
    named: tuple[NamedOwner, ...]

    @property
    def has_figures(self) -> bool:
        """Whether there are owners enough to show anything."""
        return self.total.units is not None

    @property
    def rows_shown(self) -> list[Row]:
        """The kinds of which something may be shown."""
        return [row for row in self.rows if row.is_shown]

    @property
    def rows_left_out(self) -> list[Row]:
        """The kinds of which nothing may be shown, or that nobody has."""
        return [row for row in self.rows if not row.is_shown]


@dataclass(frozen=True)
class _OneUnit:
    """A unit's part in the report."""

    owner: int
    filtration: Filtration
    done: int
    in_time: int
    planned: bool
    overdue: bool


def fleet_report(club: Organisation, on: date) -> FleetReport:
    """Reckon the report for a club on a day, in a constant number of queries.

    Only owners whose consent to this club stands at this moment count. A figure with fewer than
    five of them behind it is left out, and so is what would let it be worked out.
    """
    since = on - A_YEAR + timedelta(days=1)
    named = {
        person.pk: person for person in rules.consenting(club, ConsentScope.NAMED).order_by("name")
    }
    items = _items_of(club)
    units = _units_of(club, since, on, items)
    by_kind = {kind: [one for one in units if one.filtration == kind] for kind in Filtration}
    columns = _columns(by_kind, frozenset(named))
    return FleetReport(
        club=club,
        since=since,
        until=on,
        total=_row("", units, columns, None),
        rows=tuple(_row(str(kind.label), by_kind[kind], columns, kind) for kind in Filtration),
        named=_named(named, items, on),
    )


def _of_the_club(club: Organisation) -> QuerySet[Person]:
    return rules.consenting(club, ConsentScope.UNNAMED, ConsentScope.NAMED)


def _items_of(club: Organisation) -> list[PlanItem]:
    rows = PlanItem.objects.filter(unit__owner__in=_of_the_club(club))
    return list(rows.select_related("unit__design"))


def _units_of(
    club: Organisation, since: date, until: date, items: Iterable[PlanItem]
) -> list[_OneUnit]:
    owners = _of_the_club(club)
    arrangements = OilArrangement.objects.filter(unit__owner__in=owners, from_date__lte=until)
    # of several of a unit the latest stands
    filtration_of = dict(arrangements.order_by("from_date", "pk").values_list("unit", "filtration"))
    judged: dict[int, list[bool]] = defaultdict(list)
    works = WorkDone.objects.filter(
        unit__owner__in=owners, date__range=(since, until), in_time__isnull=False
    )
    for unit, in_time in works.values_list("unit", "in_time"):
        judged[unit].append(bool(in_time))
    states: dict[int, set[str]] = defaultdict(set)
    for item in items:
        states[item.unit_id].add(item.state)
    return [
        _OneUnit(
            owner=owner,
            filtration=Filtration(filtration_of.get(unit, Filtration.UNKNOWN)),
            done=len(judged[unit]),
            in_time=sum(judged[unit]),
            planned=bool(states[unit]),
            overdue=DueState.LATE in states[unit],
        )
        for unit, owner in Unit.objects.filter(owner__in=owners).values_list("pk", "owner")
    ]


@dataclass(frozen=True)
class _Columns:
    """What may be shown of each column; each has its own owners behind it."""

    units: Showable[Filtration]
    in_time: Showable[Filtration]
    overdue: Showable[Filtration]


def _columns(by_kind: Mapping[Filtration, list[_OneUnit]], named: Owners) -> _Columns:
    return _Columns(
        units=showable(
            {kind: frozenset(one.owner for one in units) for kind, units in by_kind.items()}
        ),
        in_time=showable(
            {
                kind: frozenset(one.owner for one in units if one.done)
                for kind, units in by_kind.items()
            }
        ),
        # what is overdue with the named is read below by name, and could be taken off
        overdue=showable(
            {
                kind: frozenset(one.owner for one in units if one.planned)
                for kind, units in by_kind.items()
            },
            known=named,
        ),
    )


def _row(label: str, units: list[_OneUnit], columns: _Columns, kind: Filtration | None) -> Row:
    def shown(column: Showable[Filtration]) -> bool:
        return column.total if kind is None else kind in column.rows

    planned = [one for one in units if one.planned]
    counted = shown(columns.units)
    return Row(
        label=label,
        owners=len({one.owner for one in units}) if counted else None,
        units=len(units) if counted else None,
        in_time=Share(sum(one.in_time for one in units), sum(one.done for one in units))
        if shown(columns.in_time)
        else None,
        overdue=Share(sum(one.overdue for one in planned), len(planned))
        if shown(columns.overdue)
        else None,
    )


def _named(
    named: Mapping[int, Person], items: Iterable[PlanItem], on: date
) -> tuple[NamedOwner, ...]:
    overdue: dict[int, list[OverdueWork]] = defaultdict(list)
    for item in items:
        owner = item.unit.owner_id
        if owner is not None and owner in named and item.state == DueState.LATE:
            days = [day for day in (item.due_date, item.forecast_date) if day and day <= on]
            overdue[owner].append(
                OverdueWork(
                    work=item.get_work_display(),
                    unit_kind=item.unit.design.get_kind_display(),
                    since=min(days, default=None),
                )
            )
    return tuple(
        NamedOwner(
            name=person.name,
            overdue=tuple(sorted(overdue[pk], key=lambda work: work.since or date.max)),
        )
        for pk, person in named.items()
        if overdue[pk]
    )
