"""What open findings want of plans, of many units with a constant number of queries."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from django.db.models import Q

from advisory.findings.enums import FindingState, Instruction, Judgement
from advisory.findings.models import Finding
from advisory.findings.queries import own_values, units_with_writing
from advisory.findings.standing import WITH_FINDINGS, WITH_VALUES, standing_among
from advisory.people.clock import day_of
from advisory.plans.work import Matter
from advisory.register.enums import PositionKind
from advisory.register.models import Unit


def matters_of(units: Sequence[Unit], rebuilt: Mapping[int, date]) -> dict[int, list[Matter]]:
    """Return by unit what its open findings want, the oldest first; `rebuilt` as its builds say.

    What the owner has told nobody else counts only where there is no workshop that would read it
    out of the plan.
    """
    found: dict[int, list[Matter]] = defaultdict(list)
    units = units_with_writing(units)
    if not units:
        return found
    told = Finding.objects.filter(Q(sent_at__isnull=False) | Q(unit__workshop=None))
    rows = told.filter(unit__in=units).exclude(judgement=Judgement.UNJUDGED)
    values = own_values(units, None).exclude(judgement=Judgement.UNJUDGED)
    standing_on = standing_among(
        rows.select_related(*WITH_FINDINGS), values.select_related(*WITH_VALUES), rebuilt
    )
    for unit_id, standing in standing_on.items():
        found[unit_id] += [
            Matter(
                one.day,
                place=str(one.position or ""),
                kind=None if one.position is None else PositionKind(one.position.kind),
                judgement=one.judgement,
                figure=one.as_typed,
                mark="" if one.as_typed else one.finding.mark,
            )
            for one in standing
            if one.finding.is_open and not one.told
        ]
    rows = told.filter(~Q(instruction="") | Q(state=FindingState.AGREED), unit__in=units)
    for row in rows.select_related("unit__workshop", "unit__owner", "agreed__picked_by"):
        found[row.unit_id] += _said(row)
    return defaultdict(list, {key: sorted(those, key=lambda one: one.since)
                              for key, those in found.items()})  # fmt: skip


def _said(finding: Finding) -> list[Matter]:
    workshop = "" if finding.unit.workshop is None else finding.unit.workshop.name
    said = []
    if finding.instruction and finding.instructed_at is not None:
        day = day_of(finding.instructed_at, finding.unit.owner)
        said.append(Matter(day, workshop, instruction=Instruction(finding.instruction)))
    agreed = finding.agreed
    if agreed is not None and agreed.picked_by is not None:
        said.append(Matter(day_of(agreed.picked_by.at, finding.unit.owner), workshop, agreed=True))
    return said
