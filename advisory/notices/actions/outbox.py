"""The outbox: a mail is a row first, written with what it tells, and sent from there."""

from datetime import datetime
from urllib.parse import urlsplit
from uuid import uuid4

from django.conf import settings

from advisory.common.jobs import start_soon
from advisory.notices.enums import MailKind
from advisory.notices.models import Mail
from advisory.notices.quiet_hours import next_opening
from advisory.people.models import Invitation, Person
from advisory.register.models import HandOver

SWEEP = "advisory.notices.tasks.deliver_waiting_mail"


def new_message_id() -> str:
    """Return a Message-ID (RFC 5322) that stays with its mail however often it is tried."""
    return f"<{uuid4().hex}@{urlsplit(settings.BASE_URL).hostname or 'localhost'}>"


def mail_for(
    person: Person,
    kind: MailKind,
    now: datetime,
    opening: datetime | None = None,
    *,
    any_hour: bool = False,
) -> Mail:
    """Make a mail to a person, not yet a row; it waits for the morning where it is night there.

    `opening` is when it may go where the person has chosen their own days and hours; with
    `any_hour` it waits for none.
    """
    if any_hour:
        opening = now
    return Mail(
        key=f"{kind}:{uuid4().hex}",
        kind=kind,
        person=person,
        to=person.email,
        message_id=new_message_id(),
        any_hour=any_hour,
        next_try_at=opening or next_opening(now, person.zone),
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


def offer_mail(offer: HandOver) -> Mail:
    """Make the mail of an offer, not yet a row; it goes at once, somebody waits for it."""
    return Mail(
        key=f"{MailKind.OFFER}:{offer.pk}",
        kind=MailKind.OFFER,
        offer=offer,
        to=offer.email,
        message_id=new_message_id(),
    )


def account_mail(to: str) -> Mail:
    """Make the mail of a letter about getting in, not yet a row; somebody waits for it."""
    return Mail(
        person=Person.objects.filter(email__iexact=to).first(),
        key=f"{MailKind.ACCOUNT}:{uuid4().hex}",
        kind=MailKind.ACCOUNT,
        to=to,
        message_id=new_message_id(),
    )


def send_soon() -> None:
    """Have the outbox looked through once this transaction stands, rather than within a minute."""
    start_soon(SWEEP)
