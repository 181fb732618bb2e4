"""Plans, made by hand, and mail that lands in memory."""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from typing import Any

import pytest
import time_machine
from django.core import mail as outgoing
from django.core.mail import EmailMultiAlternatives

from advisory.notices.actions.delivery import deliver_waiting
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailState
from advisory.notices.models import Mail, NoticePreference
from advisory.people.models import Person
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.register.enums import WorkKind
from advisory.register.models import Design, Unit
from tests.cast import make_car, make_person, make_unit

# A Wednesday in May, ten in the morning in London.
NOON = datetime(2024, 5, 15, 9, 0, tzinfo=UTC)
NIGHT = datetime(2024, 5, 15, 1, 20, tzinfo=UTC)


@pytest.fixture(autouse=True)
def by_day() -> Iterator[None]:
    """Let it be noon, at whatever hour the tests run: at night no mail goes."""
    noon = datetime.now(UTC).replace(hour=12, minute=0)
    with time_machine.travel(noon, tick=True):
        yield


def make_item(
    unit: Unit,
    work: WorkKind = WorkKind.OIL_CHANGE,
    state: DueState = DueState.NEAR,
    **fields: object,
) -> PlanItem:
    return PlanItem.objects.create(
        unit=unit,
        work=work,
        state=state,
        **{
            "anchor_date": date(2023, 6, 1),
            "due_date": date(2024, 6, 1),
            "forecast_date": date(2024, 6, 1),
        }
        | fields,
    )


@pytest.fixture
def item(unit: Unit) -> PlanItem:
    """An oil change that is coming up on the owner's unit."""
    return make_item(unit)


@pytest.fixture
def make_owner(db: None, design: Design) -> Callable[..., Person]:
    """Make an owner with a unit in a car, and items of a plan on it."""

    def make(name: str, *works: WorkKind, state: DueState = DueState.DUE) -> Person:
        person = make_person(name)
        unit = make_unit(person, design, serial=name, car=make_car(person))
        for work in works:
            make_item(unit, work, state)
        return person

    return make


def many_owners(design: Design, count: int) -> None:
    """Add so many owners with a unit and an oil change that is due, in a few statements."""
    people = Person.objects.bulk_create(
        Person(email=f"owner.{number}@example.com", name=f"Owner {number}", password="!")
        for number in range(count)
    )
    units = Unit.objects.bulk_create(
        Unit(design=design, owner=person, name=f"Blower of {person}") for person in people
    )
    # a worker goes by its own clock: mail may come at any hour
    NoticePreference.objects.bulk_create(
        NoticePreference(person=person, from_hour=0, until_hour=24) for person in people
    )
    PlanItem.objects.bulk_create(
        PlanItem(
            unit=unit,
            work=WorkKind.OIL_CHANGE,
            state=DueState.DUE,
            anchor_date=date(2023, 6, 1),
            forecast_date=date(2024, 5, 1),
        )
        for unit in units
    )


@pytest.fixture
def at_https(settings: Any) -> None:
    """Let links lead to an address as in production."""
    settings.BASE_URL = "https://advisory.example"


@pytest.fixture
def mail(item: PlanItem) -> Mail:
    """A reminder that waits in the outbox."""
    raise_reminders(now=NOON)
    return Mail.objects.get()


def sent() -> EmailMultiAlternatives:
    """Return the one mail that was sent."""
    assert len(outgoing.outbox) == 1
    message = outgoing.outbox[0]
    assert isinstance(message, EmailMultiAlternatives)
    return message


def state_after_a_sweep() -> MailState:
    """Send what waits; return what became of the one mail there is."""
    deliver_waiting()
    return MailState(Mail.objects.get().state)
