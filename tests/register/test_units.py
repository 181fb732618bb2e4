from datetime import date

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.common.models import AuditEntry
from advisory.people.models import Consent, Organisation, Person
from advisory.register import finding_units
from advisory.register.actions import (
    CarData,
    add_car,
    add_unit,
    change_car,
    change_unit,
    fit_unit,
    remove_unit_from_car,
    start_alone,
    start_build,
)
from advisory.register.finding_units import units_of_workshop
from advisory.register.models import Build, Car, Design, Fitting, Unit
from advisory.usage.models import Reading
from tests.cast import make_car, make_unit

TODAY = date(2024, 6, 10)


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2024-06-10T12:00:00Z", tick=False):
        yield


# An owner alone ---------------------------------------------------------------------------------


def test_owner_alone_starts_with_unit_car_and_odometer(
    owner: Person, starter_design: Design
) -> None:
    unit = start_alone(
        by=owner, design=starter_design, car=CarData(maker="Harrow Vale", year=1931),
        name="The blower", shown=41_200,
    )  # fmt: skip
    assert unit.owner == owner
    assert unit.workshop is None
    fitting = unit.fittings.get()
    assert (fitting.from_date, fitting.from_reading) == (TODAY, 41_200)
    assert Reading.objects.get().shown == 41_200
    actions = set(AuditEntry.objects.values_list("action", flat=True))
    assert actions == {"add_unit", "add_car", "fit_unit", "record_reading"}


def test_unknown_stays_unknown(owner: Person, starter_design: Design) -> None:
    unit = start_alone(by=owner, design=starter_design, car=CarData(maker="not known"))
    assert unit.fittings.get().from_reading is None
    assert not Reading.objects.exists()


def test_unit_fitted_long_ago_has_todays_reading(owner: Person, starter_design: Design) -> None:
    unit = start_alone(
        by=owner, design=starter_design, car=CarData(maker="Pell"), shown=41_200,
        fitted_on=date(2019, 5, 1),
    )  # fmt: skip
    assert unit.fittings.get().from_reading is None
    assert Reading.objects.get().date == TODAY


@pytest.mark.parametrize(
    ("car", "shown", "field"),
    [
        (CarData(maker=" "), 41_200, "maker"),
        (CarData(maker="Pell", year=1850), 41_200, "year"),
        (CarData(maker="Pell", year=2025), 41_200, "year"),
        (CarData(maker="Pell", odometer_digits=9), 41_200, "odometer_digits"),
        (CarData(maker="Pell", odometer_unit="league"), 41_200, "odometer_unit"),
        (CarData(maker="Pell"), 412_000, "shown"),
    ],
)
def test_nothing_is_half_saved(
    owner: Person, starter_design: Design, car: CarData, shown: int, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        start_alone(by=owner, design=starter_design, car=car, shown=shown)
    assert refused.value.field == field
    assert not Unit.objects.exists()
    assert not Car.objects.exists()
    assert not AuditEntry.objects.exists()


def test_workshops_design_is_no_starter_for_a_stranger(owner: Person, design: Design) -> None:
    with pytest.raises(NotAllowed):
        add_unit(by=owner, design=design)


# Cars -------------------------------------------------------------------------------------------


def test_car_is_changed_with_an_audit_row(car: Car, owner: Person) -> None:
    change_car(
        car=car, by=owner, maker="Harrow Vale", model="Ten", year=1932, roads="mixed",
        short_run_share=0.25, expected_annual_distance=3e6,
    )  # fmt: skip
    car.refresh_from_db()
    assert (car.model, car.year, car.roads) == ("Ten", 1932, "mixed")
    assert AuditEntry.objects.get().action == "change_car"


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"roads": "sand"}, "roads"),
        ({"short_run_share": 1.5}, "short_run_share"),
        ({"short_run_share": float("nan")}, "short_run_share"),
        ({"expected_annual_distance": -1.0}, "expected_annual_distance"),
        ({"expected_annual_distance": float("nan")}, "expected_annual_distance"),
        ({"expected_annual_distance": 1e12}, "expected_annual_distance"),
        ({"maker": "x" * 81}, "maker"),
    ],
)
def test_what_makes_no_sense_of_a_car_is_refused(
    owner: Person, fields: dict[str, object], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        add_car(by=owner, **{"maker": "Pell", **fields})  # type: ignore[arg-type]
    assert refused.value.field == field
    assert not Car.objects.exists()


def test_only_the_owner_changes_a_car(car: Car, stranger: Person) -> None:
    with pytest.raises(NotAllowed):
        change_car(
            car=car, by=stranger, maker="Mine", model="", year=None, roads="sealed",
            short_run_share=0, expected_annual_distance=None,
        )  # fmt: skip


# Units ------------------------------------------------------------------------------------------


def test_workshop_puts_a_unit_on_its_books(
    fitter: Person, workshop: Organisation, design: Design
) -> None:
    unit = add_unit(by=fitter, design=design, workshop=workshop, serial=" 0418 ")
    assert (unit.serial, unit.owner, unit.workshop) == ("0418", None, workshop)


def test_serial_number_is_used_once_a_workshop(
    fitter: Person, workshop: Organisation, design: Design, other_workshop: Organisation
) -> None:
    add_unit(by=fitter, design=design, workshop=workshop, serial="0418")
    other = add_unit(by=fitter, design=design, workshop=workshop)
    with pytest.raises(Refused, match="serial number already") as refused:
        add_unit(by=fitter, design=design, workshop=workshop, serial="0418")
    assert refused.value.field == "serial"
    with pytest.raises(Refused):
        change_unit(unit=other, by=fitter, name="", serial="0418")


def test_other_workshop_puts_nothing_on_these_books(
    other_fitter: Person, officer: Person, workshop: Organisation, other_workshop: Organisation,
    design: Design, starter_design: Design,
) -> None:  # fmt: skip
    for person in (other_fitter, officer):
        with pytest.raises(NotAllowed):
            add_unit(by=person, design=starter_design, workshop=workshop)
    with pytest.raises(NotAllowed):
        add_unit(by=other_fitter, design=design, workshop=other_workshop)


def test_unit_is_named_by_its_owner_only(unit: Unit, owner: Person, stranger: Person) -> None:
    change_unit(unit=unit, by=owner, name="The blower", serial="0417")
    assert str(Unit.objects.get()) == "The blower"
    with pytest.raises(NotAllowed):
        change_unit(unit=unit, by=stranger, name="Mine", serial="")


# Cars and units ---------------------------------------------------------------------------------


def test_unit_goes_from_car_to_car(unit: Unit, car: Car, owner: Person) -> None:
    remove_unit_from_car(unit=unit, date=date(2024, 5, 1), by=owner, shown=42_000)
    other = make_car(owner, "Pell")
    fit_unit(unit=unit, car=other, date=date(2024, 5, 20), by=owner, shown=9_100)
    assert [fitting.car for fitting in unit.fittings.all()] == [car, other]
    assert sorted(Reading.objects.values_list("shown", "source")) == [
        (9_100, "fitting"), (42_000, "fitting"),
    ]  # fmt: skip


def test_unit_is_in_one_car_at_a_time(unit: Unit, car: Car, owner: Person) -> None:
    other = make_car(owner, "Pell")
    with pytest.raises(Refused, match="Take it out of there first"):
        fit_unit(unit=unit, car=other, date=TODAY, by=owner)
    remove_unit_from_car(unit=unit, date=date(2024, 5, 1), by=owner)
    with pytest.raises(Refused, match="until 1 May 2024"):
        fit_unit(unit=unit, car=other, date=date(2024, 4, 30), by=owner)
    fit_unit(unit=unit, car=other, date=date(2024, 5, 1), by=owner)
    assert Fitting.objects.filter(until_date=None).count() == 1


def test_unit_is_not_taken_out_before_it_was_put_in(unit: Unit, owner: Person) -> None:
    with pytest.raises(Refused, match="1 April 2023"):
        remove_unit_from_car(unit=unit, date=date(2023, 3, 31), by=owner)
    remove_unit_from_car(unit=unit, date=date(2023, 4, 1), by=owner)
    with pytest.raises(Refused, match="in no car"):
        remove_unit_from_car(unit=unit, date=TODAY, by=owner)


def test_unit_goes_into_its_owners_cars_only(
    owner: Person, second_owner: Person, design: Design, unit: Unit
) -> None:
    remove_unit_from_car(unit=unit, date=TODAY, by=owner)
    with pytest.raises(NotAllowed):
        fit_unit(unit=unit, car=make_car(second_owner), date=TODAY, by=owner)
    with pytest.raises(NotAllowed):
        fit_unit(unit=unit, car=make_car(second_owner), date=TODAY, by=second_owner)


def test_number_told_with_a_fitting_is_asked_about_and_nothing_is_kept(
    unit: Unit, car: Car, owner: Person
) -> None:
    with pytest.raises(Question) as asked:
        remove_unit_from_car(unit=unit, date=TODAY, by=owner, shown=14_200)
    assert asked.value.field == "shown"
    unit.fittings.get(until_date=None)
    assert not Reading.objects.exists()
    remove_unit_from_car(unit=unit, date=TODAY, by=owner, shown=14_200, confirm=True)
    assert Reading.objects.get().confirmed


def test_day_to_come_is_refused(unit: Unit, owner: Person) -> None:
    with pytest.raises(Refused, match="not come yet"):
        remove_unit_from_car(unit=unit, date=date(2024, 6, 11), by=owner)


# What a workshop finds ---------------------------------------------------------------------------


def test_workshop_finds_units_and_owners_only_with_consent(
    unit: Unit, workshop: Organisation, fitter: Person, consent: object, second_owner: Person,
    design: Design,
) -> None:  # fmt: skip
    hidden = make_unit(second_owner, design, serial="0999")
    found = {row.pk: row.owner_shows for row in units_of_workshop(fitter, workshop)}  # type: ignore[attr-defined]
    assert found == {unit.pk: True, hidden.pk: False}
    assert list(units_of_workshop(fitter, workshop, "orla 0417")) == [unit]
    assert not units_of_workshop(fitter, workshop, "silas").exists()
    assert list(units_of_workshop(fitter, workshop, "0999 pattern")) == [hidden]


def test_unit_is_found_by_all_that_is_remembered_of_it(
    unit: Unit, build: Build, workshop: Organisation, fitter: Person, consent: Consent,
    other_fitter: Person, other_workshop: Organisation, design: Design, owner: Person,
) -> None:  # fmt: skip
    foreign = make_unit(owner, design, workshop=other_workshop, serial="0417")
    draft = start_build(unit=unit, by=fitter, built_on=TODAY)
    draft.entries.create(name="batch", text="WM-77 from the old stock", by=fitter)
    Unit.objects.filter(pk=unit.pk).update(name="Größe Ärger")
    for words in ("0417", "417 patt", "wm-77", "ärger", "GRÖSSE"[:3], "vale", "orla", "orla wm-77"):
        assert list(units_of_workshop(fitter, workshop, words)) == [unit], words
    Car.objects.filter(owner=owner).update(year=1929)
    assert list(units_of_workshop(fitter, workshop, "1929 vale")) == [unit]
    for words in ("0418", "1931", "orla 0418", "silas", "%", "_"):
        assert list(units_of_workshop(fitter, workshop, words)) == [], words
    assert list(units_of_workshop(other_fitter, workshop, "0417")) == []
    assert list(units_of_workshop(other_fitter, other_workshop, "0417")) == [foreign]
    Consent.objects.all().delete()
    for words in ("orla", "vale", "orla wm-77"):
        assert list(units_of_workshop(fitter, workshop, words)) == [], words
    assert list(units_of_workshop(fitter, workshop, "wm-77")) == [unit]
    assert list(units_of_workshop(fitter, workshop, "wx-77")) == []


@pytest.mark.parametrize(("held", "most"), [(4, 2), (100, 50)])
def test_record_is_not_crowded_out_by_what_nobody_may_see(
    monkeypatch: pytest.MonkeyPatch, workshop: Organisation, fitter: Person, owner: Person,
    second_owner: Person, consent: Consent, design: Design, held: int, most: int,
) -> None:  # fmt: skip
    monkeypatch.setattr(finding_units, "MOST_HELD", held)
    monkeypatch.setattr(finding_units, "MOST_FOUND", most)
    second_owner.name = "Silas Orlando"
    second_owner.save()
    written = make_unit(second_owner, design, serial="ORL-1")
    let_see = make_unit(owner, design, serial="2")
    for number in range(6):
        make_unit(second_owner, design, serial=f"7{number}")
    found = list(units_of_workshop(fitter, workshop, "orl"))
    assert found == ([let_see, written] if held == 100 else [written])
    assert list(units_of_workshop(fitter, workshop, "orl pattern 1")) == [written]
    # of more than are told, the newest by record
    assert next(iter(units_of_workshop(fitter, workshop, "7 pattern"))).serial == "75"
    assert len(units_of_workshop(fitter, workshop, "7 pattern")) == min(most, 6)


def test_search_in_the_api_says_what_the_page_says(
    unit: Unit, workshop: Organisation, fitter: Person, consent: object, second_owner: Person,
    design: Design, stranger: Person, other_fitter: Person, client: Client,
) -> None:  # fmt: skip
    hidden = make_unit(second_owner, design, serial="0999")
    address = reverse("api:workshop-units", args=[workshop.pk])
    client.force_login(fitter)
    rows = client.get(address).json()["results"]
    assert [(row["id"], row["owner"]) for row in rows] == [
        (hidden.pk, None),
        (unit.pk, str(unit.owner)),
    ]
    assert [row["id"] for row in client.get(address, {"q": "orla 0417"}).json()["results"]] == [
        unit.pk
    ]
    assert client.get(address, {"q": "silas"}).json()["results"] == []
    for nobody in (stranger, other_fitter, second_owner):
        client.force_login(nobody)
        assert client.get(address).status_code == 404
