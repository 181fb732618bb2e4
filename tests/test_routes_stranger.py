"""Every route, as nobody and as a stranger: not found or sign in, never a page of somebody else's.

The routes are read off the URL configuration, so a new one is walked without being named here. What
may be read without signing in, and what a stranger may read though it names a row, stands below
with its reason. Wherever a page is given, nothing of the owner's, the workshop's or the club's own
may stand on it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime

import pytest
from django.apps import apps
from django.conf import settings
from django.db import connection
from django.http import HttpResponseBase
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from advisory.findings.enums import Currency, FindingState, PartOrigin
from advisory.findings.models import (
    Answer,
    AnsweringAim,
    AskedMeasurement,
    Finding,
    FindingPhoto,
    Inspection,
    Measuring,
    WaitingPhoto,
    Way,
)
from advisory.lubrication.enums import OilFamily, ServiceKind
from advisory.lubrication.models import Lubricant, OilAdvice, OilService
from advisory.notices.enums import MailKind, Stage
from advisory.notices.models import (
    BulletinNotice,
    CalendarEntry,
    CalendarFeed,
    FindingNotice,
    FollowUp,
    Mail,
    NoticePreference,
    ReadingRequest,
    Reminder,
    Snooze,
    Webhook,
    WebhookMessage,
)
from advisory.people.actions import withdraw_consent
from advisory.people.enums import Role
from advisory.people.middleware import page_above
from advisory.people.models import Consent, Invitation, Organisation, Person
from advisory.plans.models import PlanItem, WearMark, WorkDone
from advisory.register.actions import offer_unit
from advisory.register.enums import WorkKind
from advisory.register.models import Build, Car, Unit, WorkshopPractice
from advisory.reports.models import FleetReport
from advisory.usage.models import HourReading, LayUp, LogbookUpload, Reading

pytestmark = pytest.mark.one_database

# Read without signing in, by the route's name, and why.
PUBLIC = {
    "account_login": "the way in",
    "account_signup": "the way in",
    "account_logout": "asks nobody whether they are in",
    "account_inactive": "tells one whose account is closed so",
    "account_email_verification_sent": "after signing up, before one is in",
    "account_confirm_email": "the address proves itself by the link's secret",
    "account_reset_password": "for who lost the password",
    "account_reset_password_done": "the same",
    "account_reset_password_from_key": "opened by the link's secret",
    "account_reset_password_from_key_done": "the same",
    "mfa_login_webauthn": "signing in with a passkey; tells a random challenge",
    "admin:logout": "asks nobody whether they are in",
    "api:schema": "describes the API, and nobody's records",
    "live": "says one word, that the process answers",
    "ready": "says one word, whether it can work",
    "stylesheet": "the look of the sign-in page",
    "theme": "light or dark is a cookie of the browser's",
    "people:invitation": "opened by the letter's secret",
    "register:claim_code": "takes a tag's code, and shows nothing before it is right",
    "register:claim": "opened by the code of a tag or letter",
    "notices:unsubscribe": "opened by the mail's secret",
    "notices:done": "opened by the mail's signed link",
    "notices:later_by_mail": "the same",
    "notices:reading": "the same",
    "notices:finding": "the same",
    "notices:feed": "opened by the calendar's secret address",
}

# The words that are somebody's own; none of them may be met by a stranger.
OWN_WORDS = (
    "Orla Penhallow",
    "orla.penhallow@example.com",
    "Maud Tregear",
    "maud.tregear@example.com",
    "Felix Addle",
    "Thea Corbin",
    "Harrow Vale",
    "Pattern 4 blower",
    "ZQ-0417",
    "Weep at the drive end",
    "Keep it wiped",
    "the tin behind the door",
    "invited@example.com",
    "the jar by the lathe",
    "zeta.example",
    "Zinc washers",
)

KEY = 777
# What varies in an address and is no row's key. A secret is never given: it is guessed.
VALUES = {
    "work": WorkKind.OIL_CHANGE.value,
    "format": "json",
    "app_label": "people",
    **dict.fromkeys(("token", "secret", "key", "uidb36", "digest", "name"), "guess"),
}


@dataclass(frozen=True)
class Route:
    """One route: its full name and the parts of its address that vary."""

    name: str
    where: str
    kwargs: tuple[str, ...] = field(default=())


def routes(
    resolver: URLResolver,
    spaces: tuple[str, ...] = (),
    where: str = "",
    taken: tuple[str, ...] = (),
) -> Iterator[Route]:
    """Yield every route below a resolver."""
    for entry in resolver.url_patterns:
        varying = taken + tuple(
            getattr(entry.pattern, "converters", {}) or entry.pattern.regex.groupindex
        )
        here = where + str(entry.pattern)
        if isinstance(entry, URLPattern):
            yield Route(":".join((*spaces, entry.name or "")), here, varying)
        else:
            below = (*spaces, entry.namespace) if entry.namespace else spaces
            yield from routes(entry, below, here, varying)


ROUTES = [
    route
    for route in routes(get_resolver())
    # what lies under no name in the admin answers for addresses that are no pages
    if not (route.name == "admin:" or route.name.endswith(":api-root"))
]


@pytest.fixture
def rows_begin_at_key(db: None) -> None:
    """Let the first row of every table get the same key, so that each route is walked once."""
    with connection.cursor() as cursor:
        for model in apps.get_models():
            table = model._meta.db_table
            cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [table])
            cursor.execute("INSERT INTO sqlite_sequence VALUES (%s, %s)", [table, KEY - 1])


@pytest.fixture
def somebodys(
    rows_begin_at_key: None,
    workshop: Organisation,
    club: Organisation,
    owner: Person,
    manager: Person,
    officer: Person,
    whole_unit: Unit,
    consent: Consent,
    club_consent: Consent,
    car: Car,
) -> None:
    """Fill every table with what is the owner's, the workshop's or the club's."""
    day = date(2024, 5, 4)
    Unit.objects.filter(pk=whole_unit.pk).update(serial="ZQ-0417")
    Reading.objects.create(odometer=car.odometers.get(), date=day, shown=43_000)
    LayUp.objects.create(car=car, from_date=day)
    HourReading.objects.create(unit=whole_unit, date=day, shown=3600.0)
    WearMark.objects.create(
        unit=whole_unit, position=whole_unit.design.positions.first(), measured_at=0.0, look_at=9e6
    )
    offer_unit(unit=whole_unit, by=owner)
    OilService.objects.create(
        unit=whole_unit, date=day, kind=ServiceKind.CHANGE, note="the tin behind the door"
    )
    Lubricant.objects.create(
        name="the tin behind the door",
        family=OilFamily.ENGINE,
        kinematic_viscosity_40=1e-4,
        kinematic_viscosity_100=1.1e-5,
        owner=owner,
    )
    finding = Finding.objects.create(
        unit=whole_unit,
        seen_on=day,
        text="Weep at the drive end",
        state=FindingState.SENT,
        sent_at=datetime(2024, 5, 4, 9, tzinfo=UTC),
        reported_by=owner,
    )
    FindingPhoto.objects.create(finding=finding, file="findings/none.jpg")
    measuring = Measuring.objects.create(unit=whole_unit, measured_on=day)
    measuring.values.create(
        position=whole_unit.design.positions.first(), quantity="running_clearance", value=4e-5
    )
    Inspection.objects.create(unit=whole_unit, started_on=day, scope="outside").steps.create(
        order=1, kind="take_apart", text="the jar by the lathe"
    )
    whole_unit.design.cause_lines.create(mark="cover_bowed", cause="the jar by the lathe")
    WaitingPhoto.objects.create(
        unit=whole_unit, by=owner, file="findings/none.jpg", width=64, height=48
    )
    answer = Answer.objects.create(finding=finding, text="Keep it wiped")
    AskedMeasurement.objects.create(
        answer=answer, position=whole_unit.design.positions.first(), how="the jar by the lathe"
    )
    Way.objects.create(
        answer=answer,
        finding=finding,
        text="the jar by the lathe",
        part=PartOrigin.MADE,
        price=417,
        currency=Currency.GBP,
        days=9,
    )
    AnsweringAim.objects.create(workshop=workshop, days=3)
    WorkDone.objects.create(unit=whole_unit, work=WorkKind.OIL_CHANGE, cycle=1, date=day)
    item, _made = PlanItem.objects.get_or_create(
        unit=whole_unit, work=WorkKind.OIL_CHANGE, defaults={"anchor_date": day}
    )
    OilAdvice.objects.create(
        unit=whole_unit, method="oil-change", method_version="1", inputs={}, result={}, digest="0"
    )
    whole_unit.design.instructions.create(work=WorkKind.OIL_CHANGE, months=12)
    whole_unit.design.dismantling.create(order=1, text="the jar by the lathe")
    draft = Build.objects.create(unit=whole_unit, workshop=workshop, built_on=day)
    draft.entries.create(name="notes", text="the jar by the lathe", by=manager)
    draft.photos.create(file="builds/none.jpg", digest="0" * 64)
    WorkshopPractice.objects.create(workshop=workshop, second_look=True)
    LogbookUpload.objects.create(
        car=car, uploaded_by=owner, name="the tin behind the door.csv", content=b"date,miles"
    )
    mail = Mail.objects.create(
        key="1", kind=MailKind.REMINDER, person=owner, to=owner.email, message_id="<1@example.com>"
    )
    Reminder.objects.create(item=item, cycle=1, stage=Stage.DUE, person=owner, mail=mail)
    FindingNotice.objects.create(person=owner, finding=finding)
    ends = datetime(2035, 1, 1, tzinfo=UTC)
    Snooze.objects.create(
        item=item, cycle=1, person=owner, reason="parts", until=ends.date(), ends_at=ends
    )
    ReadingRequest.objects.create(car=car, item=item, person=owner, number=1, worth=9.0)
    FollowUp.objects.create(
        unit=whole_unit,
        person=owner,
        reason="silent",
        occasion="since-2024-05-04",
        kind="call",
        note="the tin behind the door",
        by=manager,
    )
    NoticePreference.objects.get_or_create(person=owner)
    CalendarFeed.objects.create(person=owner)
    CalendarEntry.objects.create(
        person=owner,
        item_key=KEY,
        sequence=1,
        changed_at=datetime(2024, 5, 1, tzinfo=UTC),
        day=date(2024, 6, 1),
        summary="Oil change: Pattern 4 blower ZQ-0417",
    )
    bulletin = workshop.bulletins.create(
        title="Zinc washers",
        text="Look.",
        asks="Change them.",
        until=day,
        sent_at=datetime.now(UTC),
    )
    bulletin.units.create(unit=whole_unit)
    BulletinNotice.objects.create(person=owner, bulletin=bulletin)
    Webhook.objects.create(organisation=workshop, url="https://zeta.example/hook")
    WebhookMessage.objects.create(
        organisation=workshop, key="1", event="trial", give_up_at=datetime(2024, 5, 8, tzinfo=UTC)
    )
    report = FleetReport.objects.create(
        organisation=club, on=date(2025, 5, 1), finished_at=datetime(2025, 5, 1, tzinfo=UTC)
    )
    report.parts.create(choice="all.all", tables={"fleet": []})
    Invitation.objects.create(
        organisation=workshop,
        email="invited@example.com",
        role=Role.FITTER,
        digest="0" * 64,
        expires_at=datetime(2035, 1, 1, tzinfo=UTC),
    )


def address_of(route: Route) -> str:
    """Return the address of the route at which somebody's row stands."""
    return reverse(route.name, kwargs={name: VALUES.get(name, KEY) for name in route.kwargs})


def is_refusal(response: HttpResponseBase) -> bool:
    """Say whether an answer is 'not found', 'not so' or 'sign in first'.

    An address that takes forms only leads whoever opens it to the page above, by its path alone.
    """
    if response.status_code in {301, 302}:
        login = (reverse(settings.LOGIN_URL), reverse("admin:login"))
        asked = response.request  # type: ignore[attr-defined]
        if asked["REQUEST_METHOD"] == "GET" and response["Location"] == page_above(
            asked["PATH_INFO"]
        ):
            return True
        return response["Location"].startswith(login)
    return response.status_code in {401, 403, 404, 405}


def words_on(response: HttpResponseBase) -> str:
    """Return everything that an answer says, its head included."""
    body = b"".join(response) if response.streaming else response.content
    return f"{body.decode(errors='replace')} {dict(response.items())}"


def met(response: HttpResponseBase) -> list[str]:
    """Return what of somebody's own stands in an answer."""
    said = words_on(response)
    return [word for word in OWN_WORDS if word in said]


def test_every_route_has_a_name() -> None:
    """One without could not be walked."""
    assert [route.where for route in ROUTES if not route.name.split(":")[-1]] == []


def test_lists_name_routes_that_are_there() -> None:
    assert set(PUBLIC) - {route.name for route in ROUTES} == set()


def test_walk_has_a_row_of_everything_that_is_reached(somebodys: None) -> None:
    """Whoever adds a model adds a row of it to this walk."""
    assert [
        model.__name__
        for model in apps.get_models()
        if hasattr(model, "access") and not model._default_manager.filter(pk=KEY).exists()
    ] == []


@pytest.mark.parametrize("method", ["get", "post"])
def test_nobody_signed_in_is_asked_to_sign_in(method: str, somebodys: None) -> None:
    wrong = []
    for route in ROUTES:
        address = address_of(route)
        response = getattr(Client(raise_request_exception=False), method)(address)
        if response.status_code >= 500 or (route.name not in PUBLIC and not is_refusal(response)):
            wrong.append(f"{route.name}: {response.status_code} at {address}")
        wrong += [f"{route.name}: {word} at {address}" for word in met(response)]
    assert wrong == []


@pytest.mark.parametrize("method", ["get", "post"])
def test_stranger_finds_nothing_of_anybodys(method: str, somebodys: None, stranger: Person) -> None:
    client = Client(raise_request_exception=False)
    wrong = []
    for route in ROUTES:
        address = address_of(route)
        client.force_login(stranger)  # some routes sign out
        response = getattr(client, method)(address)
        names_a_row = KEY in {VALUES.get(name, KEY) for name in route.kwargs}
        if response.status_code >= 500 or (names_a_row and not is_refusal(response)):
            wrong.append(f"{route.name}: {response.status_code} at {address}")
        wrong += [f"{route.name}: {word} at {address}" for word in met(response)]
    assert wrong == []


# what the workshop wrote itself stands with its record
RECORD = {"Pattern 4 blower", "ZQ-0417", "the jar by the lathe", "Zinc washers"}
BENCH = {"Maud Tregear", "Felix Addle"}
LED = {"maud.tregear@example.com", "invited@example.com", "zeta.example"}
USE = {
    "Orla Penhallow",
    "Harrow Vale",
    "Weep at the drive end",
    "Keep it wiped",
    "the tin behind the door",
}


def walk(person: Person) -> set[str]:
    """Return what of somebody's own a person meets on all the pages."""
    client = Client(raise_request_exception=False)
    client.force_login(person)
    found: set[str] = set()
    for route in ROUTES:
        if not route.name.startswith(("account_", "mfa_", "admin:")):
            found.update(met(client.get(address_of(route))))
    return found


@pytest.mark.parametrize(
    ("who", "may_meet"),
    [
        ("fitter", RECORD | BENCH),
        ("manager", RECORD | BENCH | LED),
        ("officer", {"Thea Corbin"}),
        ("club_member", {"Thea Corbin"}),
        ("other_fitter", set()),
        ("second_owner", set()),
    ],
)
def test_without_consent_each_meets_only_what_is_theirs(
    who: str,
    may_meet: set[str],
    somebodys: None,
    consent: Consent,
    owner: Person,
    request: pytest.FixtureRequest,
) -> None:
    """The owner's word to the workshop was withdrawn; the one to the club stands, for figures."""
    withdraw_consent(consent=consent, by=owner)
    assert walk(request.getfixturevalue(who)) - may_meet == set()


def test_with_consent_the_workshop_meets_the_use(somebodys: None, fitter: Person) -> None:
    assert walk(fitter) >= RECORD | USE


def test_owner_meets_it_all(somebodys: None, owner: Person) -> None:
    """It is the same walk: it reads what it says it reads."""
    assert walk(owner) >= RECORD | USE
