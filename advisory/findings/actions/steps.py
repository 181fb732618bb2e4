"""What reporting and answering have in common."""

import hashlib
from collections.abc import Collection

from django.utils.translation import gettext as _

from advisory.common.errors import Refused
from advisory.findings.enums import FindingState, states_before
from advisory.findings.models import Finding
from advisory.findings.signals import finding_moved

LONGEST_TEXT = 5000


def move(
    finding: Finding,
    to: FindingState,
    *,
    only_from: Collection[FindingState] | None = None,
    **fields: object,
) -> bool:
    """Move a finding where the table allows it, in a transaction; of two at once, one does it."""
    moved = Finding.objects.filter(pk=finding.pk, state__in=only_from or states_before(to)).update(
        state=to, **fields
    )
    finding.refresh_from_db(fields=["state", *fields])
    if moved:
        finding_moved.send(sender=Finding, finding=finding)
    return bool(moved)


def checked_text(text: str, message: str, *, field: str = "text") -> str:
    """Return what was written, without the blanks around it; `message` asks for it."""
    text = checked_length(text, field=field)
    if not text:
        raise Refused(message, field=field, code="required")
    return text


def checked_length(text: str, *, field: str = "text") -> str:
    """Return what was written, without the blanks around it, which may be nothing."""
    text = text.strip()
    if len(text) > LONGEST_TEXT:
        raise Refused(
            _("Write at most %(most)d characters; these are %(count)d.")
            % {"most": LONGEST_TEXT, "count": len(text)},
            field=field,
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
