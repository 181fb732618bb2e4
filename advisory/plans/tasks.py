"""Jobs: all plans at night, because days pass and forecasts move."""

from celery import shared_task

from advisory.plans.actions import refresh_plans
from advisory.register.models import Unit


@shared_task
def refresh_all_plans() -> int:
    """Reckon all plans anew, a chunk at a time; return how many had changed.

    It may be killed and begun again at any point, or run twice at once.
    """
    return refresh_plans(units=Unit.objects.order_by("pk").values_list("pk", flat=True))
