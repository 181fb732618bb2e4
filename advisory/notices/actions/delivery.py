"""Sending what waits in the outbox.

A worker claims a mail with one conditional UPDATE that holds it for a while, puts together what it
says, sends it, and notes so. Killed in between, the mail is taken up again once the hold has run
out. Into a folder it is written once even so: the file is named by its Message-ID. Over SMTP, no
one can do better than at least once: a worker that dies after the server took the mail and before
the note is written sends it again, with the same Message-ID. Nothing is done between the two.
"""

import logging
import smtplib
import time
from contextlib import suppress
from datetime import timedelta

from django.core.mail import EmailMultiAlternatives, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction
from django.db.models import F
from django.db.models.functions import Coalesce
from django.utils import timezone

from advisory.notices.enums import OPENS_A_DOOR, MailState
from advisory.notices.letters import Letter, Withheld, letter_for
from advisory.notices.mail_links import without_secrets
from advisory.notices.models import Mail, NoticePreference
from advisory.notices.queries import waiting_mail

logger = logging.getLogger(__name__)

# Longer than a mail server may take (EMAIL_TIMEOUT for each of its answers).
HOLD = timedelta(minutes=10)
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
AT_ONCE = 100
# The clock starts a sweep each minute; one that has more to do makes room for the next.
SECONDS_A_SWEEP = 50.0
# How long a page waits for the mail server, where no job does.
SECONDS_A_PAGE = 5
LONGEST_ERROR = 300
PERMANENT = range(500, 600)


def deliver_waiting(*, seconds: float = SECONDS_A_SWEEP) -> int:
    """Send what waits, over one connection; return how many were sent.

    While the mail server is away nothing is claimed: the mails wait, and none counts it as a try.
    """
    until = time.monotonic() + seconds
    sent = 0
    connection: BaseEmailBackend = get_connection()
    try:
        while time.monotonic() < until:
            due = list(waiting_mail(timezone.now()).values_list("pk", flat=True)[:AT_ONCE])
            if not due:
                break
            for pk in due:
                if not _opened(connection):
                    return sent
                sent += deliver(pk, connection=connection) == MailState.SENT
    finally:
        _closed(connection)
    return sent


def deliver_at_once(pk: int) -> None:
    """Try one mail now, for as long as a page can wait; else it goes on waiting."""
    connection: BaseEmailBackend = get_connection(timeout=SECONDS_A_PAGE)
    try:
        if _opened(connection):
            deliver(pk, connection=connection)
    finally:
        _closed(connection)


def deliver(pk: int, *, connection: BaseEmailBackend) -> MailState | None:
    """Send one mail if it waits and nobody else holds it; return what became of it."""
    now = timezone.now()
    hold = now + HOLD
    claimed = (
        waiting_mail(now)
        .filter(pk=pk)
        .update(
            held_until=hold,
            attempts=F("attempts") + 1,
            first_tried_at=Coalesce("first_tried_at", now),
        )
    )
    if not claimed:
        return None
    mail = Mail.objects.select_related(
        "person", "invitation__organisation", "offer__unit__design", "offer__unit__workshop"
    ).get(pk=pk)
    try:
        letter = letter_for(mail, now)
        if isinstance(letter, Withheld):
            return _noted(mail, MailState.HELD, last_error=letter.reason)
        message = _message(mail, letter)
        connection.send_messages([message])
    except (smtplib.SMTPException, OSError) as error:
        return _failed(mail, error, connection)
    except Exception as error:
        logger.exception("Mail %s could not be put together", mail.key)
        return _failed(mail, error, connection)
    secret = mail.kind in OPENS_A_DOOR
    return _noted(
        mail,
        MailState.SENT,
        sent_at=timezone.now(),
        to=letter.to,
        subject=letter.subject,
        text="" if secret else without_secrets(letter.text),
        html="" if secret else without_secrets(letter.html),
        headers=letter.headers,
        last_error="",
    )


def _message(mail: Mail, letter: Letter) -> EmailMultiAlternatives:
    message = EmailMultiAlternatives(
        subject=letter.subject,
        body=letter.text,
        to=[letter.to],
        headers={"Message-ID": mail.message_id, **letter.headers},
    )
    if letter.html:
        message.attach_alternative(letter.html, "text/html")
    return message


def _noted(mail: Mail, state: MailState, **fields: object) -> MailState:
    """Write what became of a mail that is still ours."""
    noted = Mail.objects.filter(
        pk=mail.pk, state=MailState.WAITING, held_until=mail.held_until
    ).update(state=state, held_until=None, **fields)
    if not noted:
        logger.warning("Mail %s was held too long; another worker has it as well", mail.key)
    return state


def _failed(mail: Mail, error: Exception, connection: BaseEmailBackend) -> MailState:
    """Put a mail back for a later try, or give it up."""
    said = f"{type(error).__name__}: {error}"[:LONGEST_ERROR]
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        code, words = next(iter(error.recipients.values()))
        said = f"{code} {words.decode(errors='replace')}"[:LONGEST_ERROR]
        if code in PERMANENT:
            return _given_up(mail, said, address_refused=True)
    else:
        _closed(connection)
    logger.info("Mail %s, try %d: %s", mail.key, mail.attempts, said)
    if mail.attempts > len(NEXT_TRY_AFTER):
        return _given_up(mail, said)
    return _noted(
        mail,
        MailState.WAITING,
        next_try_at=timezone.now() + NEXT_TRY_AFTER[mail.attempts - 1],
        last_error=said,
    )


def _given_up(mail: Mail, said: str, *, address_refused: bool = False) -> MailState:
    """Stop trying; the account shows it. An address that takes no mail gets none any more."""
    logger.warning("Mail %s is given up: %s", mail.key, said)
    with transaction.atomic():
        if address_refused and mail.person is not None:
            NoticePreference.objects.update_or_create(
                person=mail.person, defaults={"refused_address": mail.person.email}
            )
        emptied = {"text": "", "html": ""} if mail.kind in OPENS_A_DOOR else {}
        return _noted(mail, MailState.GIVEN_UP, last_error=said, **emptied)


def _opened(connection: BaseEmailBackend) -> bool:
    try:
        connection.open()
    except (smtplib.SMTPException, OSError) as error:
        logger.warning("The mail server is away, the mail waits: %s", error)
        return False
    return True


def _closed(connection: BaseEmailBackend) -> None:
    with suppress(smtplib.SMTPException, OSError):
        connection.close()
