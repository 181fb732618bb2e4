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

Writer = Callable[[Mail, datetime], Letter | Withheld]


def _as_it_was_written(mail: Mail, now: datetime) -> Letter:
    """Return a letter about getting in, which was put together when somebody asked for it."""
    return Letter(mail.to, mail.subject, mail.text, mail.html, mail.headers)


# Who writes each kind; an upper app adds those about what it keeps itself.
WRITERS: dict[str, Writer] = {
    MailKind.ACCOUNT: _as_it_was_written,
    MailKind.ANSWER: finding_letter,
    MailKind.BULLETIN: bulletin_letter,
    MailKind.FINDING: finding_letter,
    MailKind.INVITATION: invitation_letter,
    MailKind.LATE: finding_letter,
    MailKind.OFFER: offer_letter,
    MailKind.READING: reading_letter,
    MailKind.REMINDER: reminder_letter,
    MailKind.REPLY: finding_letter,
    MailKind.WORD: workshop_word_letter,
}


def letter_for(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return what a mail says now, or why it is not to be sent."""
    return WRITERS[mail.kind](mail, now)
