"""What the top of a page says of its reader: one query, and one more for each kind of news."""

from dataclasses import dataclass
from typing import Any

from django.db.models import BooleanField, Exists, ExpressionWrapper, Q, QuerySet

from advisory.findings.enums import FindingState
from advisory.findings.models import Finding
from advisory.findings.queries import unseen_findings
from advisory.notices.account import unread_rows
from advisory.people.models import Membership, Organisation, Person
from advisory.people.queries import AtWork, work_among
from advisory.register.models import Car, Unit

OF_ORGANISATION = tuple(field.attname for field in Organisation._meta.concrete_fields)
# More are not counted: nobody reads the difference.
MOST_COUNTED = 100


@dataclass(frozen=True)
class Masthead:
    """Where a person works, whether they own a unit or car, and how many things are new."""

    at_work: AtWork
    owns: bool
    unread: int
    unseen: int


def masthead_of(person: Person) -> Masthead:
    """Return what stands at the top of a person's pages; news is counted to `MOST_COUNTED`.

    What the rules let a person see of it is asked only where there may be any: on most pages
    there is none, and the rules are most of the work.
    """
    unread = unread_rows(person)
    theirs = [rows.model._default_manager.filter(person=person, read_at=None) for rows in unread]
    at_work = Membership.objects.filter(person=person)
    sent = Finding.objects.filter(state=FindingState.SENT)
    told = list(
        Person.objects.filter(pk=person.pk).values_list(
            _any(Unit.objects.filter(owner=person), Car.objects.filter(owner=person)),
            _any(*theirs),
            # whoever works nowhere has no inbox
            ExpressionWrapper(Exists(at_work) & Exists(sent), BooleanField()),
            "memberships__role",
            *(f"memberships__organisation__{name}" for name in OF_ORGANISATION),
        )
    )
    places = [
        (role, Organisation.from_db(None, OF_ORGANISATION, organisation))
        for _owns, _unread, _unseen, role, *organisation in told
        if role is not None
    ]
    owns, may_be_unread, may_be_unseen = told[0][:3] if told else (False, False, False)
    return Masthead(
        work_among(places),
        bool(owns),
        _counted(*unread) if may_be_unread else 0,
        _counted(unseen_findings(person)) if may_be_unseen else 0,
    )


def _any(*asked: "QuerySet[Any]") -> ExpressionWrapper:
    """Ask whether there is a row in any of some querysets."""
    either = Q()
    for rows in asked:
        either |= Q(Exists(rows))
    return ExpressionWrapper(either, BooleanField())


def _counted(*asked: "QuerySet[Any]") -> int:
    """Count the rows of some querysets, as far as anybody reads the number."""
    keys = [rows.order_by().values("pk") for rows in asked]
    return keys[0].union(*keys[1:], all=True)[:MOST_COUNTED].count()
