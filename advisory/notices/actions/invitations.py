"""Sending the letter of an invitation."""

from advisory.notices.actions.outbox import invitation_mail, send_soon
from advisory.notices.letters.invitation import write_invitation
from advisory.people.models import Invitation


def send_invitation(*, invitation: Invitation, token: str) -> None:
    """Write the letter and put it into the outbox; its text is forgotten once it is sent."""
    mail = invitation_mail(invitation)
    write_invitation(mail, invitation, token)
    mail.save()
    send_soon()
