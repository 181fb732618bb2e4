"""What a person wants by mail, and what they have read."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import transaction
from django.db.models import Model
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.notices.models import (
    NoticePreference,
)
from advisory.notices.quiet_hours import ALL_DAYS
from advisory.people.models import Person

LAST_HOUR_OF_ALL = 24


def preference_of(person: Person) -> NoticePreference:
    """Return a person's preference, made where there was none yet."""
    preference, _made = NoticePreference.objects.get_or_create(person=person)
    return preference


CHOICES = (
    "reminders_by_mail",
    "findings_by_mail",
    "bulletins_by_mail",
    "weekly_by_mail",
    "mail_days",
    "from_hour",
    "until_hour",
    "tell_workshop",
)


def choose_notices(*, by: Person, **wanted: Any) -> None:
    """Choose which mails are wanted and when; what is not named stays as it was.

    To choose any mail also gives a refused address another try.

    Raises
    ------
    Refused
        For hours that leave no time, and for a week without a day.
    """
    unknown = set(wanted).difference(CHOICES)
    if unknown:
        raise TypeError(f"Nobody chooses {sorted(unknown)}.")
    with transaction.atomic():
        preference = preference_of(by)
        for name, value in wanted.items():
            setattr(preference, name, value)
        _require_some_time(preference)
        if any(getattr(preference, name) for name in CHOICES if name.endswith("_by_mail")):
            preference.refused_address = preference.refused_words = ""
            preference.refused_times, preference.refused_last_at = 0, None
        preference.save()
        audit.record("choose_notices", preference, by=by, **wanted)


def _require_some_time(preference: NoticePreference) -> None:
    if not 0 < preference.mail_days <= ALL_DAYS:
        raise Refused(
            _("Choose one day of the week at least. To have no mail at all, untick reminders."),
            field="mail_days",
        )
    if not 0 <= preference.from_hour < preference.until_hour <= LAST_HOUR_OF_ALL:
        raise Refused(
            _("The last hour must lie after the first, on the same day."), field="until_hour"
        )


def stop_mail(*, preference: NoticePreference, switch: str) -> None:
    """Stop one kind of mail, for whoever holds the secret address from a mail of that kind."""
    with transaction.atomic():
        if getattr(preference, switch):
            setattr(preference, switch, False)
            preference.save(update_fields=[switch])
            audit.record("stop_mail", preference, by=None, switch=switch)


def mark_read(*, by: Person, unread: Mapping[type[Model], Iterable[int]]) -> None:
    """Note that a person has had these messages before them; by table, the keys of their rows."""
    now = timezone.now()
    for model, keys in unread.items():
        rows = model._default_manager.filter(person=by, pk__in=keys, read_at=None)
        rows.update(read_at=now)
