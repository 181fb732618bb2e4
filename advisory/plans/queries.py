"""Reads of plans that more than one caller needs; constant numbers of queries."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from advisory.findings.enums import FindingState, Judgement
from advisory.findings.models import Finding
from advisory.findings.queries import Found, found_on
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.plans.enums import URGENCY, DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.work import WORKS
from advisory.register.enums import BuildState, WorkKind
from advisory.register.models import Build, Unit

# What was measured that says so; GOOD or WATCH at the same place later takes it back.
HALTS = (Judgement.STOP, Judgement.ASK)
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
    """What was measured or seen that says: don't run it. It stands until it is put right."""

    finding: Finding

    @property
    def stop(self) -> bool:
        """Whether it is past its limit, not only to be asked about."""
        return self.finding.judgement == Judgement.STOP

    @property
    def past_limit(self) -> bool:
        """Whether a figure says so, not only what was seen."""
        return self.finding.value is not None

    @property
    def answered(self) -> bool:
        """Whether the workshop has said something to it."""
        return self.finding.state == FindingState.ANSWERED


def halts_of(units: Sequence[Unit], person: Person) -> dict[int, list[Halt]]:
    """Return what stands against running each unit as far as a person sees it, gravest first.

    A finding stands until the unit is rebuilt, or the same place is measured again and is well.
    """
    rebuilt = dict(
        Build.objects.filter(unit__in=units, state=BuildState.SIGNED)
        .order_by("built_on")
        .values_list("unit_id", "built_on")
    )
    return halts_among(found_on(units, person), rebuilt)


def halts_among(found: Found, rebuilt: Mapping[int, date]) -> dict[int, list[Halt]]:
    """Return what stands against running units, by what was found on them and when each was built.

    Of a unit that `rebuilt` does not name all that was found counts.
    """
    latest: dict[tuple[int, int | None, str, str], Finding] = {}
    for finding in found.findings:
        if finding.judgement != Judgement.UNJUDGED:
            latest[finding.unit_id, finding.position_id, finding.quantity, finding.mark] = finding
    for row in found.values:
        if row.judgement == Judgement.UNJUDGED:
            continue
        place = (row.measuring.unit_id, row.position_id, row.quantity, "")
        before = latest.get(place)
        if before is not None and row.measuring.measured_on >= before.seen_on:
            del latest[place]  # measured again since, and well: what is not is a finding itself
    halts: dict[int, list[Halt]] = defaultdict(list)
    for finding in latest.values():
        since = rebuilt.get(finding.unit_id)
        if finding.judgement in HALTS and (since is None or finding.seen_on >= since):
            halts[finding.unit_id].append(Halt(finding))
    return {
        unit_id: sorted(those, key=lambda halt: (not halt.stop, halt.finding.seen_on))
        for unit_id, those in halts.items()
    }


def last_done(unit: Unit, work: str) -> WorkDone | None:
    """Return when work was done last."""
    return WorkDone.objects.filter(unit=unit, work=work).order_by("-date", "-pk").first()
