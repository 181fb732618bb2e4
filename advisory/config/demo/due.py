"""The due list of the whole demo fleet, as a table for the terminal."""

from collections.abc import Sequence

from advisory.people.clock import today_of
from advisory.people.preferences import preferences_of
from advisory.plans.enums import URGENCY, DueState
from advisory.plans.models import PlanItem
from advisory.plans.words import due_words
from advisory.usage.queries import distances_of

HEADINGS = ("unit", "owner", "work", "state", "when")


def due_table() -> str:
    """Return every item of every plan, the most pressing first, in its owner's units."""
    items = list(PlanItem.objects.select_related("unit__design", "unit__owner"))
    covered = distances_of({item.unit for item in items})
    rows = []
    for item in sorted(items, key=_pressing):
        owner = item.unit.owner
        if owner is None:
            continue
        distance = covered[item.unit_id]
        left = None
        if item.due_distance is not None and distance is not None:
            left = item.due_distance - distance
        rows.append(
            (
                str(item.unit),
                str(owner),
                str(item.get_work_display()),
                str(DueState(item.state).label),
                due_words(item, preferences_of(owner), today=today_of(owner), left=left),
            )
        )
    return _table(HEADINGS, rows)


def _pressing(item: PlanItem) -> tuple[int, str, int]:
    return URGENCY[DueState(item.state)], str(item.forecast_date or "9999"), item.pk


def _table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    widths = [max(len(row[place]) for row in (headings, *rows)) for place in range(len(headings))]
    rule = ["-" * width for width in widths]
    lines = [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in (headings, rule, *rows)
    ]
    return "\n".join(lines)
