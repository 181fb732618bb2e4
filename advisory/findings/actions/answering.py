"""What the workshop does with a finding: it reads it, and answers."""

from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.models.functions import Coalesce
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.findings.actions.steps import checked_text, digest_of, move
from advisory.findings.enums import FindingState
from advisory.findings.models import Answer, Finding
from advisory.findings.signals import finding_answered
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission


def mark_seen(*, finding: Finding, by: Person) -> None:
    """Note that the workshop has opened a finding; only the first time counts."""
    rules.require(by, Permission.ANSWER_FINDING, finding)
    if finding.state != FindingState.SENT:
        return
    with transaction.atomic():
        if move(finding, FindingState.SEEN, seen_by_workshop_at=timezone.now()):
            audit.record("mark_seen", finding, by=by)


def answer_finding(
    *,
    finding: Finding,
    text: str,
    by: Person,
    client_key: str = "",
    at: datetime | None = None,
) -> Answer:
    """Say to the owner what the workshop thinks; the same form sent twice makes one answer."""
    rules.require(by, Permission.ANSWER_FINDING, finding)
    text = checked_text(text, _("Write the answer that the owner is to read."))
    digest = digest_of(client_key, text, finding.pk)
    at = at or timezone.now()
    try:
        with transaction.atomic():
            if digest and (known := Answer.objects.filter(by=by, digest=digest).first()):
                return known
            answer = Answer.objects.create(finding=finding, by=by, text=text, digest=digest, at=at)
            moved = move(
                finding,
                FindingState.ANSWERED,
                seen_by_workshop_at=Coalesce("seen_by_workshop_at", at),
            )
            if not moved:
                raise Refused(_("The owner has not sent this finding; it can't be answered."))
            audit.record("answer_finding", finding, by=by, answer=answer.pk)
            finding_answered.send(sender=Answer, answer=answer)
    except IntegrityError:
        known = Answer.objects.filter(by=by, digest=digest).exclude(digest="").first()
        if known is None:
            raise
        return known
    return answer
