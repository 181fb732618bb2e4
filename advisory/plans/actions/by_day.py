"""By day: the plans that read differently since midnight, wherever their owners are."""

from datetime import date, timedelta

from django.utils import timezone

from advisory.people.clock import today_in
from advisory.plans.actions.refresh import refresh_plans
from advisory.plans.models import PlanItem

# No zone is farther ahead of UTC.
FARTHEST_AHEAD = timedelta(hours=14)


def refresh_whose_day_came() -> int:
    """Reckon the plans with an item whose next day has come; return how many had changed.

    All else stays as it is: what is written down reckons its own plans, and the night all of them.
    """
    somewhere = (timezone.now() + FARTHEST_AHEAD).date()
    rows = PlanItem.objects.filter(changes_on__lte=somewhere).order_by()
    days = rows.values_list("unit_id", "unit__owner__zone", "changes_on")
    todays: dict[str | None, date] = {}
    come = set()
    for unit_id, zone, day in days.iterator():
        if zone not in todays:
            todays[zone] = today_in(zone)
        if day is not None and day <= todays[zone]:
            come.add(unit_id)
    return refresh_plans(units=come)
