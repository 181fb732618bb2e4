"""Sending the letters about getting in: an address to confirm, a lost password, a changed key."""

from functools import partial

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction

from advisory.notices.actions.delivery import deliver_at_once
from advisory.notices.actions.outbox import account_mail, send_soon
from advisory.notices.letters.letter import FROM_A_PROGRAM, one_line


def send_account_letter(*, message: EmailMessage) -> None:
    """Put the letter into the outbox; its text is forgotten once it is sent.

    Where jobs run it goes within moments. Where none do it is tried at once, for a few seconds: a
    mail server that is away costs nobody the page, and the letter can be asked for again.
    """
    with transaction.atomic():
        for to in message.recipients():
            mail = account_mail(to)
            mail.subject = one_line(str(message.subject))
            mail.text = str(message.body)
            mail.headers = dict(FROM_A_PROGRAM)
            mail.save()
            if not settings.BROKER_URL:
                transaction.on_commit(partial(deliver_at_once, mail.pk), robust=True)
        send_soon()
