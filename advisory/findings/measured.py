"""Running clearances out of findings, for whoever asks below: what may be seen, and no more."""

from collections.abc import Sequence
from typing import Any

from django.dispatch import receiver

from advisory.findings.models import Finding
from advisory.findings.queries import own_values
from advisory.lubrication.measured import Measured
from advisory.lubrication.signals import clearances_asked
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.enums import MeasuredQuantity
from advisory.register.models import Unit


@receiver(clearances_asked)
def clearances_found(
    units: Sequence[Unit], by: Person | None, **kwargs: Any
) -> dict[tuple[int, int], Measured]:
    """Answer with the newest running clearance by the keys of unit and position."""
    rows = Finding.objects.filter(
        unit__in=units,
        quantity=MeasuredQuantity.RUNNING_CLEARANCE,
        value__gt=0,
        position__isnull=False,
    )
    if by is not None:
        rows = rules.scope(by, Permission.VIEW_FINDING, rows)
    told = [
        (seen_on, (unit_id, position_id), value, sent_at is None)
        for unit_id, position_id, value, seen_on, sent_at in rows.order_by("pk").values_list(
            "unit_id", "position_id", "value", "seen_on", "sent_at"
        )
        if position_id is not None and value is not None
    ]
    told += [
        (row.measuring.measured_on, (row.measuring.unit_id, row.position_id), row.value, False)
        for row in own_values(units, by)
        .filter(quantity=MeasuredQuantity.RUNNING_CLEARANCE)
        .select_related("measuring")
    ]
    return {
        place: Measured(value, day, owner_alone=alone)
        for day, place, value, alone in sorted(told, key=lambda one: one[0])
    }
