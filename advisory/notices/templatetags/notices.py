"""What notices add to other pages: that an item is put off, that an address takes no mail."""

from typing import Any

from django import template
from django.utils.translation import gettext as _

from advisory.notices.models import NoticePreference, Snooze
from advisory.notices.queries import longest_snoozes, snooze_of, snoozes_of
from advisory.people.models import Person
from advisory.plans.models import PlanItem
from advisory.plans.words import day_words

register = template.Library()


@register.simple_tag(takes_context=True)
def put_off(context: dict[str, Any], item: PlanItem) -> object:
    """Return what holds back an item's reminders to the reader now; None where nothing does."""
    person = context["request"].user
    return snooze_of(item, person) if isinstance(person, Person) else None


@register.simple_tag(takes_context=True)
def what_is_put_off(context: dict[str, Any]) -> dict[int, Snooze]:
    """Return by item all that holds back reminders to the reader now, for `put_off_words`."""
    person = context["request"].user
    if not isinstance(person, Person) or not context.get("puts_off"):
        return {}
    return snoozes_of(person)


@register.filter
def put_off_words(item: PlanItem, snoozes: dict[int, Snooze]) -> str:
    """Say until when an item is put off in the cycle in which it is; "" where it is not."""
    snooze = snoozes.get(item.pk)
    if snooze is None or snooze.cycle != item.cycle:
        return ""
    return _("Put off until %(day)s") % {"day": day_words(snooze.until)}


@register.simple_tag(takes_context=True)
def may_be_put_off(context: dict[str, Any], item: PlanItem) -> bool:
    """Say whether the reader may put off an item at all, as it stands today."""
    person = context["request"].user
    return isinstance(person, Person) and longest_snoozes([item], person)[item.pk] is not None


@register.simple_tag(takes_context=True)
def mail_trouble(context: dict[str, Any]) -> NoticePreference | None:
    """Return the reader's preference where a mail server refuses their address; else None."""
    person = context["request"].user
    if not isinstance(person, Person):
        return None
    kept = NoticePreference.objects.filter(person=person).select_related("person").first()
    return kept if kept is not None and (kept.is_refused or kept.is_doubted) else None
