"""The letter of a bulletin: what a workshop or club tells all whose units it concerns."""

from datetime import datetime

from django.utils.translation import gettext as _

from advisory.notices.letters.letter import BULLETINS, Letter, Withheld, letter_to, link
from advisory.notices.models import Mail
from advisory.plans.bulletins.audience import owners_reached
from advisory.plans.models.bulletins import BulletinUnit
from advisory.plans.words import day_words


def bulletin_letter(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return the letter, if it stands, concerns a unit of theirs, and they let it be told them."""
    notice = mail.bulletin_notices.select_related("bulletin__organisation").first()
    if notice is None or mail.person is None:
        return Withheld("The bulletin is gone.")
    bulletin = notice.bulletin
    if bulletin.withdrawn_at is not None:
        return Withheld("It was taken back.")
    if not owners_reached(bulletin.organisation).filter(pk=mail.person.pk).exists():
        return Withheld("The person lets it tell them nothing any more.")
    rows = BulletinUnit.objects.filter(bulletin=bulletin, unit__owner=mail.person_id)
    units = [str(row.unit) for row in rows.select_related("unit__design").order_by("unit")]
    if not units:
        return Withheld("It concerns no unit of theirs any more.")
    context = {
        "bulletin": bulletin,
        "units": units,
        "until": day_words(bulletin.until) if bulletin.until else "",
        "url": link("plans:bulletin_read", bulletin.pk),
    }
    subject = _("%(who)s: %(title)s") % {"who": bulletin.organisation, "title": bulletin.title}
    return letter_to(mail.person, BULLETINS, "bulletin", subject, context)
