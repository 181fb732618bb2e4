"""What a mail says, put together at the moment of sending.

Whoever gets it is asked about anew then: what was done meanwhile, what is no longer theirs, and
what its owner no longer lets them see is left out; with nothing left the mail is withheld.
"""

from collections.abc import Callable
from datetime import datetime

from advisory.notices.enums import MailKind
from advisory.notices.letters.bulletin import bulletin_letter
from advisory.notices.letters.findings import finding_letter
from advisory.notices.letters.hand_over import offer_letter
from advisory.notices.letters.invitation import invitation_letter
from advisory.notices.letters.letter import Letter, Withheld
from advisory.notices.letters.reading import reading_letter
from advisory.notices.letters.reminder import reminder_letter
from advisory.notices.letters.workshop_word import workshop_word_letter
from advisory.notices.models import Mail

__all__ = ["WRITERS", "Letter", "Withheld", "letter_for"]

# Letters about what an upper app keeps: it says here who writes them.
WRITERS: dict[str, Callable[[Mail, datetime], Letter | Withheld]] = {}


def letter_for(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return what a mail says now, or why it is not to be sent."""
    if mail.kind in WRITERS:
        return WRITERS[mail.kind](mail, now)
    if mail.kind == MailKind.INVITATION:
        return invitation_letter(mail, now)
    if mail.kind == MailKind.OFFER:
        return offer_letter(mail, now)
    if mail.kind == MailKind.ACCOUNT:
        return Letter(mail.to, mail.subject, mail.text, mail.html, mail.headers)
    if mail.kind == MailKind.REMINDER:
        return reminder_letter(mail, now)
    if mail.kind == MailKind.READING:
        return reading_letter(mail, now)
    if mail.kind == MailKind.WORD:
        return workshop_word_letter(mail, now)
    if mail.kind == MailKind.BULLETIN:
        return bulletin_letter(mail)
    return finding_letter(mail)
