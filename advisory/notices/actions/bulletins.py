"""Bringing a bulletin to the notice of the owners whom it meets: one letter each."""

from django.utils import timezone

from advisory.notices.actions.outbox import mail_for, send_soon
from advisory.notices.enums import MailKind
from advisory.notices.models import BulletinNotice, Mail, NoticePreference
from advisory.people.models import Person
from advisory.plans.models.bulletins import Bulletin, BulletinUnit

AT_ONCE = 1000


def tell_owners_of_bulletin(*, bulletin: Bulletin) -> int:
    """Write notices and mails in the transaction that sends it; return how many owners are told."""
    now = timezone.now()
    units = BulletinUnit.objects.filter(bulletin=bulletin)
    people = list(
        Person.objects.filter(is_active=True, pk__in=units.values("unit__owner")).order_by("pk")
    )
    unwanted = set(
        NoticePreference.objects.filter(
            person__in=units.values("unit__owner"), bulletins_by_mail=False
        ).values_list("person", flat=True)
    )
    mails = Mail.objects.bulk_create(
        [
            mail_for(person, MailKind.BULLETIN, now)
            for person in people
            if person.pk not in unwanted
        ],
        batch_size=AT_ONCE,
    )
    mail_of = {mail.person_id: mail for mail in mails}
    BulletinNotice.objects.bulk_create(
        [
            BulletinNotice(
                person=person, bulletin=bulletin, raised_at=now, mail=mail_of.get(person.pk)
            )
            for person in people
        ],
        batch_size=AT_ONCE,
    )
    send_soon()
    return len(people)
