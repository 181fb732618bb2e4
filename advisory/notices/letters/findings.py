"""The letters about findings: reported, answered, written back to, late."""

from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.findings.enums import Judgement, Said
from advisory.findings.finding_page import way_shown
from advisory.findings.instructions import TOLD
from advisory.findings.models import Answer, Finding
from advisory.findings.words import small
from advisory.notices.enums import MailKind
from advisory.notices.letters.letter import FINDINGS, Letter, Withheld, letter_to, link
from advisory.notices.mail_links import finding_secret
from advisory.notices.models import Mail
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.rules import Permission


def finding_letter(mail: Mail, now: datetime) -> Letter | Withheld:
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
        return _answer_letter(mail.person, finding, notice.answer, context)
    if mail.kind == MailKind.REPLY:
        return _reply_letter(mail.person, finding, notice.answer, context)
    if finding.first_answered_at is not None or not finding.is_open:
        return Withheld("It is answered already.")
    if mail.kind == MailKind.LATE:
        return _late_letter(mail.person, finding, context)
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
    person: Person, finding: Finding, answer: Answer | None, context: dict[str, object]
) -> Letter | Withheld:
    if answer is None:
        return Withheld("The answer is gone.")
    if answer.kind != Said.CLOSED and not finding.is_open:
        return Withheld("The finding is closed by now.")
    words = _("%(workshop)s answers your finding on %(unit)s")
    if answer.kind == Said.QUESTION:
        words = _("%(workshop)s asks about your finding on %(unit)s")
    elif answer.kind == Said.CLOSED:
        words = _("%(workshop)s has closed your finding on %(unit)s")
    subject = words % {
        "workshop": finding.unit.workshop or _("The workshop"),
        "unit": finding.unit,
    }
    told = TOLD[answer.told] if answer.told else None
    context |= {
        "answer": answer,
        "told": told,
        "asked": getattr(answer, "asked", None),
        "ways": [way_shown(way, finding) for way in answer.ways.all()],
        "answer_url": ""
        if answer.kind == Said.CLOSED
        else link("notices:finding", finding_secret(answer, person)),
    }
    return letter_to(person, FINDINGS, "finding_answered", subject, context)


def _reply_letter(
    person: Person, finding: Finding, answer: Answer | None, context: dict[str, object]
) -> Letter | Withheld:
    if answer is None:
        return Withheld("What was written is gone.")
    if not rules.may(person, Permission.ANSWER_FINDING, finding):
        return Withheld("The person may no longer answer this finding.")
    words = {
        Said.MEASURED: _("%(unit)s: its owner measured what you asked for"),
        Said.PICKED: _("%(unit)s: its owner agrees to the work"),
    }.get(Said(answer.kind), _("%(unit)s: its owner wrote back"))
    brought, picked = getattr(answer, "measured", None), getattr(answer, "picked", None)
    context |= {
        "answer": answer,
        "brought": brought,
        "brought_figure": None
        if brought is None or brought.value is None
        else small(brought.value.value, preferences_of(person)),
        "picked": None if picked is None else way_shown(picked, finding),
        "photos": answer.photos.count(),
    }
    return letter_to(person, FINDINGS, "finding_replied", words % {"unit": finding.unit}, context)


def _late_letter(person: Person, finding: Finding, context: dict[str, object]) -> Letter | Withheld:
    aim = getattr(finding.unit.workshop, "answering_aim", None)
    if aim is None:
        return Withheld("The workshop has taken its aim back.")
    subject = _("%(unit)s: a first answer is late") % {"unit": finding.unit}
    days = ngettext("%(n)d day", "%(n)d days", aim.days) % {"n": aim.days}
    return letter_to(person, FINDINGS, "finding_late", subject, context | {"aim": days})
