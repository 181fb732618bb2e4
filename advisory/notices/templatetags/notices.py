"""What notices add to other pages: that an item is put off, that an address takes no mail."""

from typing import Any

from django import template

from advisory.notices.models import NoticePreference
from advisory.notices.queries import snooze_of
from advisory.people.models import Person
from advisory.plans.models import PlanItem

register = template.Library()


@register.simple_tag(takes_context=True)
def put_off(context: dict[str, Any], item: PlanItem) -> object:
    """Return what holds back an item's reminders to the reader now; None where nothing does."""
    person = context["request"].user
    return snooze_of(item, person) if isinstance(person, Person) else None


@register.simple_tag(takes_context=True)
def mail_trouble(context: dict[str, Any]) -> NoticePreference | None:
    """Return the reader's preference where a mail server refuses their address; else None."""
    person = context["request"].user
    if not isinstance(person, Person):
        return None
    kept = NoticePreference.objects.filter(person=person).select_related("person").first()
    return kept if kept is not None and (kept.is_refused or kept.is_doubted) else None
