"""What a person wants by mail, and what they have read."""

from collections.abc import Iterable

from django.db import transaction
from django.utils import timezone

from advisory.common import audit
from advisory.notices.models import FindingNotice, NoticePreference, Reminder
from advisory.people.models import Person


def preference_of(person: Person) -> NoticePreference:
    """Return a person's preference, made where there was none yet."""
    preference, _made = NoticePreference.objects.get_or_create(person=person)
    return preference


def choose_notices(*, by: Person, reminders_by_mail: bool, findings_by_mail: bool) -> None:
    """Choose which mails are wanted; to choose any also gives a refused address another try."""
    with transaction.atomic():
        preference = preference_of(by)
        preference.reminders_by_mail = reminders_by_mail
        preference.findings_by_mail = findings_by_mail
        if reminders_by_mail or findings_by_mail:
            preference.refused_address = ""
        preference.save()
        audit.record(
            "choose_notices",
            preference,
            by=by,
            reminders_by_mail=reminders_by_mail,
            findings_by_mail=findings_by_mail,
        )


def stop_mail(*, preference: NoticePreference, switch: str) -> None:
    """Stop one kind of mail, for whoever holds the secret address from a mail of that kind."""
    with transaction.atomic():
        if getattr(preference, switch):
            setattr(preference, switch, False)
            preference.save(update_fields=[switch])
            audit.record("stop_mail", preference, by=None, switch=switch)


def mark_read(*, by: Person, reminders: Iterable[int], finding_notices: Iterable[int]) -> None:
    """Note that a person has had these messages before them."""
    now = timezone.now()
    Reminder.objects.filter(person=by, pk__in=reminders, read_at=None).update(read_at=now)
    FindingNotice.objects.filter(person=by, pk__in=finding_notices, read_at=None).update(
        read_at=now
    )
