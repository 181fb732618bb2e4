"""The code on a tag: short enough to type with cold fingers, long enough not to be guessed.

Twelve signs of thirty make 59 bits. What looks like another sign (0 and O, 1, I and L, U and V) is
left out, and the code is read without regard to case, blanks and dashes.
"""

import hashlib
import re
import secrets

import segno
from django.conf import settings
from django.urls import reverse
from django.utils.crypto import salted_hmac
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext_lazy

SIGNS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH, GROUP = 12, 4
NO_SUCH_CODE = gettext_lazy(
    "There is no unit with this code. Look at the tag again: twelve signs, no 0, O, 1, I, L or U."
)
_SALT = "advisory.register.claim_code"


def new_nonce() -> str:
    """Return what a new code is worked out from, together with the service's secret key."""
    return secrets.token_hex(16)


def code_from(nonce: str) -> str:
    """Return the code of a nonce, in groups of four."""
    number = int.from_bytes(salted_hmac(_SALT, nonce, algorithm="sha256").digest(), "big")
    signs = []
    for _place in range(LENGTH):
        number, sign = divmod(number, len(SIGNS))
        signs.append(SIGNS[sign])
    return "-".join("".join(signs[at : at + GROUP]) for at in range(0, LENGTH, GROUP))


def tidy(typed: str) -> str:
    """Return a code as it was typed in the form in which it is compared."""
    return re.sub(r"[\W_]+", "", typed).upper()


def digest_of_code(typed: str) -> str:
    """Return what is kept of a code."""
    return hashlib.sha256(tidy(typed).encode()).hexdigest()


def claim_url(code: str) -> str:
    """Return the address that a tag leads to."""
    return f"{settings.BASE_URL.rstrip('/')}{reverse('register:claim', args=[tidy(code)])}"


def qr_svg(address: str) -> SafeString:
    """Draw an address as a QR code (ISO/IEC 18004) that survives a smear of oil: a quarter may go.

    Dark on light in both lights, with the quiet zone of four modules that the standard asks for.
    """
    drawn = segno.make(address, error="q", micro=False).svg_inline(
        border=4, dark="#000", light="#fff", omitsize=True, svgclass="qr", lineclass=None
    )
    return mark_safe(drawn)  # noqa: S308  # drawn by the library from an address of our own
