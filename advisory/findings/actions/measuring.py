"""What an owner measured: kept as a record of its own kind, judged, and told where it must be."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.findings.actions.reporting import report_finding
from advisory.findings.believed import ask_if_not_believed
from advisory.findings.enums import Judgement
from advisory.findings.judgement import HeldAgainst, judge
from advisory.findings.models import Finding, MeasuredValue, Measuring
from advisory.findings.queries import held_against, quantity_at
from advisory.findings.signals import unit_measured
from advisory.lubrication.actions import record_unit_reading
from advisory.people import rules
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Position, Unit

LONGEST_NOTE = 500
ASKS = frozenset({Judgement.ASK, Judgement.STOP})


@dataclass(frozen=True, kw_only=True)
class Size:
    """A size (m) at a position, as it was typed, and by how much it may be off (m)."""

    position: Position
    value: float
    as_typed: str = ""
    uncertainty: float | None = None


def field_of(position: Position) -> str:
    """Return the name of a position's field, on the page and in what is refused."""
    return f"value-{position.pk}"


@transaction.atomic
def record_measuring(
    *,
    unit: Unit,
    by: Person,
    measured_on: date,
    sizes: Sequence[Size],
    shown: int | None = None,
    note: str = "",
    client_key: str = "",
    confirm: bool = False,
    confirm_shown: bool = False,
    went_round: bool = False,
    for_finding: Finding | None = None,
) -> Measuring:
    """Keep what an owner measured on a day; a size at which to ask or to stop becomes a finding.

    It is no signed build, and never changes one. `client_key` is made once for each form: sent
    twice, it is kept once. `confirm` answers a question about sizes, the others one about the
    odometer's number. `for_finding` is one that asked for it: no further one is made then.

    Raises
    ------
    Refused, Question
        Nothing was kept; the field of a size is `value-<position>`.
    """
    rules.require(by, Permission.REPORT_FINDING, unit)
    require_past_day(measured_on, by=by, field="date")
    unit = Unit.objects.select_for_update(of=("self",), no_key=True).get(pk=unit.pk)
    if client_key and (there := unit.measurings.filter(client_key=client_key).first()):
        return there
    if not sizes:
        raise Refused(_("Write down one size at least; leave the others empty."))
    if len(note) > LONGEST_NOTE:
        raise Refused(_("Use at most 500 letters."), field="note")
    held = [_checked(unit, size, confirm=confirm) for size in sizes]
    if shown is not None:
        record_unit_reading(unit=unit, date=measured_on, shown=shown, by=by,
                            confirm=confirm_shown, went_round=went_round)  # fmt: skip
    measuring = Measuring.objects.create(
        unit=unit,
        measured_on=measured_on,
        shown=shown,
        note=note.strip(),
        by=by,
        client_key=client_key,
    )
    for size, (quantity, against) in zip(sizes, held, strict=True):
        _keep(measuring, size, quantity, against, by, for_finding)
    audit.record("record_measuring", measuring, by=by, unit=unit.pk, sizes=len(sizes),
                 measured_on=measured_on.isoformat())  # fmt: skip
    transaction.on_commit(lambda: unit_measured.send(Measuring, measuring=measuring), robust=True)
    return measuring


def _checked(unit: Unit, size: Size, *, confirm: bool) -> tuple[str, HeldAgainst]:
    field = field_of(size.position)
    if size.position.design_id != unit.design_id:
        raise Refused(_("Choose a position of this unit from the list."), field=field)
    quantity = quantity_at(size.position)
    if not quantity:
        raise Refused(_("Nothing is measured at this position."), field=field)
    if not (math.isfinite(size.value) and size.value >= 0):
        raise Refused(_("Write the figure as a number, zero or more."), field=field)
    against = held_against(unit, size.position, quantity)
    if not confirm:
        ask_if_not_believed(size.value, against, size.as_typed, field=field)
    return quantity, against


def _keep(
    measuring: Measuring,
    size: Size,
    quantity: str,
    against: HeldAgainst,
    by: Person,
    for_finding: Finding | None,
) -> None:
    verdict = judge(size.value, quantity, against, off=size.uncertainty)
    finding = None
    if verdict.judgement in ASKS and for_finding is None:
        finding = report_finding(
            unit=measuring.unit,
            by=by,
            text=_("Measured: %(typed)s.") % {"typed": size.as_typed or f"{size.value:g} m"},
            seen_on=measuring.measured_on,
            position=size.position,
            value=size.value,
            as_typed=size.as_typed,
            off=size.uncertainty,
            confirm=True,
        )
    MeasuredValue.objects.create(
        measuring=measuring,
        position=size.position,
        quantity=quantity,
        value=size.value,
        uncertainty=size.uncertainty,
        as_typed=size.as_typed,
        judgement=verdict.judgement,
        finding=finding,
    )
