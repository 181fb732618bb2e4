"""What notices add to a page of an item: that it is put off, and the way to put it off."""

from typing import Any

from django import template

from advisory.notices.queries import snooze_of
from advisory.people.models import Person
from advisory.plans.models import PlanItem

register = template.Library()


@register.simple_tag(takes_context=True)
def put_off(context: dict[str, Any], item: PlanItem) -> object:
    """Return what holds back an item's reminders to the reader now; None where nothing does."""
    person = context["request"].user
    return snooze_of(item, person) if isinstance(person, Person) else None
