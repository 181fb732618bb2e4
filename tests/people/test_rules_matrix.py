"""Who may do what: every permission, on every kind of row, for everybody, with and without consent.

The table below is the specification, written by hand beside the one in rules.py: what it doesn't
name is refused. Consent comes in four ways, and counts in the one alone in which the owner of the
row gave it to the workshop that built the unit and has not withdrawn it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from itertools import product

import pytest
from django.apps import apps
from django.contrib.auth.models import AnonymousUser
from django.db.models import Model

from advisory.common.models import AuditEntry
from advisory.findings.enums import FindingState
from advisory.findings.models import (
    Answer,
    AnsweringAim,
    AskedMeasurement,
    Finding,
    FindingPhoto,
    Inspection,
    Measuring,
    Way,
)
from advisory.lubrication.enums import OilFamily, ServiceKind
from advisory.lubrication.models import Lubricant, OilAdvice, OilArrangement, OilService
from advisory.notices.models import FollowUp, Webhook, WebhookMessage
from advisory.people import rules
from advisory.people.access import Access, Subject
from advisory.people.enums import ConsentScope, OrganisationKind, Role
from advisory.people.models import Consent, Invitation, Organisation, Person
from advisory.people.rules import Permission
from advisory.plans.models import PlanItem, WearMark, WorkDone
from advisory.register.enums import WorkKind
from advisory.register.models import Build, Car, Design, HandOver, Unit
from advisory.usage.models import HourReading, LayUp, Reading
from tests.cast import (
    make_arrangement,
    make_build,
    make_car,
    make_consent,
    make_person,
    make_unit,
)

P = Permission

EVERYBODY = (
    "owner",
    "second_owner",
    "other_customer",
    "manager",
    "fitter",
    "other_fitter",
    "officer",
    "club_member",
    "stranger",
)
SIGNED_IN = frozenset(EVERYBODY)
NOBODY: frozenset[str] = frozenset()
OWNER = frozenset({"owner"})
SECOND_OWNER = frozenset({"second_owner"})
BENCH = frozenset({"manager", "fitter"})

Grants = dict[str, frozenset[str]]


@dataclass(frozen=True)
class Case:
    """Who holds a permission on each group of rows: always, and besides while consent stands."""

    always: Grants
    with_consent: Grants


def case(always: Grants, with_consent: Grants | None = None) -> Case:
    return Case(always, with_consent or {})


# What the owner has of what is theirs; `starter` rows are second_owner's, of no workshop.
UNITS = ("as_built", "use", "findings", "car")
OWN: Grants = {**dict.fromkeys(UNITS, OWNER), "starter": SECOND_OWNER}
SEEN_WITH_CONSENT: Grants = dict.fromkeys(UNITS, BENCH)
UNOWNED: Grants = {"unowned_as_built": BENCH, "unowned_use": BENCH}

MATRIX = {
    P.VIEW_UNIT: case({**OWN, "as_built": OWNER | BENCH, "unowned_as_built": BENCH}),
    P.BUILD_UNIT: case({"as_built": BENCH, "unowned_as_built": BENCH}),
    P.VIEW_USE: case({**OWN, **UNOWNED}, SEEN_WITH_CONSENT),
    P.CHANGE_UNIT: case({**OWN, **UNOWNED}, SEEN_WITH_CONSENT),
    P.KEEP_USE: case(OWN),
    P.PASS_ON: case(OWN),
    P.VIEW_FINDING: case({**OWN, "owners_alone": OWNER, **UNOWNED}, SEEN_WITH_CONSENT),
    P.REPORT_FINDING: case(OWN),
    P.ANSWER_FINDING: case(UNOWNED, SEEN_WITH_CONSENT),
    P.FOLLOW_UP: case(UNOWNED, SEEN_WITH_CONSENT),
    P.FIND_ORGANISATION: case({"workshop": SIGNED_IN, "club": SIGNED_IN}),
    P.VIEW_ORGANISATION: case(
        {
            "workshop": BENCH,
            "workshop_rows": BENCH,
            "club": frozenset({"officer", "club_member"}),
            "club_rows": frozenset({"officer", "club_member"}),
        }
    ),
    P.VIEW_MEMBERS: case(
        {
            "workshop": BENCH,
            "workshop_rows": BENCH,
            "club": frozenset({"officer"}),
            "club_rows": frozenset({"officer"}),
        }
    ),
    P.MANAGE_ORGANISATION: case(
        {
            "workshop": frozenset({"manager"}),
            "workshop_rows": frozenset({"manager"}),
            "club": frozenset({"officer"}),
            "club_rows": frozenset({"officer"}),
        }
    ),
    P.REGISTER_UNIT: case({"workshop": BENCH, "workshop_rows": BENCH}),
    P.VIEW_FLEET_REPORT: case(
        {"club": frozenset({"officer"}), "club_rows": frozenset({"officer"})}
    ),
    P.WRITE_BULLETIN: case(
        {
            "workshop": BENCH,
            "workshop_rows": BENCH,
            "club": frozenset({"officer"}),
            "club_rows": frozenset({"officer"}),
        }
    ),
    P.VIEW_DESIGN: case(
        {"design": OWNER | {"other_customer"} | BENCH, "starter_design": SIGNED_IN}
    ),
    P.WRITE_DESIGN: case({"design": BENCH}),
    P.VIEW_LUBRICANT: case({"owners_oil": OWNER, "workshops_oil": BENCH, "generic_oil": SIGNED_IN}),
    P.WRITE_LUBRICANT: case({"owners_oil": OWNER, "workshops_oil": BENCH}),
    P.KEEP_ACCOUNT: case({"account": OWNER}),
}
# Every unit row is seen by VIEW_USE's holders alike; what was kept, or offered, is the owner's.
OWNERS = (P.VIEW_UNIT, P.VIEW_USE, P.CHANGE_UNIT, P.KEEP_USE, P.REPORT_FINDING, P.PASS_ON)
for _permission in OWNERS:
    MATRIX[_permission].always["owners_alone"] = OWNER

World = dict[str, list[Model]]


@pytest.fixture
def people(
    owner: Person,
    second_owner: Person,
    manager: Person,
    fitter: Person,
    other_fitter: Person,
    officer: Person,
    club_member: Person,
    stranger: Person,
) -> dict[str, Person]:
    return {
        "owner": owner,
        "second_owner": second_owner,
        "other_customer": make_person("Fenella Oakes"),
        "manager": manager,
        "fitter": fitter,
        "other_fitter": other_fitter,
        "officer": officer,
        "club_member": club_member,
        "stranger": stranger,
    }


def hang_use_on(unit: Unit) -> list[Model]:
    """Add a row of each kind that tells how a unit is used."""
    day = date(2024, 5, 4)
    measuring = Measuring.objects.create(unit=unit, measured_on=day)
    place = unit.design.positions.all()[0]
    called = [
        FollowUp.objects.create(
            unit=unit, person=unit.owner, reason="silent", occasion="since-2023", kind="call"
        )
        for _owner in [unit.owner]
        if _owner is not None
    ]
    return [
        *called,
        measuring,
        measuring.values.create(position=place, quantity="running_clearance", value=4e-5),
        make_arrangement(unit),
        OilService.objects.create(unit=unit, date=day, kind=ServiceKind.CHANGE),
        OilAdvice.objects.create(
            unit=unit, method="oil-change", method_version="1", inputs={}, result={}, digest="0"
        ),
        PlanItem.objects.create(unit=unit, work=WorkKind.OIL_CHANGE, anchor_date=day),
        WorkDone.objects.create(unit=unit, work=WorkKind.OIL_CHANGE, cycle=1, date=day),
        HourReading.objects.create(unit=unit, date=day, shown=3600.0),
        *bulletin_on(unit),
        WearMark.objects.create(
            unit=unit, position=unit.design.positions.all()[0], measured_at=0.0, look_at=9e6
        ),
    ]


def bulletin_on(unit: Unit) -> list[Model]:
    """Add what became of a bulletin of its workshop's on a unit, where it has one."""
    if unit.workshop is None:
        return []
    bulletin = unit.workshop.bulletins.create(title="Cover bolts", text="Look.")
    return [bulletin.units.create(unit=unit)]


def hang_finding_on(unit: Unit, by: Person | None) -> list[Model]:
    """Add a finding that was sent, with its photo and its answer."""
    finding = Finding.objects.create(
        unit=unit,
        seen_on=date(2024, 5, 4),
        text="Weep at the drive end",
        state=FindingState.SENT,
        sent_at=datetime(2024, 5, 4, 9, tzinfo=UTC),
        reported_by=by,
    )
    return [
        finding,
        FindingPhoto.objects.create(finding=finding, file="findings/none.jpg"),
        answer := Answer.objects.create(finding=finding, text="Keep it wiped and watch it."),
        AskedMeasurement.objects.create(answer=answer, position=unit.design.positions.first()),
        Way.objects.create(
            answer=answer, finding=finding, text="New", part="made", currency="GBP", days=9
        ),
    ]


@pytest.fixture
def world(
    people: dict[str, Person],
    workshop: Organisation,
    club: Organisation,
    other_workshop: Organisation,
    design: Design,
    starter_design: Design,
    unit: Unit,
    build: Build,
    car: Car,
) -> World:
    """A row of every model, in the groups that the table speaks of."""
    owner, second = people["owner"], people["second_owner"]
    # somebody else's unit, built by the same workshop and put into the owner's car once
    foreign = make_unit(people["other_customer"], design, serial="0002")
    foreign.fittings.create(car=car, from_date=date(2020, 1, 1), until_date=date(2021, 1, 1))
    unowned = make_unit(None, design, serial="0003")
    second_car = make_car(second, "Quarley")
    starter = make_unit(second, starter_design, serial="", car=second_car)
    odometer = car.odometers.get()
    second_odometer = second_car.odometers.get()
    day = date(2024, 5, 4)
    unowned_build = make_build(unowned, people["fitter"])
    return {
        "as_built": [unit, build, *build.measurements.all()],
        "use": [*unit.fittings.all(), *hang_use_on(unit)],
        "car": [
            car,
            odometer,
            Reading.objects.create(odometer=odometer, date=day, shown=43_000),
            LayUp.objects.create(car=car, from_date=day),
        ],
        "findings": hang_finding_on(unit, owner),
        "owners_alone": [
            Finding.objects.create(unit=unit, seen_on=day, text="For me", reported_by=owner),
            an_offer(unit),
            *an_inspection_of(unit),
        ],
        "unowned_as_built": [
            unowned,
            unowned_build,
            *unowned_build.measurements.all(),
            an_offer(unowned),
        ],
        "unowned_use": [*hang_use_on(unowned), *hang_finding_on(unowned, None)],
        "starter": [
            starter,
            *starter.fittings.all(),
            second_car,
            second_odometer,
            Reading.objects.create(odometer=second_odometer, date=day, shown=9),
            LayUp.objects.create(car=second_car, from_date=day),
            *hang_use_on(starter),
        ],
        "workshop": [workshop],
        "club": [club],
        "workshop_rows": [
            *workshop.memberships.all(),
            invitation_to(workshop, Role.FITTER),
            AnsweringAim.objects.create(workshop=workshop, days=3),
            workshop.bulletins.create(title="Cover bolts", text="Look."),
            Webhook.objects.create(organisation=workshop, url="https://hook.example/"),
            WebhookMessage.objects.create(
                organisation=workshop, key="1", event="trial", give_up_at=datetime.now(UTC)
            ),
        ],
        "club_rows": [
            *club.memberships.all(),
            invitation_to(club, Role.MEMBER),
            club.bulletins.create(title="Drain plugs", text="Look."),
        ],
        "design": [design, *design.positions.all(), *instructions_of(design)],
        "starter_design": [starter_design, *starter_design.positions.all()],
        "generic_oil": [an_oil(code="x-1")],
        "owners_oil": [an_oil(owner=owner)],
        "workshops_oil": [an_oil(workshop=workshop)],
        "account": [owner, make_consent(owner, other_workshop, ConsentScope.RECORDS)],
    }


def an_inspection_of(unit: Unit) -> list[Model]:
    row = Inspection.objects.create(unit=unit, started_on=date(2024, 5, 4), scope="outside")
    return [row, row.steps.create(order=1, kind="strainer")]


def invitation_to(organisation: Organisation, role: Role) -> Invitation:
    return Invitation.objects.create(
        organisation=organisation,
        email="somebody@example.com",
        role=role,
        digest=f"{organisation.pk}",
        expires_at=datetime(2030, 1, 1, tzinfo=UTC),
    )


def an_offer(unit: Unit) -> HandOver:
    return HandOver.objects.create(
        unit=unit, digest=str(unit.pk), nonce="", expires_at=datetime(2030, 1, 1, tzinfo=UTC)
    )


def instructions_of(design: Design) -> list[Model]:
    return [
        design.instructions.create(work=WorkKind.OIL_CHANGE, months=12),
        design.cause_lines.create(mark="cover_bowed", cause="The gasket"),
    ]


def an_oil(**whose: object) -> Lubricant:
    return Lubricant.objects.create(
        name="Oil",
        family=OilFamily.ENGINE,
        kinematic_viscosity_40=1e-4,
        kinematic_viscosity_100=1.1e-5,
        **whose,
    )


def no_consent(owner: Person, workshop: Organisation) -> None:
    """Leave things as they are."""


def standing(owner: Person, workshop: Organisation) -> None:
    """Let the owner consent to the workshop."""
    make_consent(owner, workshop, ConsentScope.RECORDS)


def withdrawn(owner: Person, workshop: Organisation) -> None:
    """Let the owner's consent be a thing of the past, and others' consents stand."""
    given = make_consent(owner, workshop, ConsentScope.RECORDS)
    given.withdrawn_at = datetime(2024, 1, 1, tzinfo=UTC)
    given.save()
    make_consent(Person.objects.get(name="Fenella Oakes"), workshop, ConsentScope.RECORDS)
    make_consent(Person.objects.get(name="Silas Marchbank"), workshop, ConsentScope.RECORDS)


def to_others(owner: Person, workshop: Organisation) -> None:
    """Let the owner consent to everybody but the workshop (the other workshop has one already)."""
    club = Organisation.objects.get(kind=OrganisationKind.CLUB)
    make_consent(owner, club, ConsentScope.NAMED)


Held = set[tuple[P, str, str]]


def name_of(group: str, row: Model) -> str:
    return f"{group}: {type(row).__name__} {row.pk}"


def held(world: World, people: dict[str, Person]) -> Held:
    """Return each (permission, row, person) for which the rules say yes."""
    groups: dict[type[Model], dict[int, str]] = {}
    for group, rows in world.items():
        for row in rows:
            groups.setdefault(type(row), {})[row.pk] = name_of(group, row)
    found = set()
    for permission, (model, name_by_pk), (name, person) in product(
        P, groups.items(), people.items()
    ):
        rows = rules.scope(person, permission, model._default_manager.order_by())
        for pk in rows.values_list("pk", flat=True):
            if pk in name_by_pk:
                found.add((permission, name_by_pk[pk], name))
    return found


@pytest.mark.parametrize(
    "consent",
    [
        pytest.param(no_consent, marks=pytest.mark.one_database),
        standing,
        pytest.param(withdrawn, marks=pytest.mark.one_database),
        pytest.param(to_others, marks=pytest.mark.one_database),
    ],
)
def test_matrix(
    consent: Callable[[Person, Organisation], None],
    world: World,
    people: dict[str, Person],
    workshop: Organisation,
) -> None:
    consent(people["owner"], workshop)
    expected = set()
    for permission, (group, rows) in product(P, world.items()):
        names = MATRIX[permission].always.get(group, NOBODY)
        if consent is standing:
            names |= MATRIX[permission].with_consent.get(group, NOBODY)
        expected |= {(permission, name_of(group, row), name) for row in rows for name in names}
    found = held(world, people)
    assert found - expected == set(), "held, but the table doesn't grant it"
    assert expected - found == set(), "granted by the table, but not held"


def test_matrix_covers_every_permission() -> None:
    assert set(MATRIX) == set(P)
    assert set(rules.SUBJECT_OF) == set(P)


def test_matrix_knows_every_group_it_names(world: World) -> None:
    named = {group for one in MATRIX.values() for group in (*one.always, *one.with_consent)}
    assert named == set(world)


@pytest.mark.parametrize("somebody", [None, AnonymousUser()])
def test_nobody_signed_in_is_refused_everything(
    somebody: AnonymousUser | None, world: World
) -> None:
    for permission, rows in product(P, world.values()):
        assert not any(rules.may(somebody, permission, row) for row in rows)


def test_person_whose_account_is_closed_is_refused_everything(
    world: World, people: dict[str, Person]
) -> None:
    for person in people.values():
        person.is_active = False
        person.save()
    assert held(world, people) == set()


def test_running_the_service_gives_no_permission_on_anybodys_records(world: World) -> None:
    administrator = Person.objects.create_superuser("root@example.com", None)
    seen = {
        (permission, row.split(":")[0])
        for permission, row, _ in held(world, {"root": administrator})
    }
    assert seen == {
        (P.VIEW_DESIGN, "starter_design"),
        (P.VIEW_LUBRICANT, "generic_oil"),
        (P.FIND_ORGANISATION, "workshop"),
        (P.FIND_ORGANISATION, "club"),
    }


def test_model_without_access_is_seen_by_nobody(people: dict[str, Person]) -> None:
    entry = AuditEntry.objects.create(action="x", target_type="x", target_id=1)
    for permission, person in product(P, people.values()):
        assert not rules.may(person, permission, entry)


def test_may_says_of_one_row_what_scope_says_of_many(
    world: World, people: dict[str, Person], consent: Consent
) -> None:
    for person in people.values():
        for row in (world["as_built"][0], world["use"][0], world["findings"][0]):
            scoped = rules.scope(person, P.VIEW_USE, type(row)._default_manager.all())
            assert rules.may(person, P.VIEW_USE, row) == scoped.filter(pk=row.pk).exists()


def test_leave_says_of_all_permissions_what_may_says_of_each(
    world: World, people: dict[str, Person], consent: Consent
) -> None:
    for person in (*people.values(), None):
        for row in (world["as_built"][0], world["use"][0], world["findings"][0]):
            each = {permission for permission in P if rules.may(person, permission, row)}
            assert rules.leave_of(person, row, *P) == each


def declared() -> list[tuple[type[Model], Access]]:
    """Return every model that says how it is reached."""
    models = apps.get_models()
    return [(model, model.access) for model in models if hasattr(model, "access")]


@pytest.mark.parametrize(
    ("model", "access"), declared(), ids=lambda one: getattr(one, "__name__", "")
)
def test_declaration_leads_where_it_says(model: type[Model], access: Access) -> None:
    """A path that ends at the wrong model would open rows to whoever has the same number."""

    def end_of(path: str) -> type[Model] | None:
        at = model
        for step in [] if path == "pk" else path.split("__"):
            related = at._meta.get_field(step).related_model
            assert isinstance(related, type)
            at = related
        return at

    if access.owner is not None:
        assert end_of(access.owner) is Person
    for path in (access.workshop, access.organisation):
        if path is not None:
            assert end_of(path) is Organisation
    if access.workshop is not None:
        assert access.owner is not None
        assert access.subject is Subject.UNIT


def test_what_is_open_without_consent_or_to_all_is_a_short_list() -> None:
    """Whoever adds to these opens something: think, then add it here."""
    as_built = {model.__name__ for model, access in declared() if access.as_built}
    assert as_built == {
        "Unit", "Build", "BuildMeasurement", "SheetEntry", "BuildPhoto", "HandOver"
    }  # fmt: skip
    shared = {model.__name__ for model, access in declared() if access.shared_where is not None}
    assert shared == {
        "Organisation", "Design", "Position", "MaintenanceInstruction", "DismantlingStep",
        "Lubricant",
    }  # fmt: skip


def test_arrangement_is_not_part_of_the_record_as_built(
    unit: Unit, arrangement: OilArrangement, fitter: Person
) -> None:
    """Without consent the workshop knows what it built, and not how it is oiled now."""
    assert rules.may(fitter, P.VIEW_UNIT, unit)
    assert not rules.may(fitter, P.VIEW_UNIT, arrangement)
