"""Bringing findings and answers to the notice of whom they concern."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.db.models import Exists, OuterRef
from django.utils import timezone

from advisory.findings.enums import Instruction
from advisory.findings.models import Answer, AnsweringAim, Finding
from advisory.findings.queries import without_first_answer
from advisory.notices.actions.outbox import mail_for, send_soon
from advisory.notices.enums import MailKind
from advisory.notices.models import FindingNotice, Mail, NoticePreference
from advisory.people import rules
from advisory.people.models import Membership, Person
from advisory.people.rules import Permission

# Who is told not to run it is told in the night as well.
WAITS_FOR_NO_MORNING = frozenset({Instruction.STOP, Instruction.GENTLY})


def tell_workshop(*, finding: Finding) -> None:
    """Tell those of the workshop who may answer; nobody where the owner does not consent."""
    _tell(_answering(finding), finding, None, MailKind.FINDING)


def tell_workshop_back(*, answer: Answer) -> None:
    """Tell the workshop that the owner wrote back, measured, or picked a way."""
    finding = answer.finding
    _tell(_answering(finding), finding, answer, MailKind.REPLY)


def tell_late_findings(*, now: datetime | None = None) -> int:
    """Tell each workshop, once a finding, what waits for a first answer longer than it means.

    May be killed anywhere, and run twice at once. Return how many findings were told of.
    """
    now = now or timezone.now()
    aims = dict(AnsweringAim.objects.values_list("workshop_id", "days"))
    told = FindingNotice.objects.filter(finding=OuterRef("pk"), late=True)
    late = Finding.objects.filter(without_first_answer(aims, now), ~Exists(told))
    count = 0
    for pk in list(late.order_by("pk").values_list("pk", flat=True)):
        with transaction.atomic():
            rows = late.select_for_update(of=("self",), no_key=True)
            finding = rows.select_related("unit__workshop").filter(pk=pk).first()
            if finding is not None and (people := _answering(finding)):
                _tell(people, finding, None, MailKind.LATE)
                count += 1
    return count


def _answering(finding: Finding) -> list[Person]:
    """Return those of the workshop who may answer; nobody where the owner does not consent."""
    members = Person.objects.filter(
        pk__in=Membership.objects.filter(organisation=finding.unit.workshop_id).values("person"),
        is_active=True,
    )
    return [
        member
        for member in members.order_by("pk")
        if rules.may(member, Permission.ANSWER_FINDING, finding)
    ]


def tell_owner(*, answer: Answer) -> None:
    """Tell the unit's owner that the workshop answered, asked, or closed it."""
    finding = answer.finding
    owner = finding.unit.owner
    if (
        owner is not None
        and answer.by_id != owner.pk
        and rules.may(owner, Permission.VIEW_FINDING, finding)
    ):
        _tell([owner], finding, answer, MailKind.ANSWER)


def _tell(
    people: Iterable[Person], finding: Finding, answer: Answer | None, kind: MailKind
) -> None:
    """Write notice and mail in the transaction of what they tell."""
    now = timezone.now()
    people = list(people)
    unwanted = set(
        NoticePreference.objects.filter(person__in=people, findings_by_mail=False).values_list(
            "person", flat=True
        )
    )
    any_hour = answer is not None and answer.instruction in WAITS_FOR_NO_MORNING
    mails = Mail.objects.bulk_create(
        mail_for(person, kind, now, any_hour=any_hour)
        for person in people
        if person.pk not in unwanted
    )
    mail_of = {mail.person_id: mail for mail in mails}
    FindingNotice.objects.bulk_create(
        FindingNotice(
            person=person,
            finding=finding,
            answer=answer,
            late=kind == MailKind.LATE,
            raised_at=now,
            mail=mail_of.get(person.pk),
        )
        for person in people
    )
    send_soon()
