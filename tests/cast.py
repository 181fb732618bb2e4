"""The cast: the people, organisations and things that tests are about. All names are invented.

Rows are made with the ORM, without the actions, so that a test of one action doesn't rest on
others. Passwords are unusable: sign in with `client.force_login(owner)`. `unit` is fitted in `car`
and nothing else; `whole_unit` has its signed build, its oil arrangement and its owner's consent to
the workshop as well. The `make_...` functions serve where a test needs several of a kind.
"""

from datetime import UTC, date, datetime

import pytest
from allauth.account.models import EmailAddress

from advisory.lubrication.enums import Feed, Filtration
from advisory.lubrication.models import OilArrangement
from advisory.people.enums import ConsentScope, DistanceUnit, OrganisationKind, Role
from advisory.people.models import Consent, Membership, Organisation, Person
from advisory.register.enums import (
    BearingMaterial,
    BuildState,
    MeasuredQuantity,
    PositionKind,
    UnitKind,
)
from advisory.register.models import (
    Build,
    BuildMeasurement,
    Car,
    Design,
    Fitting,
    Odometer,
    Position,
    Unit,
)

FITTED_ON = date(2023, 4, 1)
SHOWN_WHEN_FITTED = 41_200


def make_person(name: str, **fields: object) -> Person:
    """Add a person whose address follows from the name and is verified."""
    email = f"{name.lower().replace(' ', '.')}@example.com"
    person = Person.objects.create_user(email, None, name=name, **fields)
    EmailAddress.objects.create(user=person, email=email, verified=True, primary=True)
    return person


def make_member(name: str, organisation: Organisation, role: Role) -> Person:
    """Add a person with a role in an organisation."""
    person = make_person(name)
    Membership.objects.create(person=person, organisation=organisation, role=role)
    return person


def make_design(workshop: Organisation | None, name: str = "Pattern 4 blower") -> Design:
    """Add a supercharger's design with one position of each kind that the plan looks at."""
    design = Design.objects.create(
        workshop=workshop,
        kind=UnitKind.SUPERCHARGER,
        name=name,
        speed_ratio=1.3,
        engine_speed=50.0,
        sump_volume=1.2e-3,
    )
    bearing = {
        "kind": PositionKind.JOURNAL_BEARING,
        "diameter": 0.0381,
        "length": 0.0381,
        "material": BearingMaterial.TIN_WHITE_METAL,
        "surface_roughness": 0.8e-6,
        "load": 900.0,
        "as_built_least": 0.0381e-3,
        "as_built_most": 0.0635e-3,
        "look_into_above": 0.09e-3,
        "wear_limit": 0.115e-3,
    }
    Position.objects.create(design=design, order=1, name="Front bearing", **bearing)
    Position.objects.create(design=design, order=2, name="Rear bearing", **bearing)
    Position.objects.create(
        design=design,
        order=3,
        kind=PositionKind.THRUST_WASHER,
        name="Floating thrust washer",
        diameter=0.052,
        material=BearingMaterial.BRONZE,
        as_built_least=0.10e-3,
        as_built_most=0.15e-3,
        look_into_above=0.20e-3,
        wear_limit=0.25e-3,
    )
    Position.objects.create(
        design=design, order=4, kind=PositionKind.LIP_SEAL, name="Drive-end seal", diameter=0.042
    )
    Position.objects.create(
        design=design,
        order=5,
        kind=PositionKind.FEED_PIPE,
        name="Oil feed pipe",
        diameter=0.004,
        length=0.9,
    )
    Position.objects.create(
        design=design, order=6, kind=PositionKind.WATER_JACKET, name="Water jacket"
    )
    return design


def make_car(owner: Person, maker: str = "Harrow Vale") -> Car:
    """Add a car with a five-figure odometer in miles."""
    car = Car.objects.create(owner=owner, maker=maker, model="Twelve", year=1931)
    Odometer.objects.create(car=car, unit=DistanceUnit.MILE, digits=5)
    return car


def make_unit(
    owner: Person | None,
    design: Design,
    *,
    serial: str = "0417",
    car: Car | None = None,
    workshop: Organisation | None = None,
) -> Unit:
    """Add a unit of `design`, built by the design's workshop unless another is given."""
    unit = Unit.objects.create(
        design=design, workshop=workshop or design.workshop, owner=owner, serial=serial
    )
    if car is not None:
        Fitting.objects.create(
            unit=unit, car=car, from_date=FITTED_ON, from_reading=SHOWN_WHEN_FITTED
        )
    return unit


def make_build(unit: Unit, signed_by: Person, built_on: date = date(2023, 3, 1)) -> Build:
    """Add a signed build: running clearances of the journal bearings, end float of the washer."""
    assert unit.workshop is not None
    build = Build.objects.create(unit=unit, workshop=unit.workshop, built_on=built_on)
    clearances = {1: (0.0508e-3, "2 thou"), 2: (0.05588e-3, "2.2 thou")}
    for position in unit.design.positions.filter(kind=PositionKind.JOURNAL_BEARING):
        value, typed = clearances[position.order]
        BuildMeasurement.objects.create(
            build=build,
            position=position,
            quantity=MeasuredQuantity.RUNNING_CLEARANCE,
            value=value,
            as_typed=typed,
        )
    for position in unit.design.positions.filter(kind=PositionKind.THRUST_WASHER):
        BuildMeasurement.objects.create(
            build=build,
            position=position,
            quantity=MeasuredQuantity.END_FLOAT,
            value=0.127e-3,
            as_typed="5 thou",
        )
    build.state = BuildState.SIGNED
    build.signed_by = signed_by
    build.signed_at = datetime(built_on.year, built_on.month, built_on.day, 15, tzinfo=UTC)
    build.save()
    return build


def make_arrangement(
    unit: Unit, filtration: Filtration = Filtration.BYPASS, from_date: date = FITTED_ON
) -> OilArrangement:
    """Add an oil arrangement: own sump of 1.2 litres and the given filter."""
    filtered = filtration in (Filtration.BYPASS, Filtration.FULL_FLOW)
    return OilArrangement.objects.create(
        unit=unit,
        from_date=from_date,
        feed=Feed.OWN_SUMP,
        sump_volume=1.2e-3,
        filtration=filtration,
        beta_ratio=20.0 if filtered else None,
        filter_flow=0.5e-3 / 60 if filtered else None,
        dirt_capacity=5e-3 if filtered else None,
        feed_pipe_bore=0.004,
        feed_pipe_length=0.9,
        sump_temperature=343.15,
    )


def make_consent(person: Person, organisation: Organisation, scope: ConsentScope) -> Consent:
    """Add a consent that stands."""
    return Consent.objects.create(
        person=person,
        organisation=organisation,
        scope=scope,
        given_at=datetime(2023, 4, 2, 12, tzinfo=UTC),
    )


@pytest.fixture
def workshop(db: None) -> Organisation:
    """The workshop that built the unit."""
    return Organisation.objects.create(
        kind=OrganisationKind.WORKSHOP,
        name="Sallow Lane Bearings",
        email="bench@sallowlane.example",
        phone="01632 960 114",
    )


@pytest.fixture
def other_workshop(db: None) -> Organisation:
    """A workshop that has nothing to do with the unit."""
    return Organisation.objects.create(kind=OrganisationKind.WORKSHOP, name="Quern Street Works")


@pytest.fixture
def club(db: None) -> Organisation:
    """The club whose officer reads the fleet report."""
    return Organisation.objects.create(kind=OrganisationKind.CLUB, name="Tern Valley Motor Club")


@pytest.fixture
def owner(db: None) -> Person:
    """Owns the unit and the car; reads thou, miles and litres."""
    return make_person("Orla Penhallow")


@pytest.fixture
def second_owner(db: None) -> Person:
    """Owns nothing until a test says so."""
    return make_person("Silas Marchbank")


@pytest.fixture
def manager(workshop: Organisation) -> Person:
    """Runs the workshop."""
    return make_member("Maud Tregear", workshop, Role.MANAGER)


@pytest.fixture
def fitter(workshop: Organisation) -> Person:
    """Works at the workshop's bench."""
    return make_member("Felix Addle", workshop, Role.FITTER)


@pytest.fixture
def other_fitter(other_workshop: Organisation) -> Person:
    """Works for the other workshop."""
    return make_member("Odo Vane", other_workshop, Role.FITTER)


@pytest.fixture
def officer(club: Organisation) -> Person:
    """The club's technical officer."""
    return make_member("Thea Corbin", club, Role.TECHNICAL_OFFICER)


@pytest.fixture
def club_member(club: Organisation) -> Person:
    """A member of the club without an office."""
    return make_member("Bram Wixey", club, Role.MEMBER)


@pytest.fixture
def stranger(db: None) -> Person:
    """Somebody signed up who has nothing and belongs nowhere."""
    return make_person("Una Strand")


@pytest.fixture
def design(workshop: Organisation) -> Design:
    """The workshop's design: two journal bearings, thrust washer, seal, feed pipe, water jacket."""
    return make_design(workshop)


@pytest.fixture
def starter_design(db: None) -> Design:
    """A design of no workshop, which everybody may use."""
    return make_design(None, "Starter: supercharger with its own oil")


@pytest.fixture
def car(owner: Person) -> Car:
    """The owner's car; its odometer counts miles with five figures."""
    return make_car(owner)


@pytest.fixture
def odometer(car: Car) -> Odometer:
    """The car's instrument."""
    return car.odometers.get()


@pytest.fixture
def unit(owner: Person, design: Design, car: Car) -> Unit:
    """The unit: built by the workshop, owned by the owner, fitted in the car."""
    return make_unit(owner, design, car=car)


@pytest.fixture
def build(unit: Unit, fitter: Person) -> Build:
    """The unit's signed build."""
    return make_build(unit, fitter)


@pytest.fixture
def arrangement(unit: Unit) -> OilArrangement:
    """The unit's oil arrangement: own sump, bypass filter."""
    return make_arrangement(unit)


@pytest.fixture
def consent(owner: Person, workshop: Organisation) -> Consent:
    """The owner's consent to the workshop."""
    return make_consent(owner, workshop, ConsentScope.RECORDS)


@pytest.fixture
def club_consent(owner: Person, club: Organisation) -> Consent:
    """The owner's consent to the club, for figures without a name."""
    return make_consent(owner, club, ConsentScope.UNNAMED)


@pytest.fixture
def whole_unit(unit: Unit, build: Build, arrangement: OilArrangement, consent: Consent) -> Unit:
    """The unit with its signed build, its arrangement and its owner's consent to the workshop."""
    return unit
