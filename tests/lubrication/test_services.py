"""What was done with the oil."""

from datetime import date

import pytest

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.common.models import AuditEntry
from advisory.lubrication.actions import record_oil_service, strike_oil_service
from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.models import OilArrangement, OilService
from advisory.people.models import Consent, Person
from advisory.register.models import Unit
from advisory.usage.enums import ReadingSource
from advisory.usage.models import Reading
from tests.cast import make_unit

pytestmark = pytest.mark.django_db


def test_service_brings_its_reading(
    today: date, unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    service = record_oil_service(
        unit=unit, date=today, kind=ServiceKind.CHANGE, shown=43_350, volume=1.2e-3, by=owner
    )
    reading = Reading.objects.get(shown=43_350)
    assert (reading.date, reading.source) == (today, ReadingSource.WORK)
    assert service.entered_by == owner
    assert AuditEntry.objects.get(action="record_oil_service").data["shown"] == 43_350


def test_service_from_before_the_unit_was_built_is_refused(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    said = {"unit": whole_unit, "kind": ServiceKind.TOP_UP, "by": owner}
    with pytest.raises(Refused, match="It was built on 1 March 2023") as refused:
        record_oil_service(date=date(2001, 1, 5), **said)
    assert refused.value.field == "date"
    assert not OilService.objects.exists()
    assert record_oil_service(date=date(2023, 3, 1), **said).pk


def test_sent_twice_is_written_once(
    today: date, unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    said = {"unit": unit, "date": today, "kind": ServiceKind.TOP_UP, "shown": 43_350, "by": owner}
    assert record_oil_service(**said) == record_oil_service(**said)
    assert OilService.objects.count() == 1
    assert AuditEntry.objects.filter(action="record_oil_service").count() == 1


def test_mistyped_reading_is_asked_about_and_nothing_is_kept(
    today: date, unit: Unit, owner: Person, readings: list[Reading]
) -> None:
    said = {"unit": unit, "date": today, "kind": ServiceKind.CHANGE, "shown": 34_350, "by": owner}
    with pytest.raises(Question) as question:
        record_oil_service(**said)
    assert question.value.field == "shown"
    assert not OilService.objects.exists()
    assert record_oil_service(confirm=True, **said).shown == 34_350


def test_reading_needs_a_car(today: date, owner: Person, unit: Unit) -> None:
    loose = make_unit(owner, unit.design, serial="on the shelf")
    with pytest.raises(Refused) as refused:
        record_oil_service(unit=loose, date=today, kind=ServiceKind.CHANGE, shown=43_000, by=owner)
    assert (refused.value.field, refused.value.code) == ("shown", "in_no_car")
    assert record_oil_service(unit=loose, date=today, kind=ServiceKind.CHANGE, by=owner).pk


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"date": date(2024, 6, 11)}, "date"),
        ({"kind": "blessing"}, "kind"),
        ({"volume": 0.0}, "volume"),
        ({"volume": -1e-3}, "volume"),
        ({"volume": float("nan")}, "volume"),
        ({"volume": 1.2}, "volume"),
    ],
)
def test_nonsense_is_refused_at_its_field(
    today: date, unit: Unit, owner: Person, said: dict[str, object], field: str
) -> None:
    usual = {"unit": unit, "date": today, "kind": ServiceKind.CHANGE, "by": owner}
    with pytest.raises(Refused) as refused:
        record_oil_service(**{**usual, **said})
    assert refused.value.field == field
    assert not OilService.objects.exists()


def test_more_than_twice_the_sump_is_asked_about(
    today: date, unit: Unit, arrangement: OilArrangement, owner: Person
) -> None:
    said = {"unit": unit, "date": today, "volume": 2.5e-3, "by": owner}
    with pytest.raises(Question):
        record_oil_service(kind=ServiceKind.CHANGE, **said)
    assert record_oil_service(kind=ServiceKind.FLUSH, **said).pk
    assert record_oil_service(kind=ServiceKind.CHANGE, confirm=True, **said).pk


def test_struck_out_service_is_gone_but_told(today: date, unit: Unit, owner: Person) -> None:
    service = record_oil_service(unit=unit, date=today, kind=ServiceKind.CHANGE, by=owner)
    strike_oil_service(service=service, by=owner)
    assert not OilService.objects.exists()
    assert AuditEntry.objects.get(action="strike_oil_service").data["kind"] == "change"


def test_only_the_owner_writes_and_strikes(
    today: date,
    unit: Unit,
    owner: Person,
    fitter: Person,
    stranger: Person,
    officer: Person,
    consent: Consent,
) -> None:
    service = record_oil_service(unit=unit, date=today, kind=ServiceKind.CHANGE, by=owner)
    for person in (fitter, stranger, officer):
        with pytest.raises(NotAllowed):
            record_oil_service(unit=unit, date=today, kind=ServiceKind.FLUSH, by=person)
        with pytest.raises(NotAllowed):
            strike_oil_service(service=service, by=person)
