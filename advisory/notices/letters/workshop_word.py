"""A word to the workshop: what is overdue on units that it built, where their owners want that."""

from datetime import datetime

from django.utils.translation import gettext as _

from advisory.notices.enums import Stage
from advisory.notices.letters.letter import (
    FINDINGS,
    Letter,
    Withheld,
    letter_to,
    link,
    told_without,
)
from advisory.notices.models import Mail
from advisory.notices.queries import items_still_late
from advisory.notices.words import stage_in_words, subject_in_words
from advisory.people.clock import today_of


def workshop_word_letter(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return the letter with what is still overdue, and still the reader's to know."""
    person = mail.person
    if person is None:
        return Withheld("The person has left.")
    items = sorted(
        items_still_late(person, mail.reminders.all(), now).values(),
        key=lambda item: (str(item.unit), item.work),
    )
    if not items:
        return Withheld("Nothing of it is overdue, or the workshop's to know, any more.")
    lines = [
        {
            "unit": str(item.unit),
            "owner": str(item.unit.owner),
            "work": item.get_work_display(),
            "due": stage_in_words(item, Stage.LATE, today_of(person)),
            "url": link("plans:item", item.unit_id, item.work),
        }
        for item in items
    ]
    subject = subject_in_words(items[0].get_work_display(), Stage.LATE, str(items[0].unit))
    if len(lines) > 1:
        subject = _("%(first)s, and %(more)d more") % {"first": subject, "more": len(lines) - 1}
    letter = letter_to(person, FINDINGS, "workshop_word", subject, {"lines": lines})
    return told_without(letter, mail, {item.pk for item in items})
