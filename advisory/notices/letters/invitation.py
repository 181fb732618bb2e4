"""The letter that invites somebody into an organisation."""

from datetime import datetime

from django.conf import settings
from django.utils.translation import gettext as _

from advisory.notices.letters.letter import Letter, Withheld, link, rendered
from advisory.notices.models import Mail
from advisory.people.models import Invitation


def write_invitation(mail: Mail, invitation: Invitation, token: str) -> None:
    """Write the letter into its mail at once: the token is known only now."""
    context = {
        "invitation": invitation,
        "url": link("people:invitation", token),
        "base_url": settings.BASE_URL,
    }
    subject = _("%(who)s invites you to %(organisation)s") % {
        "who": invitation.invited_by or invitation.organisation,
        "organisation": invitation.organisation,
    }
    letter = rendered(invitation.email, "invitation", subject, context, {})
    mail.subject, mail.text, mail.html = letter.subject, letter.text, letter.html
    mail.headers = dict(letter.headers)


def invitation_letter(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return the letter, unless the invitation was taken back or used meanwhile."""
    invitation = mail.invitation
    if invitation is None or invitation.withdrawn_at or invitation.accepted_at:
        return Withheld("The invitation no longer stands.")
    if invitation.expires_at <= now:
        return Withheld("The invitation has run out.")
    return Letter(mail.to, mail.subject, mail.text, mail.html, mail.headers)
