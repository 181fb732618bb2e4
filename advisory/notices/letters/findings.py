"""The letters about findings: to the workshop that one was reported, to the owner the answer."""

from django.utils.translation import gettext as _

from advisory.findings.enums import Judgement
from advisory.findings.models import Answer, Finding
from advisory.findings.words import small
from advisory.notices.enums import MailKind
from advisory.notices.letters.letter import FINDINGS, Letter, Withheld, letter_to, link
from advisory.notices.models import Mail
from advisory.people import rules
from advisory.people.preferences import preferences_of
from advisory.people.rules import Permission


def finding_letter(mail: Mail) -> Letter | Withheld:
    """Return the letter, if its reader may still see the finding."""
    notice = mail.finding_notices.select_related("answer").first()
    if notice is None:
        return Withheld("The finding is gone.")
    findings = Finding.objects.filter(pk=notice.finding_id).select_related(
        "unit__design", "unit__owner", "unit__workshop", "position"
    )
    finding = rules.scope(mail.person, Permission.VIEW_FINDING, findings).first()
    if finding is None or mail.person is None:
        return Withheld("The person may no longer see this finding.")
    context: dict[str, object] = {
        "finding": finding,
        "figure": small(finding.value, preferences_of(mail.person)),
        "url": link("findings:finding", finding.pk),
    }
    if mail.kind == MailKind.ANSWER:
        return _answer_letter(mail, finding, notice.answer, context)
    if finding.first_answered_at is not None or not finding.is_open:
        return Withheld("It is answered already.")
    words = _("%(unit)s: its owner found something")
    if finding.judgement == Judgement.STOP:
        words = (
            _("%(unit)s: its owner saw something on which to stop")
            if finding.value is None
            else _("%(unit)s: a figure past its limit")
        )
    subject = words % {"unit": finding.unit}
    return letter_to(mail.person, FINDINGS, "finding_reported", subject, context)


def _answer_letter(
    mail: Mail, finding: Finding, answer: Answer | None, context: dict[str, object]
) -> Letter | Withheld:
    if answer is None:
        return Withheld("The answer is gone.")
    subject = _("%(workshop)s answers your finding on %(unit)s") % {
        "workshop": finding.unit.workshop or _("The workshop"),
        "unit": finding.unit,
    }
    return letter_to(
        mail.person, FINDINGS, "finding_answered", subject, context | {"answer": answer}
    )
