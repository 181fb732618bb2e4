"""Links in a mail that work without signing in: what they say is signed, and opens one thing only.

A link names a row and the person it was written to. It runs out, and it stops once the person has
another address; what it may do is asked of the rules when it is used, as that person. To open one
changes nothing, for mail programs and virus scanners follow links: only a POST does.
"""

import re
from datetime import timedelta
from typing import Any

from django.core import signing
from django.utils.crypto import salted_hmac

from advisory.findings.enums import OF_THE_OWNER
from advisory.findings.models import Answer
from advisory.notices.models import ReadingRequest
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.plans.models import PlanItem

ITEM_SALT = "notices.item"
READING_SALT = "notices.reading"
FINDING_SALT = "notices.finding"
# Common practice, no source: a mail lies about for some weeks before it is answered.
ITEM_GOOD_FOR = timedelta(days=60)
FINDING_GOOD_FOR = timedelta(days=30)
READING_GOOD_FOR = timedelta(days=30)


def item_secret(item: PlanItem, person: Person) -> str:
    """Return the address part that opens one item, in its present cycle, for one person."""
    return signing.dumps([item.pk, item.cycle, person.pk, _address(person)], salt=ITEM_SALT)


def item_of(secret: str) -> tuple[PlanItem, int, Person] | None:
    """Return item, cycle and person of a link; None where it no longer opens anything."""
    told = _told(secret, ITEM_SALT, ITEM_GOOD_FOR)
    if told is None:
        return None
    item_pk, cycle, person_pk, address = told
    person = Person.objects.filter(pk=person_pk, is_active=True).first()
    if person is None or _address(person) != address:
        return None
    items = PlanItem.objects.select_related("unit__design__workshop", "unit__workshop")
    item = rules.scope(person, Permission.KEEP_USE, items).filter(pk=item_pk).first()
    return None if item is None else (item, cycle, person)


def reading_secret(request: ReadingRequest) -> str:
    """Return the address part that takes one reading of one car."""
    told = [request.pk, request.person_id, _address(request.person)]
    return signing.dumps(told, salt=READING_SALT)


def reading_request_of(secret: str) -> ReadingRequest | None:
    """Return what a link asks for; None where it no longer opens anything, or the car was sold."""
    told = _told(secret, READING_SALT, READING_GOOD_FOR)
    if told is None:
        return None
    pk, person_pk, address = told
    asked = ReadingRequest.objects.select_related("car", "person").filter(
        pk=pk, person=person_pk, person__is_active=True
    )
    row = asked.first()
    if row is None or _address(row.person) != address:
        return None
    if not rules.may(row.person, Permission.KEEP_USE, row.car):
        return None
    return row


def finding_secret(answer: Answer, person: Person) -> str:
    """Return the address part that answers one word of the workshop, as the unit's owner."""
    return signing.dumps([answer.pk, person.pk, _address(person)], salt=FINDING_SALT)


def finding_of(secret: str) -> tuple[Answer, Person] | None:
    """Return the word and the person of a link; None where it no longer opens anything.

    It ends with the workshop's next word, with the closing of the finding, and with a sale.
    """
    told = _told(secret, FINDING_SALT, FINDING_GOOD_FOR)
    if told is None:
        return None
    answer_pk, person_pk, address = told
    person = Person.objects.filter(pk=person_pk, is_active=True).first()
    if person is None or _address(person) != address:
        return None
    words = Answer.objects.exclude(kind__in=OF_THE_OWNER).select_related(
        "finding__unit__design", "finding__unit__workshop", "finding__unit__owner"
    )
    word = rules.scope(person, Permission.REPORT_FINDING, words).filter(pk=answer_pk).first()
    if word is None or not word.finding.is_open:
        return None
    later = Answer.objects.filter(finding=word.finding_id, pk__gt=word.pk)
    if later.exclude(kind__in=OF_THE_OWNER).exists():
        return None
    return word, person


def without_secrets(text: str) -> str:
    """Return a letter as it is kept: its links to one thing no longer open it."""
    return re.sub(r"(/from-mail/)[^/\s\"<>]+", r"\1...", text)


def _address(person: Person) -> str:
    """Return what stands for a person's address in a link; it tells nobody which it is."""
    return salted_hmac("notices.address", person.email).hexdigest()[:16]


def _told(secret: str, salt: str, good_for: timedelta) -> list[Any] | None:
    try:
        told: list[Any] = signing.loads(secret, salt=salt, max_age=good_for)
    except signing.BadSignature:
        return None
    return told
