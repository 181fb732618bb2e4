"""The end of a finding: what was found to be the cause."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import NotAllowed, Question, Refused
from advisory.findings.actions.steps import checked_text, move
from advisory.findings.enums import Cause, FindingState, Said
from advisory.findings.models import Answer, Finding
from advisory.findings.queries import closed_by_owner, still_past
from advisory.findings.signals import finding_answered
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission


def close_finding(
    *,
    finding: Finding,
    cause: str,
    found: str,
    by: Person,
    confirm: bool = False,
    at: datetime | None = None,
) -> Finding:
    """Close a finding with its cause: the workshop does, or the owner where it reaches none.

    The plan takes back what it had brought; a figure past its limit goes on standing against
    running the unit until something better is on record, and is asked about here.

    Raises
    ------
    Refused, Question
        Nothing was saved; `confirm` answers the question.
    """
    if not rules.may(by, Permission.ANSWER_FINDING, finding) and not closed_by_owner(finding, by):
        raise NotAllowed("close_finding")
    if cause not in Cause:
        raise Refused(_("Choose what was found to be the cause."), field="cause")
    found = checked_text(found, _("Write what was found, and what was done."), field="found")
    at = at or timezone.now()
    with transaction.atomic():
        locked = Finding.objects.select_for_update(of=("self",), no_key=True).get(pk=finding.pk)
        if not locked.is_open:
            finding.refresh_from_db()
            return finding
        if not confirm and still_past(locked):
            raise Question(
                _(
                    "A figure of this finding is past where to ask or stop, and nothing newer is on"
                    " record for its place. If it was put right, sign the build or have it measured"
                    " first; or say that it may be closed all the same: the figure goes on standing"
                    " against running the unit."
                ),
                field="confirm",
                code="still_past",
            )
        answer = Answer.objects.create(finding=locked, kind=Said.CLOSED, by=by, text=found, at=at)
        move(
            locked,
            FindingState.CLOSED,
            cause=cause,
            cause_found=found,
            closed_at=at,
            closed_by=by,
            instruction="",
            instructed_at=None,
        )
        audit.record("close_finding", locked, by=by, cause=cause)
        finding_answered.send(sender=Answer, answer=answer)
    finding.refresh_from_db()
    return finding
