"""Bringing findings and answers to the notice of whom they concern."""

from collections.abc import Iterable

from django.utils import timezone

from advisory.findings.models import Answer, Finding
from advisory.notices.actions.outbox import mail_for, send_soon
from advisory.notices.enums import MailKind
from advisory.notices.models import FindingNotice, Mail, NoticePreference
from advisory.people import rules
from advisory.people.models import Membership, Person
from advisory.people.rules import Permission


def tell_workshop(*, finding: Finding) -> None:
    """Tell those of the workshop who may answer; nobody where the owner does not consent."""
    members = Person.objects.filter(
        pk__in=Membership.objects.filter(organisation=finding.unit.workshop_id).values("person"),
        is_active=True,
    )
    answering = [
        member
        for member in members.order_by("pk")
        if rules.may(member, Permission.ANSWER_FINDING, finding)
    ]
    _tell(answering, finding, None, MailKind.FINDING)


def tell_owner(*, answer: Answer) -> None:
    """Tell the unit's owner that the workshop answered."""
    finding = answer.finding
    owner = finding.unit.owner
    if owner is not None and rules.may(owner, Permission.VIEW_FINDING, finding):
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
    mails = Mail.objects.bulk_create(
        mail_for(person, kind, now) for person in people if person.pk not in unwanted
    )
    mail_of = {mail.person_id: mail for mail in mails}
    FindingNotice.objects.bulk_create(
        FindingNotice(
            person=person,
            finding=finding,
            answer=answer,
            raised_at=now,
            mail=mail_of.get(person.pk),
        )
        for person in people
    )
    send_soon()
