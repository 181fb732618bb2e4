"""Reads of plans that more than one caller needs; constant numbers of queries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.findings.models import Finding
from advisory.findings.queries import Found, found_on
from advisory.findings.standing import Standing, rebuilt_on, standing_among
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.plans.enums import URGENCY, DueState
from advisory.plans.models import TAKEN_BACK_WITHIN, PlanItem, WorkDone
from advisory.plans.work import WORKS
from advisory.register.enums import WorkKind
from advisory.register.models import Unit

_ORDER = {kind: number for number, kind in enumerate(WORKS)}


def own_units(person: Person) -> "QuerySet[Unit]":
    """Return the units that a person owns."""
    units = Unit.objects.filter(owner=person).select_related("design__workshop", "workshop")
    return rules.scope(person, Permission.VIEW_USE, units).order_by("pk")


def urgency(item: PlanItem) -> tuple[int, date, int]:
    """Return what orders items: the nearest first; of what is due, what matters most."""
    pressing = item.state in {DueState.DUE, DueState.LATE}
    day = date.min if pressing else item.forecast_date or date.max
    return URGENCY[DueState(item.state)], day, _ORDER[WorkKind(item.work)]


def plans_of(units: Sequence[Unit]) -> dict[int, list[PlanItem]]:
    """Return the items of each unit by its key, the nearest first, in one query."""
    plans: dict[int, list[PlanItem]] = {unit.pk: [] for unit in units}
    for item in PlanItem.objects.filter(unit__in=plans):
        plans[item.unit_id].append(item)
    return {pk: sorted(items, key=urgency) for pk, items in plans.items()}


def items_asking_for_reading() -> "QuerySet[PlanItem]":
    """Return the items of which only a reading can tell how near they are."""
    return PlanItem.objects.filter(asks_for_reading=True)


@dataclass(frozen=True)
class Halt:
    """What says: don't run it. It stands until it is put right, whoever answered."""

    standing: Standing

    @property
    def finding(self) -> Finding:
        """The finding to which it belongs."""
        return self.standing.finding

    @property
    def stop(self) -> bool:
        """Whether it is past its limit or told to stop, not only to be asked about."""
        return self.standing.stop

    @property
    def title(self) -> str:
        """What it says, in one line."""
        if self.standing.told:
            return str(self.finding.get_instruction_display())
        if self.stop:
            return _("Stop and ask the workshop")
        return _("Ask the workshop before you run it")

    @property
    def past_limit(self) -> bool:
        """Whether a figure says so, not only what was seen."""
        return self.standing.measured

    @property
    def answered(self) -> bool:
        """Whether the workshop has said something to it."""
        return self.finding.first_answered_at is not None


def halts_of(units: Sequence[Unit], person: Person) -> dict[int, list[Halt]]:
    """Return what stands against running each unit as far as a person sees it, gravest first."""
    found = found_on(units, person)
    return halts_among(found, rebuilt_on(units)) if found.findings or found.values else {}


def halts_among(found: Found, rebuilt: Mapping[int, date]) -> dict[int, list[Halt]]:
    """Return what stands against running units, by what was found on them and when each was built.

    Of a unit that `rebuilt` does not name all that was found counts.
    """
    standing = standing_among(found.findings, found.values, rebuilt)
    return {unit_id: [Halt(one) for one in those] for unit_id, those in standing.items()}


def done_lately(unit: Unit, count: int) -> "QuerySet[WorkDone]":
    """Return what was done last, and whatever its day all that can still be taken back."""
    rows = WorkDone.objects.filter(unit=unit)
    fresh = Q(created_at__gte=timezone.now() - TAKEN_BACK_WITHIN)
    return rows.filter(fresh | Q(pk__in=rows[:count].values("pk")))


def last_done(unit: Unit, work: str) -> WorkDone | None:
    """Return when work was done last."""
    return WorkDone.objects.filter(unit=unit, work=work).order_by("-date", "-pk").first()
