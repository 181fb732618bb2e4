"""Reads of oils and arrangements that more than one caller needs; constant numbers of queries."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet, prefetch_related_objects

from advisory.common.keys import among
from advisory.common.together import FEW, fetch_together
from advisory.lubrication.enums import Filtration, ServiceKind
from advisory.lubrication.models import Lubricant, OilAdvice, OilArrangement, OilService
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Unit


@dataclass(frozen=True)
class OilInUnit:
    """A unit's oil as it stands on a day; None is 'not known'.

    `lubricant` is what was filled in last, else what the arrangement names; `prescribed` is what
    the design asks for. `sump_volume` is that of the arrangement, else as designed.
    """

    arrangement: OilArrangement | None
    lubricant: Lubricant | None
    prescribed: Lubricant | None
    sump_volume: float | None
    last_change: OilService | None

    @property
    def filtration(self) -> Filtration:
        """What filter there is, 'unknown' where nobody has said."""
        if self.arrangement is None:
            return Filtration.UNKNOWN
        return Filtration(self.arrangement.filtration)

    @property
    def wanted(self) -> Lubricant | None:
        """The oil to have at hand: the prescribed one stands above what is in the sump."""
        return self.prescribed or self.lubricant


def oils_of(units: Sequence[Unit], on: date | None = None) -> dict[int, OilInUnit]:
    """Return each unit's oil as it stood on a day, by its id; in one query, for a fleet four.

    Without a day it is the last that is known: nothing is written down ahead of its day.
    """
    ids = [unit.pk for unit in units]
    by_then = {} if on is None else {"from_date__lte": on}
    arranged = OilArrangement.objects.filter(unit__in=among(ids), **by_then)
    changed = OilService.objects.filter(unit__in=among(ids), kind=ServiceKind.CHANGE)
    if on is not None:
        changed = changed.filter(date__lte=on)
    prefetch_related_objects(units, "design")
    codes = {unit.design.lubricant_code for unit in units} - {""}
    arranged_rows, changed_rows, lubricants = fetch_together(
        arranged,
        changed,
        Lubricant.objects.filter(
            Q(code__in=codes)
            | Q(pk__in=arranged.order_by().values("lubricant"))
            | Q(pk__in=changed.order_by().values("lubricant"))
        ),
        few=len(ids) <= FEW,
    )
    oil_by_key = {oil.pk: oil for oil in lubricants}
    by_code = {oil.code: oil for oil in lubricants if oil.code in codes}
    arrangements: dict[int, OilArrangement] = {}
    for row in sorted(arranged_rows, key=lambda row: (row.from_date, row.pk)):
        row.lubricant = oil_by_key.get(row.lubricant_id)
        arrangements[row.unit_id] = row
    changes: dict[int, OilService] = {}
    fills: dict[int, OilService] = {}
    for row in sorted(changed_rows, key=lambda row: (row.date, row.pk)):
        row.lubricant = oil_by_key.get(row.lubricant_id)
        changes[row.unit_id] = row
        if row.lubricant is not None:
            fills[row.unit_id] = row
    oils = {}
    for unit in units:
        arrangement, fill = arrangements.get(unit.pk), fills.get(unit.pk)
        named = arrangement.lubricant if arrangement else None
        if fill is not None and (
            named is None or (arrangement is not None and arrangement.from_date <= fill.date)
        ):
            named = fill.lubricant
        design = unit.design
        sump = arrangement.sump_volume if arrangement else None
        oils[unit.pk] = OilInUnit(
            arrangement=arrangement,
            lubricant=named,
            prescribed=by_code.get(design.lubricant_code),
            sump_volume=sump if sump is not None else design.sump_volume,
            last_change=changes.get(unit.pk),
        )
    return oils


def oil_of(unit: Unit, on: date | None = None) -> OilInUnit:
    """Return one unit's oil as it stood on a day, or as it stands."""
    return oils_of([unit], on)[unit.pk]


def lubricant_in_use(unit: Unit, on: date) -> Lubricant | None:
    """Return the oil that was in the unit on a day, None where nobody knows."""
    return oil_of(unit, on).lubricant


def lubricants_for(
    person: Person, unit: Unit | None = None, on: date | None = None
) -> "QuerySet[Lubricant]":
    """Return the oils that a person may choose from; beside them what is in `unit` already."""
    allowed = rules.scope(person, Permission.VIEW_LUBRICANT, Lubricant.objects.all())
    if unit is None or on is None:
        return allowed
    in_use = lubricant_in_use(unit, on)
    if in_use is None:
        return allowed
    return Lubricant.objects.filter(Q(pk__in=allowed.values("pk")) | Q(pk=in_use.pk))


#: How many changes of an advice are told; one more is read, to say what the oldest came from.
CHANGES_TOLD = 12


def advice_history(unit: Unit, by: Person, method: str) -> list[OilAdvice]:
    """Return the last changes of one method's advice that a person may see, the newest first."""
    rows = rules.scope(by, Permission.VIEW_USE, OilAdvice.objects.all())
    return list(rows.filter(unit=unit, method=method).order_by("-pk")[: CHANGES_TOLD + 1])
