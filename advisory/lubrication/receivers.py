"""What follows for oil from what the register tells."""

from typing import Any

from django.dispatch import receiver

from advisory.lubrication.models import OilService
from advisory.register.models import Unit
from advisory.register.signals import unit_passed_on


@receiver(unit_passed_on)
def forget_the_former_owner(sender: type, *, unit: Unit, **_: Any) -> None:
    """Let services stay, and take out who wrote them down and what was noted beside them."""
    OilService.objects.filter(unit=unit).update(note="", entered_by=None)
