"""What the top of a page says of its reader, in one query."""

from dataclasses import dataclass
from typing import Any

from django.db.models import (
    BooleanField,
    Case,
    Exists,
    ExpressionWrapper,
    F,
    Func,
    IntegerField,
    QuerySet,
    Subquery,
    Value,
    When,
)

from advisory.findings.queries import unseen_findings
from advisory.notices.account import unread_rows
from advisory.people.models import Membership, Organisation, Person
from advisory.people.queries import AtWork, work_among
from advisory.register.models import Car, Unit

OF_ORGANISATION = tuple(field.attname for field in Organisation._meta.concrete_fields)


@dataclass(frozen=True)
class Masthead:
    """Where a person works, whether they own a unit or car, and how many things are new."""

    at_work: AtWork
    owns: bool
    unread: int
    unseen: int


def masthead_of(person: Person) -> Masthead:
    """Return what stands at the top of a person's pages."""
    unread = sum((_count(rows) for rows in unread_rows(person)), start=Value(0))
    rows = Person.objects.filter(pk=person.pk).values_list(
        ExpressionWrapper(
            Exists(Unit.objects.filter(owner=person)) | Exists(Car.objects.filter(owner=person)),
            BooleanField(),
        ),
        unread,
        # whoever works nowhere has no inbox: then nothing is counted
        Case(
            When(
                Exists(Membership.objects.filter(person=person)),
                then=_count(unseen_findings(person)),
            ),
            default=Value(0),
        ),
        "memberships__role",
        *(f"memberships__organisation__{name}" for name in OF_ORGANISATION),
    )
    told = list(rows)
    places = [
        (role, Organisation.from_db(None, OF_ORGANISATION, organisation))
        for _owns, _unread, _unseen, role, *organisation in told
        if role is not None
    ]
    owns, unread_count, unseen_count = told[0][:3] if told else (False, 0, 0)
    return Masthead(work_among(places), bool(owns), unread_count, unseen_count)


def _count(rows: "QuerySet[Any]") -> Subquery:
    """Count the rows in a subquery; without a group there is always one answer."""
    counted = rows.order_by().annotate(rows=Func(F("pk"), function="COUNT")).values("rows")
    return Subquery(counted, output_field=IntegerField())
