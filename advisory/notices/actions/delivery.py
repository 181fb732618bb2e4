"""Sending what waits in the outbox.

A worker claims a mail with one conditional UPDATE that holds it for a while, puts together what it
says, asks once more whether it still holds it, hands it to the mail server, and marks it. Killed in
between, the mail is taken up again once the hold has run out. Into a folder it is written once even
so: the file is named by its Message-ID. Over SMTP a process of its own (`common/courier.py`) hears
the server out, and a note on the disk (`hand_note`) tells whoever takes it up whether it had said
yes; what remains open is told there. A mail that is sent again bears the same Message-ID.
"""

import logging
import secrets
import smtplib
import time
from collections.abc import Iterator, Sequence
from contextlib import suppress
from datetime import datetime, timedelta

from django.core.mail import get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import InterfaceError, OperationalError
from django.db import connection as database
from django.db.models import F
from django.db.models.functions import Coalesce
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from advisory.common.smtp import ReceiptedMessage
from advisory.notices.actions.failures import failed, forget_refusals, note_mail
from advisory.notices.actions.mailing import next_window
from advisory.notices.actions.outbox import send_soon
from advisory.notices.enums import OPENS_A_DOOR, MailState
from advisory.notices.hand_note import Busy, HandNote, hand_note
from advisory.notices.letters import Letter, Withheld, letter_for
from advisory.notices.mail_links import without_secrets
from advisory.notices.models import Mail, NoticePreference
from advisory.notices.queries import sweeps_at_work, waiting_mail, with_what_they_tell

logger = logging.getLogger(__name__)

# Longer than a mail server may take (EMAIL_TIMEOUT for each of its answers).
HOLD = timedelta(minutes=10)
AT_ONCE = 100
# So many are read together, and read again where the mail server is slow to take them.
READ_AT_ONCE = 10
SECONDS_READ_HOLDS = 2.0
READ_WITH_IT = (
    "person__notice_preference",
    "invitation__organisation",
    "offer__unit__design",
    "offer__unit__workshop",
)
# The clock starts a sweep each minute; one that has more to do makes room for the next.
SECONDS_A_SWEEP = 50.0
# With a lot waiting, so many go on at the same time: over both workers, all that they can do.
SWEEPS_AT_ONCE = 4
# How long a page waits for the mail server, where no job does.
SECONDS_A_PAGE = 5
# A database that is away so often in one sweep is left alone until the next.
MOST_CUTS = 3


def deliver_waiting(*, seconds: float = SECONDS_A_SWEEP) -> int:
    """Send what waits, over one connection; return how many were sent.

    While the mail server is away nothing is claimed: the mails wait, and none counts it as a try.
    """
    until = time.monotonic() + seconds
    sent = cuts = 0
    connection: BaseEmailBackend = get_connection()
    try:
        while time.monotonic() < until:
            try:
                due = _due()
                if not due:
                    return sent
                became = []
                for mail in _read(due):
                    if not _opened(connection):
                        return sent
                    became.append(_hand_over(mail, connection))
                    sent += became[-1] == MailState.SENT
                    if time.monotonic() >= until:
                        break
                if not any(became):
                    return sent  # others are at all of them
            except (OperationalError, InterfaceError) as error:
                cuts += 1
                if cuts > MOST_CUTS or database.in_atomic_block:
                    raise
                logger.warning("The database was away, the sweep goes on: %s", error)
                database.close()
        send_soon()
    finally:
        _closed(connection)
    return sent


def _due() -> list[int]:
    """Return the next mails, from anywhere on: sweeps at the same time rarely want the same."""
    due = list(waiting_mail(timezone.now()).values_list("pk", flat=True)[:AT_ONCE])
    if len(due) < AT_ONCE:
        return due
    if sweeps_at_work(timezone.now()) < SWEEPS_AT_ONCE - 1:
        send_soon()
    begin = secrets.randbelow(len(due))
    return due[begin:] + due[:begin]


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
    mail = next(_read([pk]), None)
    return None if mail is None else _hand_over(mail, connection)


def _read(due: Sequence[int]) -> Iterator[Mail]:
    """Read mails with what they tell, a few at a time; none is given that was read long ago."""
    left = list(due)
    while left:
        now, until = timezone.now(), time.monotonic() + SECONDS_READ_HOLDS
        some = left[:READ_AT_ONCE]
        rows = with_what_they_tell(waiting_mail(now).filter(pk__in=some), now)
        read = {mail.pk: mail for mail in rows.select_related(*READ_WITH_IT)}
        for pk in some:
            left.remove(pk)
            if pk in read:
                yield read[pk]
            if time.monotonic() > until:
                break


def _hand_over(mail: Mail, connection: BaseEmailBackend) -> MailState | None:
    now = timezone.now()
    try:
        with hand_note(mail.message_id) as note:
            return _deliver(mail, note, connection, now) if _claimed(mail, now) else None
    except Busy:
        return None


def _claimed(mail: Mail, now: datetime) -> bool:
    hold = now + HOLD
    claimed = waiting_mail(now).filter(pk=mail.pk)
    taken = claimed.update(
        held_until=hold, attempts=F("attempts") + 1, first_tried_at=Coalesce("first_tried_at", now)
    )
    mail.held_until, mail.attempts = hold, mail.attempts + 1
    return bool(taken)


def _deliver(
    mail: Mail, note: HandNote, connection: BaseEmailBackend, now: datetime
) -> MailState | None:
    if note.taken is not None:
        logger.warning("Mail %s had gone before its worker died; it is marked", mail.key)
        return _mark_sent(mail, note, note.taken)
    preference: NoticePreference | None = getattr(mail.person, "notice_preference", None)
    if (opening := next_window(mail, preference, now)) > now:
        note.forget()
        return note_mail(
            mail,
            MailState.WAITING,
            next_try_at=opening,
            attempts=mail.attempts - 1,
            first_tried_at=None,
        )
    try:
        letter = letter_for(mail, now)
        if isinstance(letter, Withheld):
            note.forget()
            return note_mail(mail, MailState.HELD, last_error=letter.reason)
        told = _told(mail, letter)
        if note.found:
            logger.warning(
                "Mail %s may go a second time: its worker died handing it over", mail.key
            )
        note.write(told)
        if not _still_ours(mail):
            note.forget()
            return None
        connection.send_messages([_message(mail, letter, note)])
    except (OperationalError, InterfaceError):
        note.forget()
        _let_go(mail)
        raise
    except Exception as error:
        if not isinstance(error, smtplib.SMTPException | OSError):
            logger.exception("Mail %s could not be put together", mail.key)
        if not isinstance(error, smtplib.SMTPRecipientsRefused):
            _closed(connection)
        if not note.says_taken():
            note.forget()
            return failed(mail, error)
    with suppress(OSError):  # the row says it in a moment
        note.mark_taken()
    state = _mark_sent(mail, note, told)
    if mail.person is not None and preference is not None and preference.refused_times:
        forget_refusals(mail.person)
    return state


def _told(mail: Mail, letter: Letter) -> dict[str, object]:
    """Return what is kept of a letter once it has gone."""
    secret = mail.kind in OPENS_A_DOOR
    return {
        "to": letter.to,
        "subject": letter.subject,
        "text": "" if secret else without_secrets(letter.text),
        "html": "" if secret else without_secrets(letter.html),
        "headers": dict(letter.headers),
        "left_out": list(letter.left_out),
        "sent_at": timezone.now().isoformat(),
    }


def _still_ours(mail: Mail) -> bool:
    """Ask once more, right before it goes: a clock may have jumped, a worker been frozen."""
    rows = Mail.objects.filter(pk=mail.pk, state=MailState.WAITING, held_until=mail.held_until)
    return rows.exists()


def _mark_sent(mail: Mail, note: HandNote, told: dict[str, object]) -> MailState:
    """Mark a mail that the server took, whoever holds it by now; then the note is done with.

    Where the database is away the note stays, and whoever takes the mail up reads it.
    """
    fields = {**told, "sent_at": parse_datetime(str(told.get("sent_at", ""))) or timezone.now()}
    for last in (False, True):
        try:
            Mail.objects.filter(pk=mail.pk, state=MailState.WAITING).update(
                state=MailState.SENT, held_until=None, last_error="", **fields
            )
            break
        except (OperationalError, InterfaceError):
            if last or database.in_atomic_block:
                raise
            database.close()
    note.forget()
    return MailState.SENT


def _let_go(mail: Mail) -> None:
    """Let another worker have a mail that this one did not hand over."""
    if database.in_atomic_block:
        return
    with suppress(OperationalError, InterfaceError):
        database.close()
        Mail.objects.filter(pk=mail.pk, held_until=mail.held_until).update(held_until=None)


def _message(mail: Mail, letter: Letter, note: HandNote) -> ReceiptedMessage:
    message = ReceiptedMessage(
        subject=letter.subject,
        body=letter.text,
        to=[letter.to],
        headers={"Message-ID": mail.message_id, **letter.headers},
    )
    message.receipt = note.receipt
    if letter.html:
        message.attach_alternative(letter.html, "text/html")
    return message


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
