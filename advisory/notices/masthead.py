"""What the top of a page says of its reader: one query, and one more where there is news."""

from dataclasses import dataclass
from itertools import compress
from typing import Any

from django.db.models import (
    BooleanField,
    CharField,
    Exists,
    ExpressionWrapper,
    F,
    Func,
    IntegerField,
    Q,
    QuerySet,
    Value,
)

from advisory.findings.enums import FindingState
from advisory.findings.models import Finding
from advisory.findings.queries import unseen_findings
from advisory.notices.account import KEPT_READ, may_be_unread, unread_rows
from advisory.notices.models import Snooze
from advisory.people.enums import OrganisationKind
from advisory.people.models import Membership, Organisation, Person
from advisory.people.queries import AtWork, work_among
from advisory.register.models import Car, Unit

OF_ORGANISATION = tuple(field.attname for field in Organisation._meta.concrete_fields)
# columns before those: whether there is any of what stands at the top
FLAGS = 3 + len(KEPT_READ)


@dataclass(frozen=True)
class Masthead:
    """Where a person works, whether they own a unit or car, and how many things are new.

    `puts_off` says that something may be put off: then a page asks what that is.
    """

    at_work: AtWork
    owns: bool
    unread: int
    unseen: int
    puts_off: bool = False


def masthead_of(person: Person) -> Masthead:
    """Return what stands at the top of a person's pages; two queries at most.

    What the rules let a person see of it is asked only where there may be any: on most pages
    there is none, and the rules are most of the work.
    """
    at_work = Membership.objects.filter(person=person, organisation__kind=OrganisationKind.WORKSHOP)
    sent = Finding.objects.filter(state=FindingState.SENT)
    told = list(
        Person.objects.filter(pk=person.pk).values_list(
            _any(Unit.objects.filter(owner=person), Car.objects.filter(owner=person)),
            # whoever works at no workshop has no inbox
            ExpressionWrapper(Exists(at_work) & Exists(sent), BooleanField()),
            Exists(Snooze.objects.filter(person=person, lifted_at=None)),
            *(Exists(may_be_unread(kind, person)) for kind in KEPT_READ),
            "memberships__role",
            *(f"memberships__organisation__{name}" for name in OF_ORGANISATION),
        )
    )
    if not told:
        return Masthead(work_among([]), owns=False, unread=0, unseen=0)
    owns, is_unseen, puts_off, *is_unread = told[0][:FLAGS]
    news = {
        "unread": [unread_rows(kind, person) for kind in compress(KEPT_READ, is_unread)],
        "unseen": [unseen_findings(person)] if is_unseen else [],
    }
    places = [
        (role, Organisation.from_db(None, OF_ORGANISATION, organisation))
        for role, *organisation in (row[FLAGS:] for row in told)
        if role is not None
    ]
    return Masthead(work_among(places), bool(owns), puts_off=bool(puts_off), **_counted(news))


def _any(*asked: "QuerySet[Any]") -> "ExpressionWrapper[Q]":
    """Ask whether there is a row in any of some querysets."""
    either = Q()
    for rows in asked:
        either |= Q(Exists(rows))
    return ExpressionWrapper(either, BooleanField())


def _counted(asked: "dict[str, list[QuerySet[Any]]]") -> dict[str, int]:
    """Count the rows of some querysets by name, all in one query."""
    number = Func(F("pk"), function="COUNT", output_field=IntegerField())
    arms = [
        # without a group there is always one answer
        rows.order_by().annotate(rows=number).values_list(Value(name, CharField()), "rows")
        for name, several in asked.items()
        for rows in several
    ]
    counted = dict.fromkeys(asked, 0)
    for name, several in arms[0].union(*arms[1:], all=True) if arms else ():
        counted[name] += several
    return counted
