"""Who may do what: the one place that answers, for pages, the API, jobs and templates.

Everything goes through `scope`, which narrows a queryset to the rows on which a person holds a
permission; `may` and `require` ask it about one row. Whatever is not granted here is refused.
"""

from enum import Enum, auto
from typing import TYPE_CHECKING, Any, TypeVar

from django.contrib.auth.models import AnonymousUser
from django.db.models import BooleanField, ExpressionWrapper, Model, Q, QuerySet, Value

from advisory.common.errors import NotAllowed
from advisory.people.access import Subject
from advisory.people.enums import ConsentScope, Role
from advisory.people.models import Consent, Membership, Organisation, Person
from advisory.people.ways_in import WayIn, any_open

if TYPE_CHECKING:
    from advisory.people.access import Access

Row = TypeVar("Row", bound=Model)
Somebody = Person | AnonymousUser | None


class Permission(Enum):
    """Everything that can be asked for."""

    # a unit and what hangs on it
    VIEW_UNIT = auto()  # that it is there: its design and build record
    VIEW_USE = auto()  # readings, lay-ups, oil, services, plan, advice, car and owner
    KEEP_USE = auto()  # enter readings, lay-ups and work done
    CHANGE_UNIT = auto()  # its name, car, oil arrangement
    PASS_ON = auto()  # give it to another owner
    BUILD_UNIT = auto()  # write and sign a build sheet
    VIEW_FINDING = auto()
    REPORT_FINDING = auto()
    ANSWER_FINDING = auto()
    FOLLOW_UP = auto()  # write to its owner of one's own accord, log a call, set that aside
    # an organisation and what is its own
    FIND_ORGANISATION = auto()  # its name and how to reach it, so that an owner can consent
    VIEW_ORGANISATION = auto()
    VIEW_MEMBERS = auto()  # the names of the others
    MANAGE_ORGANISATION = auto()  # invite, change roles, edit details
    REGISTER_UNIT = auto()  # put a unit on the workshop's books
    VIEW_FLEET_REPORT = auto()
    WRITE_BULLETIN = auto()  # to the owners who consent to it
    # a design, its positions and instructions
    VIEW_DESIGN = auto()
    WRITE_DESIGN = auto()
    # an oil in somebody's can
    VIEW_LUBRICANT = auto()
    WRITE_LUBRICANT = auto()
    # what is a person's own: preferences, consents, memberships
    KEEP_ACCOUNT = auto()


P = Permission

# A permission opens rows of its subject only; one that is missing here opens none.
SUBJECT_OF = {
    P.VIEW_UNIT: Subject.UNIT,
    P.VIEW_USE: Subject.UNIT,
    P.KEEP_USE: Subject.UNIT,
    P.CHANGE_UNIT: Subject.UNIT,
    P.PASS_ON: Subject.UNIT,
    P.BUILD_UNIT: Subject.UNIT,
    P.VIEW_FINDING: Subject.UNIT,
    P.REPORT_FINDING: Subject.UNIT,
    P.ANSWER_FINDING: Subject.UNIT,
    P.FOLLOW_UP: Subject.UNIT,
    P.FIND_ORGANISATION: Subject.ORGANISATION,
    P.VIEW_ORGANISATION: Subject.ORGANISATION,
    P.VIEW_MEMBERS: Subject.ORGANISATION,
    P.MANAGE_ORGANISATION: Subject.ORGANISATION,
    P.REGISTER_UNIT: Subject.ORGANISATION,
    P.VIEW_FLEET_REPORT: Subject.ORGANISATION,
    P.WRITE_BULLETIN: Subject.ORGANISATION,
    P.VIEW_DESIGN: Subject.DESIGN,
    P.WRITE_DESIGN: Subject.DESIGN,
    P.VIEW_LUBRICANT: Subject.LUBRICANT,
    P.WRITE_LUBRICANT: Subject.LUBRICANT,
    P.KEEP_ACCOUNT: Subject.ACCOUNT,
}

OWNER_MAY = frozenset(
    {
        P.VIEW_UNIT,
        P.VIEW_USE,
        P.KEEP_USE,
        P.CHANGE_UNIT,
        P.PASS_ON,
        P.VIEW_FINDING,
        P.REPORT_FINDING,
        P.VIEW_DESIGN,
        P.VIEW_LUBRICANT,
        P.WRITE_LUBRICANT,
        P.KEEP_ACCOUNT,
    }
)

# What the members of the workshop that built a unit may do by their role alone, on rows that are
# declared `as_built`: that record is theirs.
BUILDER_MAY = {
    Role.MANAGER: frozenset({P.VIEW_UNIT, P.BUILD_UNIT}),
    Role.FITTER: frozenset({P.VIEW_UNIT, P.BUILD_UNIT}),
}

# What they may do besides, while its owner consents, or while it has no owner yet.
BUILDER_MAY_WITH_CONSENT = {
    Role.MANAGER: frozenset(
        {P.VIEW_USE, P.CHANGE_UNIT, P.VIEW_FINDING, P.ANSWER_FINDING, P.FOLLOW_UP}
    ),
    Role.FITTER: frozenset(
        {P.VIEW_USE, P.CHANGE_UNIT, P.VIEW_FINDING, P.ANSWER_FINDING, P.FOLLOW_UP}
    ),
}

# What the members of an organisation may do on it and on the rows that are its own.
MEMBER_MAY = {
    Role.MANAGER: frozenset(
        {
            P.VIEW_ORGANISATION,
            P.VIEW_MEMBERS,
            P.MANAGE_ORGANISATION,
            P.REGISTER_UNIT,
            P.WRITE_BULLETIN,
            P.VIEW_DESIGN,
            P.WRITE_DESIGN,
            P.VIEW_LUBRICANT,
            P.WRITE_LUBRICANT,
        }
    ),
    Role.FITTER: frozenset(
        {
            P.VIEW_ORGANISATION,
            P.VIEW_MEMBERS,
            P.REGISTER_UNIT,
            P.WRITE_BULLETIN,
            P.VIEW_DESIGN,
            P.WRITE_DESIGN,
            P.VIEW_LUBRICANT,
            P.WRITE_LUBRICANT,
        }
    ),
    Role.TECHNICAL_OFFICER: frozenset(
        {
            P.VIEW_ORGANISATION,
            P.VIEW_MEMBERS,
            P.MANAGE_ORGANISATION,
            P.VIEW_FLEET_REPORT,
            P.WRITE_BULLETIN,
        }
    ),
    Role.MEMBER: frozenset({P.VIEW_ORGANISATION}),
}

# What everybody signed in may do on rows that are declared shared: starter designs, generic oils,
# and the names of organisations.
ANYBODY_MAY = frozenset({P.VIEW_DESIGN, P.VIEW_LUBRICANT, P.FIND_ORGANISATION})


def scope(person: Somebody, permission: Permission, rows: "QuerySet[Row]") -> "QuerySet[Row]":
    """Narrow `rows` to those on which `person` holds `permission`; nobody else's ever show."""
    allowed = _allowed(person, permission, rows)
    return rows.none() if allowed is None else rows.filter(allowed)


def with_leave(
    person: Somebody, rows: "QuerySet[Row]", *permissions: Permission
) -> "QuerySet[Row]":
    """Have each row say which of some permissions `person` holds on it: `leave_on` reads it."""
    told: dict[str, Any] = {}
    for permission in permissions:
        allowed = _allowed(person, permission, rows)
        answer = Value(False) if allowed is None else ExpressionWrapper(allowed, BooleanField())
        told[_leave_name(permission)] = answer
    asked: QuerySet[Row] = rows.annotate(**told)
    return asked


def leave_on(row: Model, *permissions: Permission) -> frozenset[Permission]:
    """Return which of some permissions a row says are held; on what it wasn't asked, none is."""
    return frozenset(one for one in permissions if getattr(row, _leave_name(one), False) is True)


def _leave_name(permission: Permission) -> str:
    return f"leave_{permission.name.lower()}"


def leave_of(person: Somebody, row: Model, *permissions: Permission) -> frozenset[Permission]:
    """Return which of some permissions `person` holds on one row, in one query."""
    if row.pk is None:
        return frozenset()
    rows = row._meta.model._default_manager.filter(pk=row.pk)
    told = with_leave(person, rows, *permissions).first()
    return frozenset() if told is None else leave_on(told, *permissions)


def _allowed(person: Somebody, permission: Permission, rows: "QuerySet[Row]") -> Q | None:
    """Return what rows must be for `person` to hold `permission` on them; None: nothing is."""
    access: Access | None = getattr(rows.model, "access", None)
    if access is None or not isinstance(person, Person) or not person.is_active:
        return None
    if SUBJECT_OF.get(permission) is not access.subject:
        return None
    ways = [*_ways_of_owner(person, permission, access)]
    ways += _ways_of_builder(person, permission, access)
    ways += _ways_of_member(person, permission, access)
    if access.shared_where is not None and permission in ANYBODY_MAY:
        # an empty Q would vanish when joined to others, so the row's own key stands in it
        ways.append(WayIn({"pk__isnull": False, **access.shared_where}))
    return any_open(rows.model, ways)


def may(person: Somebody, permission: Permission, row: Model) -> bool:
    """Say whether `person` holds `permission` on one row."""
    if row.pk is None:
        return False
    # by its own word for what it is: a request's person is wrapped in another type
    rows = row._meta.model._default_manager.filter(pk=row.pk)
    return scope(person, permission, rows).exists()


def require(person: Somebody, permission: Permission, row: Model) -> None:
    """Go on if `person` holds `permission` on `row`.

    Raises
    ------
    NotAllowed
        In every other case.
    """
    if not may(person, permission, row):
        raise NotAllowed(permission.name)


def organisations_where(person: Somebody, permission: Permission) -> QuerySet[Organisation]:
    """Return the organisations on which `person` holds `permission`."""
    return scope(person, permission, Organisation.objects.all())


def consenting(organisation: Organisation, *scopes: ConsentScope) -> QuerySet[Person]:
    """Return the people whose consent to `organisation`, in one of `scopes`, stands at this moment.

    Reports and mail ask here at the moment they show or send something.
    """
    return Person.objects.filter(
        is_active=True,
        pk__in=Consent.objects.filter(
            organisation=organisation, scope__in=scopes, withdrawn_at=None
        ).values("person"),
    )


def _roles(table: dict[Role, frozenset[Permission]], permission: Permission) -> list[Role]:
    return [role for role, permissions in table.items() if permission in permissions]


def _ways_of_owner(person: Person, permission: Permission, access: "Access") -> list[WayIn]:
    if access.owner is None or permission not in OWNER_MAY:
        return []
    return [WayIn({access.owner: person.pk})]


def _memberships(person: Person, roles: list[Role]) -> Any:
    return Membership.objects.filter(person=person, role__in=roles).values("organisation")


def _ways_of_builder(person: Person, permission: Permission, access: "Access") -> list[WayIn]:
    if access.workshop is None or access.owner is None:
        return []
    ways = []
    if access.as_built and (roles := _roles(BUILDER_MAY, permission)):
        ways.append(WayIn(_built_by(person, roles, access)))
    if roles := _roles(BUILDER_MAY_WITH_CONSENT, permission):
        built = _built_by(person, roles, access)
        ways.append(WayIn(built, consent=(access.workshop, access.owner)))
        ways.append(WayIn({**built, access.owner: None}))
    return ways


def _built_by(person: Person, roles: list[Role], access: "Access") -> dict[str, Any]:
    return {f"{access.workshop}__in": _memberships(person, roles), **access.workshop_where}


def _ways_of_member(person: Person, permission: Permission, access: "Access") -> list[WayIn]:
    roles = _roles(MEMBER_MAY, permission)
    if access.organisation is None or not roles:
        return []
    return [WayIn({f"{access.organisation}__in": _memberships(person, roles)})]
