"""The outbox: a mail is a row first, written with what it tells, and sent from there."""

import logging
from datetime import datetime
from urllib.parse import urlsplit
from uuid import uuid4

from celery import current_app
from django.conf import settings
from django.db import transaction
from kombu.exceptions import OperationalError

from advisory.notices.enums import MailKind
from advisory.notices.models import Mail
from advisory.notices.quiet_hours import next_opening
from advisory.people.models import Invitation, Person

logger = logging.getLogger(__name__)

SWEEP = "advisory.notices.tasks.deliver_waiting_mail"


def new_message_id() -> str:
    """Return a Message-ID (RFC 5322) that stays with its mail however often it is tried."""
    return f"<{uuid4().hex}@{urlsplit(settings.BASE_URL).hostname or 'localhost'}>"


def mail_for(person: Person, kind: MailKind, now: datetime) -> Mail:
    """Make a mail to a person, not yet a row; it waits for the morning where it is night there."""
    return Mail(
        key=f"{kind}:{uuid4().hex}",
        kind=kind,
        person=person,
        to=person.email,
        message_id=new_message_id(),
        next_try_at=next_opening(now, person.zone),
    )


def invitation_mail(invitation: Invitation) -> Mail:
    """Make the mail of an invitation, not yet a row; it goes at once, somebody waits for it."""
    return Mail(
        key=f"{MailKind.INVITATION}:{invitation.pk}",
        kind=MailKind.INVITATION,
        invitation=invitation,
        to=invitation.email,
        message_id=new_message_id(),
    )


def send_soon() -> None:
    """Have the outbox looked through once this transaction stands.

    Only a matter of speed: the clock has it looked through each minute anyway. So a broker that is
    away is no fault here.
    """
    if settings.BROKER_URL:
        transaction.on_commit(_ask_for_a_sweep, robust=True)


def _ask_for_a_sweep() -> None:
    try:
        current_app.send_task(SWEEP, retry=False)
    except (OperationalError, OSError) as error:
        logger.warning("The broker is away, mail goes with the clock: %s", error)
