"""Reading reports: the kept ones of a club, the names that may be read, a workshop's own."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from advisory.people import rules
from advisory.people.enums import ConsentScope, OrganisationKind
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.reports.models import FleetReport
from advisory.reports.reckoning import Reckoned, Tables, of_workshop

# What no page of a report needs: megabytes, of a large club.
_HEAVY = ("behind",)


@dataclass(frozen=True)
class OverdueWork:
    """Work that is overdue on somebody's unit, and since when, where a day was set."""

    work: str
    unit_kind: str
    since: date | None
    unit: str = ""
    unit_pk: int | None = None


@dataclass(frozen=True)
class NamedOwner:
    """An owner who lets this reader read their name, and what is overdue."""

    name: str
    overdue: tuple[OverdueWork, ...]


def kept_reports(club: Organisation) -> QuerySet[FleetReport]:
    """Return a club's finished reports, the newest first."""
    reports = FleetReport.objects.filter(organisation=club, finished_at__isnull=False)
    return reports.select_related("organisation").defer(*_HEAVY)


def newest_report(club: Organisation) -> FleetReport | None:
    """Return a club's newest report, finished or in the making."""
    return FleetReport.objects.filter(organisation=club).defer(*_HEAVY).first()


def part_of(report: FleetReport, code: str) -> Tables | None:
    """Return the tables of a choice; None where the report doesn't tell of it."""
    tables: Tables | None = (
        report.parts.filter(choice=code).values_list("tables", flat=True).first()
    )
    return tables


def named_owners(report: FleetReport, on: date) -> tuple[NamedOwner, ...]:
    """Return what is overdue now with those who let the club's officer read their name.

    Only those who did so when the report was made: who does so since is part of its figures
    without a name, and could be taken off them. Who no longer does is left out at once.
    """
    club = report.organisation
    named = {
        person.pk: person
        for person in rules.consenting(club, ConsentScope.NAMED)
        .filter(pk__in=report.about.get("named", []))
        .order_by("name")
    }
    items = PlanItem.objects.filter(unit__owner__in=named, state=DueState.LATE)
    return _by_owner(named, items.select_related("unit__design"), on, with_units=False)


def overdue_of_workshop(workshop: Organisation, by: Person) -> tuple[NamedOwner, ...]:
    """Return what is overdue on a workshop's units, by owner, as far as the reader may see it."""
    items = rules.scope(
        by,
        Permission.VIEW_USE,
        PlanItem.objects.filter(
            unit__workshop=workshop, unit__owner__isnull=False, state=DueState.LATE
        ),
    ).select_related("unit__design", "unit__owner")
    owners = {item.unit.owner.pk: item.unit.owner for item in items if item.unit.owner is not None}
    ordered = dict(sorted(owners.items(), key=lambda each: str(each[1])))
    return _by_owner(ordered, items, date.max, with_units=True)


def _by_owner(
    owners: Mapping[int, Person], items: Iterable[PlanItem], on: date, *, with_units: bool
) -> tuple[NamedOwner, ...]:
    overdue: dict[int, list[OverdueWork]] = defaultdict(list)
    for item in items:
        assert item.unit.owner_id is not None
        days = [day for day in (item.due_date, item.forecast_date) if day and day <= on]
        overdue[item.unit.owner_id].append(
            OverdueWork(
                work=item.get_work_display(),
                unit_kind=item.unit.design.get_kind_display(),
                since=min(days, default=None),
                unit=str(item.unit) if with_units else "",
                unit_pk=item.unit_id if with_units else None,
            )
        )
    return tuple(
        NamedOwner(
            name=person.name,
            overdue=tuple(sorted(overdue[pk], key=lambda work: work.since or date.max)),
        )
        for pk, person in owners.items()
        if overdue[pk]
    )


def workshops_of(person: Person) -> QuerySet[Organisation]:
    """Return the workshops whose books this person works in."""
    return rules.organisations_where(person, Permission.REGISTER_UNIT).filter(
        kind=OrganisationKind.WORKSHOP
    )


@dataclass(frozen=True)
class OfTheMoment:
    """A report that is not kept: its choices, and their tables as they are asked for."""

    reckoned: Reckoned

    @property
    def about(self) -> Mapping[str, Any]:
        """What it may be asked for."""
        return self.reckoned.about

    def tables_by_code(self, code: str) -> Tables | None:
        """Return the tables of a choice; None where there is none such."""
        for choice in self.reckoned.choices:
            if choice.code == code:
                return self.reckoned.tables(choice)
        return None


def workshop_part(workshop: Organisation, by: Person, on: date) -> OfTheMoment:
    """Reckon a workshop's report over the units that this member may look into."""
    return OfTheMoment(of_workshop(workshop, by, on))
