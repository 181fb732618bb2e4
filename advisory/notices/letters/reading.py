"""The letter that asks for a reading: one line and one button a car."""

from datetime import datetime

from django.utils.translation import gettext as _

from advisory.notices.letters.letter import REMINDERS, Letter, Withheld, letter_to, link
from advisory.notices.mail_links import reading_secret
from advisory.notices.models import Mail
from advisory.notices.queries import requests_still_open


def reading_letter(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return the letter, for those cars of which nobody has said since what they show."""
    person = mail.person
    if person is None:
        return Withheld("The person has left.")
    requests = requests_still_open(person, mail)
    if not requests:
        return Withheld("The odometer was read since.")
    lines = [
        {
            "car": str(request.car),
            "work": request.item.get_work_display(),
            "unit": str(request.item.unit),
            "url": link("notices:reading", reading_secret(request)),
        }
        for request in requests
    ]
    subject = _("What does the odometer of your %(car)s show?") % {"car": lines[0]["car"]}
    if len(lines) > 1:
        subject = _("What do the odometers of your %(cars)d cars show?") % {"cars": len(lines)}
    return letter_to(person, REMINDERS, "reading_asked", subject, {"lines": lines})
