"""What reporting and answering have in common."""

import hashlib

from django.utils.translation import gettext as _

from advisory.common.errors import Refused
from advisory.findings.enums import FindingState, states_before
from advisory.findings.models import Finding

LONGEST_TEXT = 5000


def move(finding: Finding, to: FindingState, **fields: object) -> bool:
    """Move a finding where the table allows it; of two at once, one does it."""
    moved = Finding.objects.filter(pk=finding.pk, state__in=states_before(to)).update(
        state=to, **fields
    )
    finding.refresh_from_db(fields=["state", *fields])
    return bool(moved)


def checked_text(text: str, message: str) -> str:
    """Return what was written, without the blanks around it; `message` asks for it."""
    text = text.strip()
    if not text:
        raise Refused(message, field="text", code="required")
    if len(text) > LONGEST_TEXT:
        raise Refused(
            _("Write at most %(most)d characters; these are %(count)d.")
            % {"most": LONGEST_TEXT, "count": len(text)},
            field="text",
        )
    return text


def digest_of(client_key: str, *parts: object) -> str:
    """Return what tells one form, filled in one way, from every other; "" without a key."""
    if not client_key:
        return ""
    digest = hashlib.sha256(client_key.encode())
    for part in parts:
        digest.update(b"\x00" + str(part).encode())
    return digest.hexdigest()
