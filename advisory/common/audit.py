"""Writing the audit trail, from actions only."""

from typing import TYPE_CHECKING, Any

from django.db.models import Model

from advisory.common.models import AuditEntry

if TYPE_CHECKING:
    from advisory.people.models import Person


def record(action: str, target: Model, *, by: "Person | None", **data: Any) -> AuditEntry:
    """Add one row to the trail; `by` is None for what the service itself does."""
    return AuditEntry.objects.create(
        by=by, action=action, target_type=target._meta.label, target_id=target.pk, data=data
    )
