"""The letter that offers a unit to its owner to be."""

from datetime import datetime

from django.conf import settings
from django.utils.translation import gettext as _

from advisory.notices.letters.letter import Letter, Withheld, rendered
from advisory.notices.models import Mail
from advisory.register.claim_code import claim_url, code_from


def offer_letter(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return the letter, unless the offer was taken back or used meanwhile."""
    offer = mail.offer
    if offer is None or offer.withdrawn_at or offer.claimed_at:
        return Withheld("The offer no longer stands.")
    if offer.expires_at <= now:
        return Withheld("The offer has run out.")
    unit = offer.unit
    context = {
        "offer": offer,
        "unit": unit,
        # a workshop by its name; who sells is known to the buyer, and not for us to tell
        "who": unit.workshop if unit.owner_id is None else "",
        "url": claim_url(code_from(offer.nonce)),
        "base_url": settings.BASE_URL,
    }
    subject = _("A unit for you: %(unit)s") % {"unit": unit.design}
    return rendered(offer.email, "unit_offered", subject, context, {})
