"""Jobs: the choice of oil at night, because methods get new versions and bearings are measured."""

from celery import shared_task

from advisory.lubrication.choice.judging import refresh_choices
from advisory.register.models import Unit


@shared_task
def refresh_all_choices() -> int:
    """Judge the oils of all units anew where something moved; return how many were kept.

    It may be killed and begun again at any point, or run twice at once.
    """
    return refresh_choices(Unit.objects.order_by("pk").values_list("pk", flat=True))
