from datetime import date

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from advisory.people.models import Organisation, Person
from advisory.register.actions import start_build
from advisory.register.enums import BuildState
from advisory.register.models import Build, Car, Design, HandOver, Unit
from advisory.usage.models import Reading
from tests.cast import make_build, make_design, make_unit

TODAY = date(2024, 6, 10)


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2024-06-10T12:00:00Z", tick=False):
        yield


@pytest.fixture
def as_owner(client: Client, owner: Person) -> Client:
    client.force_login(owner)
    return client


@pytest.fixture
def as_fitter(client: Client, fitter: Person) -> Client:
    client.force_login(fitter)
    return client


def url(name: str, *args: object) -> str:
    return reverse(f"register:{name}", args=args)


# The first evening ------------------------------------------------------------------------------


def first_evening(starter: Design, **fields: str) -> dict[str, str]:
    return {
        "design": str(starter.pk), "name": "", "serial": "", "car": "new", "maker": "Pell",
        "model": "", "year": "", "odometer_unit": "mile", "odometer_digits": "5", "shown": "",
        "fitted_on": "", "oil": "unknown", **fields,
    }  # fmt: skip


def test_first_evening_offers_starters_and_nothing_of_a_workshop(
    as_owner: Client, starter_design: Design, design: Design
) -> None:
    page = as_owner.get(url("unit_new")).content.decode()
    assert starter_design.name in page
    assert "Gearbox with bronze thrust washers" in page
    assert design.name not in page
    assert "Not known" in page


def test_first_evening_ends_at_the_unit_or_at_its_oil(
    as_owner: Client, owner: Person, starter_design: Design
) -> None:
    response = as_owner.post(url("unit_new"), first_evening(starter_design, shown="41 200"))
    unit = owner.units.get()
    assert response.headers["Location"] == reverse("plans:unit", args=[unit.pk])
    assert Reading.objects.get().shown == 41_200
    car = owner.cars.get()
    again = first_evening(starter_design, car=str(car.pk), maker="", oil="known")
    response = as_owner.post(url("unit_new"), again)
    second = owner.units.exclude(pk=unit.pk).get()
    assert response.headers["Location"] == reverse("lubrication:arrangement_new", args=[second.pk])
    assert Car.objects.count() == 1


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"maker": ""}, "Say who made the car."),
        ({"design": ""}, "Choose what comes nearest."),
        ({"year": "29"}, "four figures"),
        ({"year": "soon"}, "four figures"),
        ({"shown": "412005"}, "has 5 figures"),
        ({"shown": "lots"}, "is not a number"),
        ({"odometer_digits": "12"}, "less than or equal to 7"),
        ({"fitted_on": "2024-06-11"}, "not come yet"),
        ({"fitted_on": "yesterday"}, "year-month-day"),
    ],
)
def test_first_evening_keeps_what_was_typed(
    as_owner: Client, starter_design: Design, fields: dict[str, str], words: str
) -> None:
    given = first_evening(starter_design, name="The old girl", **fields)
    response = as_owner.post(url("unit_new"), given)
    page = response.content.decode()
    assert response.status_code == 422
    assert words in page
    assert 'value="The old girl"' in page
    for value in fields.values():
        assert not value or f'value="{value}"' in page
    assert not Unit.objects.exists()
    assert not Car.objects.exists()


# An owner's own ---------------------------------------------------------------------------------


def test_unit_is_named(as_owner: Client, unit: Unit) -> None:
    assert as_owner.get(url("unit_edit", unit.pk)).status_code == 200
    assert as_owner.post(url("unit_edit", unit.pk), {"name": "x" * 130}).status_code == 422
    as_owner.post(url("unit_edit", unit.pk), {"name": "The blower", "serial": "0417"})
    assert Unit.objects.get().name == "The blower"


def test_unit_goes_out_of_its_car_and_in_again(as_owner: Client, unit: Unit, car: Car) -> None:
    page = as_owner.get(url("fit", unit.pk)).content.decode()
    assert "since 1 April 2023" in page
    given = {"date": "2024-06-01", "shown": "14000"}
    asked = as_owner.post(url("fit", unit.pk), given)
    assert asked.status_code == 422
    assert "14,000 is less than the 41,200" in asked.content.decode()
    as_owner.post(url("fit", unit.pk), {"date": "2024-06-01", "shown": "42000"})
    assert unit.fittings.get().until_reading == 42_000
    page = as_owner.get(url("fit", unit.pk)).content.decode()
    assert "Which car is it in?" in page
    response = as_owner.post(url("fit", unit.pk), {"car": str(car.pk), "date": "2024-06-02"})
    assert response.headers["Location"] == reverse("plans:unit", args=[unit.pk])
    assert unit.fittings.count() == 2


def test_car_is_added_and_changed(as_owner: Client, owner: Person) -> None:
    assert as_owner.get(url("car_new")).status_code == 200
    given = {
        "maker": "Pell", "model": "Six", "year": "1929", "roads": "mixed",
        "short_run_share": "0.25", "expected_annual_distance": "2000",
        "odometer_unit": "km", "odometer_digits": "6", "shown": "1,200",
    }  # fmt: skip
    response = as_owner.post(url("car_new"), given)
    car = owner.cars.get()
    assert response.headers["Location"] == reverse("usage:logbook", args=[car.pk])
    assert car.expected_annual_distance == pytest.approx(2000 * 1609.344)
    assert car.odometers.get().unit == "km"
    assert Reading.objects.get().shown == 1_200
    page = as_owner.get(url("car_edit", car.pk)).content.decode()
    assert 'value="2000"' in page
    bad = as_owner.post(url("car_edit", car.pk), {**given, "expected_annual_distance": "3 kg"})
    assert bad.status_code == 422
    assert 'value="3 kg"' in bad.content.decode()
    as_owner.post(url("car_edit", car.pk), {**given, "expected_annual_distance": "3000 km"})
    car.refresh_from_db()
    assert car.expected_annual_distance == pytest.approx(3_000e3)


def test_share_that_a_program_told_survives_the_page(as_owner: Client, car: Car) -> None:
    Car.objects.filter(pk=car.pk).update(short_run_share=0.1)
    page = as_owner.get(url("car_edit", car.pk)).content.decode()
    assert 'value="0.1"' in page
    given = {"maker": "Pell", "roads": "sealed", "short_run_share": "0.1"}
    assert as_owner.post(url("car_edit", car.pk), given).status_code == 302
    car.refresh_from_db()
    assert car.short_run_share == pytest.approx(0.1)


# Designs ----------------------------------------------------------------------------------------


def rows(*positions: dict[str, str]) -> dict[str, str]:
    sent = {"positions-TOTAL_FORMS": str(len(positions) + 1), "positions-INITIAL_FORMS": "0"}
    for number, position in enumerate(positions):
        sent |= {f"positions-{number}-{name}": value for name, value in position.items()}
    return sent


FRONT = {
    "kind": "journal_bearing", "name": "Front main", "material": "tin white metal",
    "diameter": "1.75", "length": "2", "load": "3200", "as_built_least": "1.3",
    "as_built_most": "0.056 mm", "look_into_above": "3.5", "wear_limit": "5",
}  # fmt: skip
HEAD = {"kind": "engine", "name": "Four, three mains", "speed_ratio": "1", "engine_speed": "2200",
        "sump_volume": "4.5", "lubricant_code": ""}  # fmt: skip


def test_design_is_described_on_one_page(as_fitter: Client, workshop: Organisation) -> None:
    assert as_fitter.get(url("design_new")).status_code == 200
    response = as_fitter.post(url("design_new"), {**HEAD, **rows(FRONT, FRONT)})
    design = workshop.designs.get()
    assert response.headers["Location"] == url("design", design.pk)
    position = design.positions.first()
    assert position is not None
    assert position.diameter == pytest.approx(1.75 * 0.0254)
    assert position.as_built_least == pytest.approx(1.3 * 25.4e-6)
    assert position.as_built_most == pytest.approx(0.056e-3)
    assert design.engine_speed == pytest.approx(2200 / 60)
    assert design.sump_volume == pytest.approx(4.5e-3)
    again = as_fitter.post(url("design_new"), {**HEAD, **rows(FRONT)})
    assert "version 2" in again.content.decode()
    as_fitter.post(url("design_new"), {**HEAD, **rows(FRONT), "confirm": "on"})
    assert workshop.designs.count() == 2


@pytest.mark.parametrize(
    ("head", "row", "words"),
    [
        ({"name": ""}, {}, "a name that your fitters know"),
        ({"speed_ratio": "fast"}, {}, "Enter a number"),
        ({"sump_volume": "4 kg"}, {}, "volume"),
        ({}, {"wear_limit": "2"}, "The limits must rise"),
        ({}, {"diameter": "wide"}, "quantity"),
        ({}, {"kind": ""}, "Choose what stands there."),
        ({}, {"name": ""}, "as you call it at the bench"),
        ({}, {"diameter": "-1"}, "above nought"),
    ],
)
def test_design_that_makes_no_sense_keeps_what_was_typed(
    as_fitter: Client, workshop: Organisation, head: dict[str, str], row: dict[str, str], words: str
) -> None:
    given = {**HEAD, **head, **rows({**FRONT, **row})}
    response = as_fitter.post(url("design_new"), given)
    page = response.content.decode()
    assert response.status_code == 422
    assert words in page
    assert 'value="0.056 mm"' in page
    assert not workshop.designs.exists()


def test_more_rows_keep_what_was_typed(as_fitter: Client, workshop: Organisation) -> None:
    page = as_fitter.post(url("design_new"), {**HEAD, **rows(FRONT), "more": "1"}).content.decode()
    assert 'value="Four, three mains"' in page
    assert 'value="0.056 mm"' in page
    assert 'name="positions-6-name"' in page
    assert not workshop.designs.exists()
    for odd in ("", "-4", "many", "99999999999"):
        given = {**HEAD, **rows(FRONT), "more": "1", "positions-TOTAL_FORMS": odd}
        assert as_fitter.post(url("design_new"), given).status_code == 200


def test_instruction_is_set_on_the_designs_page(as_fitter: Client, design: Design) -> None:
    page = url("design", design.pk)
    assert as_fitter.post(page, {"work": "oil_change"}).status_code == 422
    as_fitter.post(page, {"work": "oil_change", "distance": "1500", "months": "12"})
    assert design.instructions.get().distance == pytest.approx(1500 * 1609.344)
    assert "12 months" in as_fitter.get(page).content.decode()


def test_owner_reads_the_design_of_their_unit_and_writes_nothing(
    as_owner: Client, unit: Unit, design: Design
) -> None:
    page = as_owner.get(url("design", design.pk)).content.decode()
    assert "Front bearing" in page
    assert "Keep the instruction" not in page
    assert as_owner.post(url("design", design.pk), {"work": "oil_change"}).status_code == 404
    assert as_owner.get(url("design_new")).status_code == 404


# The workshop's books ---------------------------------------------------------------------------


def test_books_list_and_find_units(
    as_fitter: Client, workshop: Organisation, unit: Unit, build: Build, consent: object
) -> None:
    page = as_fitter.get(url("workshop_units", workshop.pk)).content.decode()
    assert "0417" in page
    assert "Orla Penhallow" in page
    assert "signed, built 1 Mar 2023" in page
    found = as_fitter.get(url("workshop_units", workshop.pk), {"q": "nothing like it"})
    assert "None found" in found.content.decode()
    assert as_fitter.get(url("workshop_units", workshop.pk), {"page": "x"}).status_code == 200


def test_books_keep_an_owner_without_consent_to_themselves(
    as_fitter: Client, workshop: Organisation, unit: Unit
) -> None:
    page = as_fitter.get(url("workshop_units", workshop.pk)).content.decode()
    assert "Orla Penhallow" not in page
    assert "lets nobody see" in page


def test_lists_take_as_many_queries_for_three_rows_as_for_one(
    as_fitter: Client, workshop: Organisation, unit: Unit, build: Build, owner: Person,
    fitter: Person, design: Design, consent: object,
) -> None:  # fmt: skip
    pages = [url("workshop_units", workshop.pk), url("designs")]

    def count() -> list[int]:
        counts = []
        for page in pages:
            with CaptureQueriesContext(connection) as queries:
                assert as_fitter.get(page).status_code == 200
            counts.append(len(queries))
        return counts

    count()
    one = count()
    for number in range(2):
        make_design(workshop, f"Pattern {number}")
        make_build(make_unit(owner, design, serial=f"P{number}"), fitter)
    assert count() == one


def test_unit_goes_on_the_books_then_its_sheet_is_written_and_signed(
    as_fitter: Client, workshop: Organisation, design: Design, owner: Person, fitter: Person
) -> None:
    new = url("workshop_unit_new", workshop.pk)
    assert as_fitter.get(new).status_code == 200
    assert as_fitter.post(new, {"design": "", "serial": "0500"}).status_code == 422
    response = as_fitter.post(new, {"design": str(design.pk), "serial": "0500", "name": ""})
    unit = Unit.objects.get()
    assert response.headers["Location"] == url("build_new", unit.pk)
    taken = as_fitter.post(new, {"design": str(design.pk), "serial": "0500", "name": ""})
    assert "serial number already" in taken.content.decode()
    as_fitter.post(url("build_new", unit.pk), {"built_on": "2024-06-01", "new_white_metal": "on"})
    build = Build.objects.get()
    sheet = url("build", build.pk)
    page = as_fitter.get(sheet).content.decode()
    assert "Front bearing" in page
    assert "1.5 thou" in page
    fields = {row.name: f"t-p{row.pk}-clearance" for row in design.positions.all()}
    head = {"t-h-built_on": "2024-06-01", "t-h-new_white_metal": "yes", "t-h-notes": ""}
    typed = {fields["Front bearing"]: "1.8", fields["Rear bearing"]: "wide"}
    bad = as_fitter.post(sheet, {**head, **typed})
    assert bad.status_code == 422
    assert 'value="1.8"' in bad.content.decode()
    assert 'value="wide"' in bad.content.decode()
    typed[fields["Rear bearing"]] = "0.9 mm"
    asked = as_fitter.post(sheet, {**head, **typed})
    assert "Did you mean 0.9 thou?" in asked.content.decode()
    assert 'name="mean"' in asked.content.decode()
    typed[fields["Rear bearing"]] = "0.08 mm"
    response = as_fitter.post(sheet, {**head, **typed, "sign": "1"})
    assert response.headers["Location"] == url("build_sign", build.pk)
    page = as_fitter.get(url("build_sign", build.pk)).content.decode()
    assert "Outside the limits" in page
    assert "Floating thrust washer" in page
    as_fitter.post(url("build_sign", build.pk))
    build.refresh_from_db()
    assert (build.state, build.signed_by) == (BuildState.SIGNED, fitter)
    as_fitter.post(sheet, {**head, fields["Front bearing"]: "9"})
    assert build.measurements.get(position__name="Front bearing").as_typed == "1.8 thou"
    as_fitter.post(url("hand_over", unit.pk), {"how": "tag"})
    assert HandOver.objects.get().waits


def test_owner_reads_the_signed_sheet_in_their_own_units(
    client: Client, unit: Unit, build: Build, owner: Person
) -> None:
    owner.small_length_unit = "mm"
    owner.save()
    client.force_login(owner)
    page = client.get(url("build", build.pk)).content.decode()
    assert "0.051 mm" in page
    assert "2 thou" in page
    assert "Write a new sheet" not in page


def test_sheet_that_is_written_is_gone_on_with_or_thrown_away(
    as_fitter: Client, unit: Unit, fitter: Person
) -> None:
    draft = start_build(unit=unit, by=fitter, built_on=TODAY)
    assert as_fitter.get(url("build_new", unit.pk)).headers["Location"] == url("build", draft.pk)
    as_fitter.post(url("build_sign", draft.pk))
    draft.refresh_from_db()
    assert draft.state == BuildState.DRAFT
    as_fitter.post(url("build", draft.pk), {"discard": "1"})
    assert not Build.objects.exists()


def test_strangers_find_nothing(
    client: Client, unit: Unit, build: Build, car: Car, workshop: Organisation, design: Design,
    fitter: Person, stranger: Person, officer: Person, other_fitter: Person,
) -> None:  # fmt: skip
    draft = start_build(unit=unit, by=fitter, built_on=TODAY)
    pages = [
        url("unit_edit", unit.pk), url("fit", unit.pk), url("hand_over", unit.pk),
        url("build_new", unit.pk), url("build", build.pk), url("build", draft.pk),
        url("build_sign", draft.pk), url("car_edit", car.pk), url("design", design.pk),
        url("workshop_units", workshop.pk), url("workshop_unit_new", workshop.pk),
    ]  # fmt: skip
    for person in (stranger, officer, other_fitter):
        client.force_login(person)
        assert {client.get(page).status_code for page in pages} == {404}
        assert {client.post(page).status_code for page in pages} <= {404, 405}
    client.logout()
    open_to_members = [url("unit_new"), url("car_new"), url("designs"), url("design_new")]
    assert {client.get(page).status_code for page in [*pages, *open_to_members]} == {302}


def test_owner_signs_nothing(
    as_owner: Client, unit: Unit, fitter: Person, workshop: Organisation
) -> None:
    draft = start_build(unit=unit, by=fitter, built_on=TODAY)
    for page in (
        url("build_sign", draft.pk), url("build_new", unit.pk),
        url("workshop_units", workshop.pk),
    ):  # fmt: skip
        assert as_owner.get(page).status_code == 404
    # the owner may see that a sheet is being written, and writes nothing on it
    assert "Not signed" in as_owner.get(url("build", draft.pk)).content.decode()
    as_owner.post(url("build", draft.pk), {"discard": "1"})
    assert Build.objects.filter(pk=draft.pk).exists()
