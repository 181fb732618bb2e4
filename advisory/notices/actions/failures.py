"""What becomes of a mail that did not go: another try, or none, and its reader told why."""

import logging
import smtplib
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone

from advisory.notices.enums import OPENS_A_DOOR, MailState
from advisory.notices.models import Mail, NoticePreference
from advisory.people.models import Person

logger = logging.getLogger(__name__)

# How long after each failure the next try is due; when they are used up it is given up.
NEXT_TRY_AFTER = (
    timedelta(minutes=1),
    timedelta(minutes=5),
    timedelta(minutes=15),
    timedelta(hours=1),
    timedelta(hours=3),
    timedelta(hours=6),
    timedelta(hours=12),
    timedelta(hours=24),
)
# A server that says for good of an address that it takes no mail may be set up wrongly for an hour:
# it is believed once it has said so so often, each time so much later. Common practice, no source.
REFUSED_AGAIN_AFTER = (timedelta(hours=1), timedelta(hours=24))
REFUSALS_BELIEVED = len(REFUSED_AGAIN_AFTER) + 1
LONGEST_ERROR = 300
PERMANENT = range(500, 600)


def note_mail(mail: Mail, state: MailState, **fields: object) -> MailState:
    """Write what became of a mail that is still ours."""
    noted = Mail.objects.filter(
        pk=mail.pk, state=MailState.WAITING, held_until=mail.held_until
    ).update(state=state, held_until=None, **fields)
    if not noted:
        logger.warning("Mail %s was held too long; another worker has it as well", mail.key)
    return state


def failed(mail: Mail, error: Exception) -> MailState:
    """Put a mail back for a later try, or give it up."""
    said = f"{type(error).__name__}: {error}"[:LONGEST_ERROR]
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        code, words = next(iter(error.recipients.values()))
        said = f"{code} {words.decode(errors='replace')}"[:LONGEST_ERROR]
        if code in PERMANENT:
            return _refused(mail, said)
    logger.info("Mail %s, try %d: %s", mail.key, mail.attempts, said)
    if mail.attempts > len(NEXT_TRY_AFTER):
        return _given_up(mail, said)
    return _later(mail, said, NEXT_TRY_AFTER[mail.attempts - 1])


def _refused(mail: Mail, said: str) -> MailState:
    """Count that a server refused an address for good; believed, nothing more goes there."""
    if mail.person is None or mail.kind in OPENS_A_DOOR:
        return _given_up(mail, said)
    with transaction.atomic():
        times = _count_refusal(mail.person, said, timezone.now())
        if times >= REFUSALS_BELIEVED:
            return _given_up(mail, said)
        return _later(mail, said, REFUSED_AGAIN_AFTER[times - 1])


def _count_refusal(person: Person, said: str, now: datetime) -> int:
    """Return how often it was said; several mails at once are one time."""
    NoticePreference.objects.get_or_create(person=person)
    row = NoticePreference.objects.select_for_update().get(person=person)
    if row.refusing_address != person.email:
        row.refusing_address, row.refused_times, row.refused_last_at = person.email, 0, None
    last = row.refused_last_at
    if last is None or row.refused_times == 0:
        again = True
    else:
        wait = REFUSED_AGAIN_AFTER[min(row.refused_times, len(REFUSED_AGAIN_AFTER)) - 1]
        again = now - last >= wait / 2
    if again:
        row.refused_times += 1
        row.refused_last_at = now
    row.refused_words = said
    if row.refused_times >= REFUSALS_BELIEVED:
        row.refused_address = person.email
    row.save()
    return row.refused_times


def forget_refusals(person: Person) -> None:
    """Count anew: the server took a mail for this address."""
    NoticePreference.objects.filter(person=person, refused_times__gt=0).update(
        refused_times=0, refused_last_at=None, refused_words="", refused_address=""
    )


def _later(mail: Mail, said: str, after: timedelta) -> MailState:
    return note_mail(mail, MailState.WAITING, next_try_at=timezone.now() + after, last_error=said)


def _given_up(mail: Mail, said: str) -> MailState:
    """Stop trying; the account shows it."""
    logger.warning("Mail %s is given up: %s", mail.key, said)
    emptied = {"text": "", "html": ""} if mail.kind in OPENS_A_DOOR else {}
    return note_mail(mail, MailState.GIVEN_UP, last_error=said, **emptied)
