"""What a person's calendars were given: what changed counts on, what vanished is called off."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from django.db import transaction
from django.utils import timezone

from advisory.notices.calendar import Told
from advisory.notices.models import CalendarEntry
from advisory.people.models import Person

# SEQUENCE is a 32-bit integer (RFC 5545, 3.3.8): seconds from here on last until 2092.
SEQUENCE_FROM = datetime(2024, 1, 1, tzinfo=UTC)
A_SECOND = timedelta(seconds=1)
WHAT_IT_SAYS = ["digest", "sequence", "changed_at", "day", "summary", "cancelled_at"]


@transaction.atomic
def settle_entries(*, person: Person, told: Sequence[Told]) -> list[CalendarEntry]:
    """Bring the entries to what is told now; return all of them, those called off too.

    It writes nothing where nothing changed. Whoever reads at the same moment waits.
    """
    now = timezone.now().replace(microsecond=0)
    rows = CalendarEntry.objects.select_for_update().filter(person=person).order_by("item_key")
    kept = {row.item_key: row for row in rows}
    new, changed = [], []
    for one in told:
        row = kept.get(one.item_key)
        at = one.changed_at.replace(microsecond=0)
        if row is None:
            row = CalendarEntry(person=person, item_key=one.item_key, sequence=_seconds(at))
            row.changed_at = at
            kept[one.item_key] = row
            new.append(row)
        elif row.digest != one.digest or row.cancelled_at is not None:
            _count_on(row, at if at > row.changed_at else now)
            changed.append(row)
        row.digest, row.day, row.summary, row.cancelled_at = one.digest, one.day, one.summary, None
    present = {one.item_key for one in told}
    for key, row in kept.items():
        if key not in present and row.cancelled_at is None:
            _count_on(row, now)
            row.cancelled_at = now
            changed.append(row)
    CalendarEntry.objects.bulk_create(new, ignore_conflicts=True)
    if changed:
        CalendarEntry.objects.bulk_update(changed, WHAT_IT_SAYS)
    return sorted(kept.values(), key=lambda row: (row.day, row.item_key))


def _count_on(row: CalendarEntry, at: datetime) -> None:
    row.changed_at = max(at, row.changed_at + A_SECOND)
    row.sequence = max(row.sequence + 1, _seconds(row.changed_at))


def _seconds(at: datetime) -> int:
    return max(0, int((at.astimezone(UTC) - SEQUENCE_FROM).total_seconds()))
