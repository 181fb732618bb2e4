from datetime import date
from functools import partial

import pytest
import time_machine
from django.contrib import admin
from django.db import transaction
from django.test import Client, RequestFactory
from django.urls import reverse

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.common.models import AuditEntry
from advisory.people.models import Organisation, Person
from advisory.register.actions import (
    SheetRefused,
    Typed,
    change_build,
    check_build,
    discard_build,
    fill_sheet,
    record_measurement,
    sign_build,
    start_build,
    write_entry,
)
from advisory.register.enums import BuildState, MeasuredQuantity, Stands
from advisory.register.models import Build, BuildMeasurement, Design, Position, SheetEntry, Unit
from advisory.register.queries import as_built, as_built_of, sheet_rows
from advisory.register.sheet import key_of
from tests.cast import make_build, make_design, make_unit

TODAY = date(2024, 6, 10)
THOU = 25.4e-6


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2024-06-10T12:00:00Z", tick=False):
        yield


@pytest.fixture
def sheet(unit: Unit, fitter: Person) -> Build:
    return start_build(unit=unit, by=fitter, built_on=TODAY)


@pytest.fixture
def front(design: Design) -> Position:
    return design.positions.get(name="Front bearing")


@pytest.fixture
def washer(design: Design) -> Position:
    return design.positions.get(name="Floating thrust washer")


# One thou is exactly 25.4 um: the inch is 25.4 mm (International Yard and Pound Agreement, 1959).
@pytest.mark.parametrize(
    ("typed", "metres", "kept"),
    [
        ("2", 2 * THOU, "2 thou"),
        ("2 thou", 2 * THOU, "2 thou"),
        ("0.05 mm", 0.05e-3, "0.05 mm"),
        ("0,05 mm", 0.05e-3, "0,05 mm"),
        ("0.002 in", 2 * THOU, "0.002 in"),
        ('0.002"', 2 * THOU, '0.002"'),
        ("50 um", 50e-6, "50 um"),
    ],
)
def test_figure_is_kept_in_metres_and_as_typed(
    sheet: Build, front: Position, fitter: Person, typed: str, metres: float, kept: str
) -> None:
    row = record_measurement(build=sheet, position=front, by=fitter, typed=typed)
    assert row is not None
    assert row.value == pytest.approx(metres, abs=1e-10)
    assert row.as_typed == kept
    assert row.quantity == MeasuredQuantity.RUNNING_CLEARANCE


def test_bare_figure_is_in_the_writers_unit(sheet: Build, front: Position, fitter: Person) -> None:
    fitter.small_length_unit = "mm"
    row = record_measurement(build=sheet, position=front, by=fitter, typed="0.05")
    assert row is not None
    assert row.value == pytest.approx(0.05e-3)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("tight", "no quantity"),
        ("-2 thou", "more than nought"),
        ("0", "more than nought"),
        ("60 mm", "more than 50 mm"),
        ("2 kg", "not a unit of length"),
        ("nan", "no quantity"),
    ],
)
def test_figure_that_makes_no_sense_is_refused(
    sheet: Build, front: Position, fitter: Person, typed: str, words: str
) -> None:
    with pytest.raises(Refused, match=words) as refused:
        record_measurement(build=sheet, position=front, by=fitter, typed=typed, confirm=True)
    assert refused.value.field == "typed"
    assert not BuildMeasurement.objects.exists()


@pytest.mark.parametrize(
    ("typed", "meant"), [("2 mm", "2 thou"), ("0.05 thou", "0.05 mm"), ("0.05 inch", "0.05 mm")]
)
def test_figure_off_by_a_unit_is_asked_about(
    sheet: Build, front: Position, fitter: Person, typed: str, meant: str
) -> None:
    with pytest.raises(Question, match=f"Did you mean {meant}"):
        record_measurement(build=sheet, position=front, by=fitter, typed=typed)
    assert record_measurement(build=sheet, position=front, by=fitter, typed=typed, confirm=True)


def test_empty_figure_clears_it(sheet: Build, front: Position, fitter: Person) -> None:
    record_measurement(build=sheet, position=front, by=fitter, typed="2")
    assert record_measurement(build=sheet, position=front, by=fitter, typed=" ") is None
    assert not BuildMeasurement.objects.exists()


def test_position_of_another_design_and_one_without_a_quantity_are_refused(
    sheet: Build, fitter: Person, workshop: Organisation, design: Design
) -> None:
    other = make_design(workshop, "Pattern 5").positions.first()
    assert other is not None
    with pytest.raises(Refused, match="no such position"):
        record_measurement(build=sheet, position=other, by=fitter, typed="2")
    jacket = design.positions.get(name="Water jacket")
    with pytest.raises(Refused, match="Nothing is measured"):
        record_measurement(build=sheet, position=jacket, by=fitter, typed="2")


def test_how_a_figure_stands_against_its_limits(
    sheet: Build, front: Position, washer: Position, fitter: Person
) -> None:
    record_measurement(build=sheet, position=front, by=fitter, typed="1.5 thou")
    record_measurement(build=sheet, position=washer, by=fitter, typed="0.2 mm")
    stands = {row.position.name: row.stands for row in sheet_rows(sheet)}
    assert stands["Front bearing"] is Stands.WITHIN
    assert stands["Rear bearing"] is Stands.NOT_MEASURED
    assert stands["Floating thrust washer"] is Stands.ABOVE
    record_measurement(build=sheet, position=front, by=fitter, typed="1.4 thou")
    # 1.5 to 2.5 thou as built: the limits themselves are within
    assert sheet_rows(sheet)[0].stands is Stands.BELOW
    record_measurement(build=sheet, position=front, by=fitter, typed="2.5 thou")
    assert sheet_rows(sheet)[0].stands is Stands.WITHIN


def test_one_sheet_is_written_at_a_time(sheet: Build, unit: Unit, fitter: Person) -> None:
    with pytest.raises(Refused, match="being written already"):
        start_build(unit=unit, by=fitter, built_on=TODAY)
    discard_build(build=sheet, by=fitter)
    assert start_build(unit=unit, by=fitter, built_on=TODAY).revision == 1


def test_second_sheet_of_a_day_is_the_next_revision(
    sheet: Build, front: Position, unit: Unit, fitter: Person
) -> None:
    record_measurement(build=sheet, position=front, by=fitter, typed="2")
    sign_build(build=sheet, by=fitter, confirm=True)
    assert start_build(unit=unit, by=fitter, built_on=TODAY).revision == 2


def test_signing_asks_while_positions_are_not_measured(
    sheet: Build, front: Position, fitter: Person
) -> None:
    with pytest.raises(Refused, match="no figure"):
        sign_build(build=sheet, by=fitter, confirm=True)
    record_measurement(build=sheet, position=front, by=fitter, typed="2")
    with pytest.raises(Question, match="Rear bearing, Floating thrust washer"):
        sign_build(build=sheet, by=fitter)
    sign_build(build=sheet, by=fitter, confirm=True)
    sheet.refresh_from_db()
    assert (sheet.state, sheet.signed_by) == (BuildState.SIGNED, fitter)
    assert AuditEntry.objects.filter(action="sign_build").count() == 1


def test_signed_sheet_stands_against_every_way_of_writing(
    unit: Unit, fitter: Person, front: Position, workshop: Organisation
) -> None:
    build = make_build(unit, fitter)
    figure = build.measurements.get(position=front)
    draft = start_build(unit=unit, by=fitter, built_on=TODAY)
    another = BuildMeasurement(
        build=build, position=front, quantity=MeasuredQuantity.RUN_OUT, value=1e-5, as_typed="x"
    )
    before = list(BuildMeasurement.objects.filter(build=build).values())

    def move() -> None:
        figure.build = draft
        figure.save()

    def write_value() -> None:
        figure.value = 1.0
        figure.save(update_fields=["value"])

    head = {"built_on": TODAY, "new_white_metal": False, "notes": ""}
    refused_by_action = [
        partial(record_measurement, build=build, position=front, by=fitter, typed="3"),
        partial(sign_build, build=build, by=fitter, confirm=True),
        partial(change_build, build=build, by=fitter, **head),
        partial(discard_build, build=build, by=fitter),
        partial(fill_sheet, build=build, by=fitter, typed={}),
        partial(write_entry, build=build, by=fitter, position=front, name="clearance", text="3"),
        partial(write_entry, build=build, by=fitter, name="notes", text="x"),
        partial(check_build, build=build, by=fitter),
    ]
    refused_by_model = [
        build.save,
        build.delete,
        partial(Build.objects.filter(pk=build.pk).update, notes="x"),
        Build.objects.all().delete,
        partial(Build.objects.bulk_update, [build], ["notes"]),
        partial(Build.objects.bulk_create, [build], update_conflicts=True,
                update_fields=["notes"], unique_fields=["id"]),
        partial(Build.objects.update_or_create, pk=build.pk, defaults={"notes": "x"}),
        write_value,
        figure.delete,
        move,
        another.save,
        partial(BuildMeasurement.objects.bulk_create, [another]),
        partial(BuildMeasurement.objects.filter(build=build).update, value=1.0),
        build.measurements.all().delete,
        partial(BuildMeasurement.objects.bulk_update, [figure], ["value"]),
        partial(build.measurements.create, position=front, quantity="gap", value=1, as_typed="x"),
        partial(build.entries.create, position=front, name="clearance", text="9"),
        partial(SheetEntry.objects.bulk_create, [SheetEntry(build=build, name="notes", text="x")]),
        SheetEntry(build=build, name="notes", text="x").save,
        partial(build.photos.create, file="x.jpg", digest="x"),
    ]  # fmt: skip
    for way in refused_by_action:
        with pytest.raises(Refused) as refused:
            way()
        assert refused.value.code == "signed"
    for write in refused_by_model:
        with pytest.raises(TypeError, match="signed build"), transaction.atomic():
            write()
    build.refresh_from_db()
    assert (build.state, build.notes) == (BuildState.SIGNED, "")
    assert list(BuildMeasurement.objects.filter(build=build).values()) == before


def test_admin_changes_no_build(fitter: Person, unit: Unit, rf: RequestFactory) -> None:
    fitter.is_staff = fitter.is_superuser = True
    request = rf.get("/admin/")
    request.user = fitter
    build = make_build(unit, fitter)
    page = admin.site.get_model_admin(Build)
    assert page.has_view_permission(request, build)
    assert not page.has_change_permission(request, build)
    assert not page.has_delete_permission(request, build)
    assert not page.has_add_permission(request)


def test_only_the_builders_write(
    sheet: Build, front: Position, unit: Unit, owner: Person, other_fitter: Person,
    officer: Person, stranger: Person,
) -> None:  # fmt: skip
    for person in (owner, other_fitter, officer, stranger):
        for way in (
            partial(start_build, unit=unit, by=person, built_on=TODAY),
            partial(record_measurement, build=sheet, position=front, by=person, typed="2"),
            partial(sign_build, build=sheet, by=person, confirm=True),
            partial(discard_build, build=sheet, by=person),
        ):
            with pytest.raises(NotAllowed):
                way()


def test_unit_of_no_workshop_has_no_sheet(owner: Person, starter_design: Design) -> None:
    with pytest.raises(NotAllowed):
        start_build(unit=make_unit(owner, starter_design), by=owner, built_on=TODAY)


def test_whole_sheet_is_kept_or_nothing_of_it(
    sheet: Build, front: Position, washer: Position, fitter: Person
) -> None:
    notes = {key_of(None, "notes"): Typed(text="in one go")}
    clearance, end_float = key_of(front.pk, "clearance"), key_of(washer.pk, "end_float")
    with pytest.raises(SheetRefused) as refused:
        fill_sheet(
            build=sheet,
            by=fitter,
            typed={**notes, clearance: Typed(text="2 thou"), end_float: Typed(text="tight")},
        )
    assert set(refused.value.refusals) == {end_float}
    assert not refused.value.only_asks
    sheet.refresh_from_db()
    assert sheet.notes == ""
    assert not BuildMeasurement.objects.exists()
    fill_sheet(
        build=sheet,
        by=fitter,
        typed={**notes, clearance: Typed(text="2 thou"), end_float: Typed(text="5")},
    )
    sheet.refresh_from_db()
    assert sheet.notes == "in one go"
    assert sorted(BuildMeasurement.objects.values_list("as_typed", flat=True)) == [
        "2 thou", "5 thou",
    ]  # fmt: skip


def test_sheet_that_only_asks_says_so(sheet: Build, front: Position, fitter: Person) -> None:
    key = key_of(front.pk, "clearance")
    with pytest.raises(SheetRefused) as asked:
        fill_sheet(build=sheet, by=fitter, typed={key: Typed(text="2 mm")})
    assert asked.value.only_asks
    fill_sheet(build=sheet, by=fitter, typed={key: Typed(text="2 mm", confirm=True)})
    assert BuildMeasurement.objects.get().value == pytest.approx(2e-3)


def test_last_signed_sheet_counts(unit: Unit, fitter: Person, front: Position) -> None:
    make_build(unit, fitter, date(2020, 1, 1))
    newer = make_build(unit, fitter, date(2023, 3, 1))
    start_build(unit=unit, by=fitter, built_on=TODAY)
    record = as_built(unit)
    assert record.build == newer
    assert [row.position.name for row in record.measured_rows][:2] == [
        "Front bearing", "Rear bearing",
    ]  # fmt: skip


def test_record_of_a_unit_that_nobody_measured_has_its_positions(
    owner: Person, starter_design: Design
) -> None:
    record = as_built(make_unit(owner, starter_design))
    assert record.build is None
    assert all(row.measurement is None for row in record.rows)
    assert len(record.rows) == 6


def test_records_of_many_units_take_as_many_queries_as_of_one(
    unit: Unit, fitter: Person, owner: Person, design: Design, django_assert_num_queries: object
) -> None:
    make_build(unit, fitter)
    units = [unit]
    for number in range(2):
        units.append(make_unit(owner, design, serial=f"P{number}"))
        make_build(units[-1], fitter)
    for some in (units[:1], units):
        with django_assert_num_queries(2):  # type: ignore[operator]
            for record in as_built_of(some).values():
                assert record.build is not None
                assert str(record.build.signed_by)
                assert len(record.measured_rows) == 4


# Versions of a design ---------------------------------------------------------------------------


@pytest.fixture
def newer(design: Design) -> Design:
    """Give the next version of the unit's design."""
    return Design.objects.create(
        workshop=design.workshop,
        name=design.name,
        kind=design.kind,
        version=design.version + 1,
        based_on=design,
    )


def test_rebuilt_unit_takes_the_newest_version_and_keeps_what_was_built_before(
    unit: Unit, build: Build, fitter: Person, design: Design, newer: Design
) -> None:
    draft = start_build(unit=unit, by=fitter, built_on=TODAY, to_newest=True)
    unit.refresh_from_db()
    assert unit.design == draft.design == newer
    build.refresh_from_db()
    assert build.design in (None, design)
    assert as_built(unit).build == build
    discard_build(build=draft, by=fitter)
    unit.refresh_from_db()
    assert unit.design in (design, newer)


def test_unit_keeps_its_version_unless_it_is_said(
    unit: Unit, fitter: Person, design: Design, newer: Design
) -> None:
    draft = start_build(unit=unit, by=fitter, built_on=TODAY)
    unit.refresh_from_db()
    assert unit.design == draft.design == design


def test_page_offers_the_newest_version(
    client: Client, unit: Unit, fitter: Person, newer: Design
) -> None:
    client.force_login(fitter)
    url = reverse("register:build_new", args=[unit.pk])
    assert f"version {newer.version}" in client.get(url).content.decode()
    client.post(url, {"built_on": TODAY.isoformat(), "to_newest": "on"})
    unit.refresh_from_db()
    assert unit.design == newer
