"""What a build sheet makes of what is typed, place by place, by one fitter or by two."""

from functools import partial

import pytest
import time_machine
from django.db import transaction

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.people.models import Organisation, Person
from advisory.register.actions import (
    SheetRefused,
    Typed,
    Written,
    WrittenByOther,
    check_build,
    correct_build,
    fill_sheet,
    record_measurement,
    set_practice,
    sign_build,
    start_build,
    write_entry,
)
from advisory.register.adapters import Derived, Sameness
from advisory.register.compared import changes_between
from advisory.register.digest import is_as_signed
from advisory.register.enums import MeasuredQuantity, Stands
from advisory.register.models import Build, BuildMeasurement, Position, SheetEntry
from advisory.register.queries import as_built
from advisory.register.sheet import key_of, sheet_of
from tests.register.bench_sheet import FRONT, MM, THOU, TODAY, start_bench_sheet


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2024-06-10T12:00:00Z", tick=False):
        yield


@pytest.fixture
def sheet(workshop: Organisation, fitter: Person) -> Build:
    return start_bench_sheet(workshop, fitter)


def at(build: Build, name: str) -> Position:
    return build.unit.design.positions.get(name=name)


def write(build: Build, by: Person, where: str, **typed: str) -> list[Written]:
    position = at(build, where) if where else None
    return [
        write_entry(build=build, by=by, position=position, name=name, text=text,
                    keeps_doubtful=True)
        for name, text in typed.items()
    ]  # fmt: skip


def derived(build: Build, where: str) -> dict[str, Derived]:
    return {one.name: one for one in sheet_of(build).at(at(build, where)).derived}


# What follows from the figures ------------------------------------------------------------------


def test_sizes_in_any_unit_make_the_clearance_and_the_record(sheet: Build, fitter: Person) -> None:
    write(sheet, fitter, "Front bearing", **FRONT)
    found = derived(sheet, "Front bearing")
    assert found["clearance"].value == pytest.approx(1.55 * THOU, abs=1e-9)
    assert found["clearance"].stands is Stands.WITHIN
    assert found["tightest"].value == pytest.approx(1.5 * THOU, abs=1e-9)
    assert found["widest"].value == pytest.approx(1.6 * THOU, abs=1e-9)
    assert found["journal_taper"].value == pytest.approx(0.1 * THOU, abs=1e-9)
    assert found["journal_ovality"].value == pytest.approx(0.0, abs=1e-9)
    assert found["undersize"].value == pytest.approx(0.05 * THOU, abs=1e-9)
    row = sheet.measurements.get(quantity=MeasuredQuantity.RUNNING_CLEARANCE)
    assert row.value == pytest.approx(1.55 * THOU, abs=1e-9)
    assert row.reckoned
    kept = sheet.entries.get(position__name="Front bearing", name="journal_2a")
    assert (kept.text, kept.by) == ("-0.1 thou", fitter)


def test_uncertainty_of_the_instruments_makes_the_verdict_honest(
    sheet: Build, fitter: Person
) -> None:
    write(sheet, fitter, "Front bearing", **FRONT)
    write(sheet, fitter, "", outside_off="0.3", inside_off="0.4 thou")
    found = derived(sheet, "Front bearing")["clearance"]
    # sqrt(0.3^2 + 0.4^2) thou between limits, a rectangle: over sqrt(3)
    assert found.uncertainty == pytest.approx(0.5 * THOU / 3**0.5)
    assert found.stands is Stands.CANNOT_TELL
    row = sheet.measurements.get(quantity=MeasuredQuantity.RUNNING_CLEARANCE)
    assert row.uncertainty == pytest.approx(0.5 * THOU / 3**0.5)
    write(sheet, fitter, "", outside_off="0.1", inside_off="0.1")
    assert derived(sheet, "Front bearing")["clearance"].stands is Stands.WITHIN


def test_all_journals_ground_alike_is_said_or_not(sheet: Build, fitter: Person) -> None:
    write(sheet, fitter, "Front bearing", journal_1a="-10")
    assert sheet_of(sheet).undersizes is None
    write(sheet, fitter, "Rear bearing", journal_1a="-10.1")
    found = sheet_of(sheet).undersizes
    assert found is not None
    assert found.sameness is Sameness.SAME
    write(sheet, fitter, "Rear bearing", journal_1a="-20")
    found = sheet_of(sheet).undersizes
    assert found is not None
    assert found.sameness is Sameness.DIFFERENT


def test_seal_track_is_held_against_the_standard(sheet: Build, fitter: Person) -> None:
    write(sheet, fitter, "Drive seal", track="37.98 mm", hardness="50", roughness="0.4",
          wear_depth="0 mm")  # fmt: skip
    found = derived(sheet, "Drive seal")
    # pi x 37.98 mm x 54.17/s is above 4 m/s, so 55 HRC is wanted
    assert found["track_speed"].value == pytest.approx(6.46, abs=0.01)
    assert found["track_speed"].stands is Stands.WITHIN
    assert found["hardness"].stands is Stands.BELOW
    assert found["roughness"].stands is Stands.WITHIN
    assert found["track"].stands is Stands.WITHIN
    assert found["wear_depth"].stands is Stands.WITHIN


# The published worked example: 50/80 mm, steel on steel, 40 um, 40 mm long: 51.2 MPa, 965 N m
# (read; see the checks of fits).
def test_sleeve_is_reckoned_as_the_published_example(sheet: Build, fitter: Person) -> None:
    write(sheet, fitter, "Drive seal", sleeve_shaft="50.04 mm", sleeve_bore="50 mm",
          sleeve_outer="80 mm", sleeve_length="40 mm")  # fmt: skip
    found = derived(sheet, "Drive seal")
    assert found["interference"].value == pytest.approx(40e-6, abs=1e-9)
    assert found["sleeve_pressure"].value / 1e6 == pytest.approx(51.2, abs=0.1)
    assert found["sleeve_torque"].value == pytest.approx(965, rel=0.003)
    write(sheet, fitter, "Drive seal", sleeve_bore="50.05 mm")
    found = derived(sheet, "Drive seal")
    assert found["interference"].stands is Stands.BELOW
    assert "sleeve_pressure" not in found


def test_flatness_and_run_out_come_from_their_readings(sheet: Build, fitter: Person) -> None:
    write(sheet, fitter, "Rear cover", grid="0 0 0\n0 - 0\n0 0 0.04 mm", gap="0.02 mm")
    assert derived(sheet, "Rear cover")["flatness"].stands is Stands.WITHIN
    write(sheet, fitter, "Rear cover", grid="0 0.05\n0.05 -0.05 mm")
    found = derived(sheet, "Rear cover")["flatness"]
    # four corners off by +-0.0375 from the best plane: 0.075 from peak to valley (by hand)
    assert found.value == pytest.approx(0.075 * MM, abs=1e-9)
    assert found.stands is Stands.ABOVE
    write(sheet, fitter, "Front bearing", run_out="0 0.6 1.2 0.6")
    found = derived(sheet, "Front bearing")["run_out"]
    assert found.value == pytest.approx(1.2 * THOU)
    assert found.stands is Stands.ABOVE
    assert sheet.measurements.get(quantity=MeasuredQuantity.RUN_OUT).reckoned


def test_figure_of_a_program_and_of_the_page_are_one(sheet: Build, fitter: Person) -> None:
    washer = at(sheet, "Thrust washer")
    record_measurement(build=sheet, position=washer, by=fitter, typed="4 thou",
                       uncertainty="0.2 thou", instrument="dial")  # fmt: skip
    assert sheet.entries.get(position=washer).text == "4 thou"
    write(sheet, fitter, "", other_off="0.1 thou")
    write(sheet, fitter, "Thrust washer", end_float="5")
    row = sheet.measurements.get(position=washer)
    assert (row.as_typed, row.reckoned) == ("5 thou", False)
    write(sheet, fitter, "Thrust washer", end_float="")
    assert not sheet.measurements.filter(position=washer).exists()


# Bad input --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("where", "name", "text", "words"),
    [
        ("Front bearing", "journal_1a", "wide", "no quantity"),
        ("Front bearing", "journal_1a", "1.4985 kg", "not a unit of length"),
        ("Front bearing", "journal_1a", "-1.6 inch", "more than nought"),
        ("Front bearing", "journal_1a", "38.1", "Did you mean 38.1 mm?"),
        ("Front bearing", "journal_1a", "1.5 mm", "Did you mean 1.5 inch?"),
        ("Front bearing", "journal_1a", "+1.5 inch", "Did you mean"),
        ("Front bearing", "bore_1a", "1.7", "Is it right?"),
        ("Front bearing", "run_out", "0 1 - 2", "without leaving one out"),
        ("Front bearing", "run_out", "0 one 2", "not a number"),
        ("Front bearing", "origin", "stolen", "Choose one"),
        ("Thrust washer", "end_float", "0.1", "Did you mean 0.1 mm?"),
        ("Thrust washer", "end_float", "-1", "more than nought"),
        ("Drive seal", "hardness", "550", "up to 72"),
        ("Drive seal", "roughness", "0.4 mm", "below 100"),
        ("Drive seal", "sleeve_length", "9 m", "less than 5 m"),
        ("Cover studs", "replaced", "some", "not a number"),
        ("", "built_on", "2024-06-31", "year-month-day"),
        ("", "built_on", "2024-06-11", "not come yet"),
        ("", "built_on", "", "Enter the day."),
        ("", "outside_off", "0", "more than nought"),
        ("", "outside_with", "x" * 121, "at most 120"),
    ],
)
def test_what_makes_no_sense_is_kept_as_a_doubt_and_counts_for_nothing(
    sheet: Build, fitter: Person, where: str, name: str, text: str, words: str
) -> None:
    position = at(sheet, where) if where else None
    with pytest.raises(Refused, match=words.replace("?", r"\?")) as refused:
        write_entry(build=sheet, by=fitter, position=position, name=name, text=text)
    assert refused.value.field == name
    assert not sheet.entries.exists()
    written = write_entry(build=sheet, by=fitter, position=position, name=name, text=text,
                          keeps_doubtful=True)  # fmt: skip
    assert written.refusal is not None
    sheet.refresh_from_db()
    assert sheet.built_on == TODAY
    assert not sheet.measurements.exists()
    if written.entry is not None and text:
        assert written.entry.text == text
        record_measurement(
            build=sheet, position=at(sheet, "Rear cover"), by=fitter, typed="0.02 mm"
        )
        with pytest.raises(Refused) as refused:
            sign_build(build=sheet, by=fitter, confirm=True)
        assert refused.value.code == "in_doubt"


def test_question_is_answered_by_its_unit_or_by_a_word(sheet: Build, fitter: Person) -> None:
    asked = write(sheet, fitter, "Thrust washer", end_float="0.1")[0]
    assert isinstance(asked.refusal, Question)
    assert asked.entry is not None
    assert asked.entry.meant == "0.1 mm"
    write_entry(build=sheet, by=fitter, position=at(sheet, "Thrust washer"), name="end_float",
                text="0.1", confirm=True)  # fmt: skip
    assert sheet.measurements.get().value == pytest.approx(0.1 * THOU)
    write(sheet, fitter, "Thrust washer", end_float="0.1 mm")
    assert sheet.measurements.get().value == pytest.approx(0.1 * MM)
    assert not sheet_of(sheet).faults


def test_bore_smaller_than_its_journal_is_said_at_the_last_of_them(
    sheet: Build, fitter: Person
) -> None:
    write(sheet, fitter, "Front bearing", journal_1a="1.5", bore_1a="1.499")
    faults = sheet_of(sheet).faults
    assert [place.field.name for place, _words in faults] == ["bore_1a"]
    assert not sheet.measurements.filter(quantity="running_clearance").exists()
    with pytest.raises(Refused, match="smaller than its journal"):
        sign_build(build=sheet, by=fitter, confirm=True)
    typed = {key_of(at(sheet, "Rear bearing").pk, name): Typed(text=text)
             for name, text in (("journal_1a", "1.5"), ("bore_1a", "-1"))}  # fmt: skip
    with pytest.raises(SheetRefused, match="Nothing was kept"):
        fill_sheet(build=sheet, by=fitter, typed=typed)
    assert not sheet.entries.filter(position__name="Rear bearing").exists()
    write(sheet, fitter, "Front bearing", bore_1a="1.501")
    assert not sheet_of(sheet).faults


def test_place_that_is_not_there_is_refused(
    sheet: Build, fitter: Person, design: object, stranger: Person
) -> None:
    other = Position.objects.filter(design=design).first()
    for position, name in ((None, "colour"), (at(sheet, "Jacket"), "clearance"), (other, "origin")):
        with pytest.raises(Refused):
            write_entry(build=sheet, by=fitter, position=position, name=name, text="2")
    with pytest.raises(NotAllowed):
        write_entry(build=sheet, by=stranger, name="notes", text="2")


# Two fitters on one sheet -----------------------------------------------------------------------


def test_two_fitters_lose_nothing_and_neither_writes_over_the_other(
    sheet: Build, fitter: Person, manager: Person
) -> None:
    washer = at(sheet, "Thrust washer")
    put = partial(write_entry, build=sheet, position=washer, name="end_float")
    first = put(by=fitter, text="4 thou", seen=0).entry
    assert first is not None
    with pytest.raises(WrittenByOther, match="Felix Addle wrote “4 thou”") as clash:
        put(by=manager, text="5 thou", seen=0)
    assert clash.value.theirs == first
    # the same figure is no clash, and one's own may be changed from another window
    assert put(by=manager, text="4 thou", seen=0).entry == first
    assert put(by=fitter, text="4.1 thou", seen=0).entry is not None
    put(by=manager, text="5 thou", seen=0, over=True)
    assert sheet.measurements.get().as_typed == "5 thou"
    with pytest.raises(WrittenByOther):
        put(by=fitter, text="", seen=2)
    put(by=fitter, text="", seen=3)
    with pytest.raises(WrittenByOther, match="nothing"):
        put(by=manager, text="6 thou", seen=3)


def test_whole_page_never_goes_over_what_another_wrote(
    sheet: Build, fitter: Person, manager: Person
) -> None:
    key = key_of(at(sheet, "Thrust washer").pk, "end_float")
    notes = key_of(None, "notes")
    write(sheet, manager, "Thrust washer", end_float="4 thou")
    page = {key: Typed(text="5 thou", seen=0), notes: Typed(text="mine", seen=0)}
    with pytest.raises(SheetRefused) as clash:
        fill_sheet(build=sheet, by=fitter, typed=page)
    assert set(clash.value.refusals) == {key}
    assert isinstance(clash.value.refusals[key], WrittenByOther)
    fill_sheet(build=sheet, by=fitter, typed={**page, key: Typed(text="5", seen=0, over=True)})
    assert sheet.measurements.get().as_typed == "5 thou"


# Signed -----------------------------------------------------------------------------------------


def signed(sheet: Build, by: Person) -> Build:
    write(sheet, by, "Front bearing", **FRONT)
    write(sheet, by, "Front bearing", origin="donor", batch="Cast 7")
    return sign_build(build=sheet, by=by, confirm=True)


def test_signed_sheet_has_a_digest_over_all_that_stands_on_it(sheet: Build, fitter: Person) -> None:
    build = signed(sheet, fitter)
    assert len(build.digest) == 64
    assert is_as_signed(Build.objects.get(pk=build.pk))
    entry = build.entries.get(name="batch")
    for write_on in (entry.save, entry.delete, build.entries.all().delete,
                     partial(build.entries.update, text="Cast 8"),
                     partial(SheetEntry.objects.bulk_update, [entry], ["text"])):  # fmt: skip
        with pytest.raises(TypeError, match="signed build"), transaction.atomic():
            write_on()
    # behind the back of all of it, in the database itself: it shows
    SheetEntry._base_manager.filter(pk=entry.pk)._raw_delete("default")  # type: ignore[attr-defined]
    assert not is_as_signed(Build.objects.get(pk=build.pk))


def test_correction_is_a_new_revision_that_says_what_and_why(
    sheet: Build, fitter: Person, manager: Person
) -> None:
    build = signed(sheet, fitter)
    with pytest.raises(Refused, match="Say what is wrong"):
        correct_build(build=build, by=manager, reason=" ")
    made = correct_build(build=build, by=manager, reason="The bore was read in the wrong line")
    assert (made.revision, made.corrects) == (2, build)
    with pytest.raises(Refused, match="being written already"):
        correct_build(build=build, by=manager, reason="again")
    assert as_built(build.unit).build == build
    write(made, manager, "Front bearing", bore_1a="+1.7 thou")
    write(made, manager, "", built_on="2024-06-01")
    sign_build(build=made, by=manager, confirm=True)
    made.refresh_from_db()
    assert {(one.place, one.before, one.now) for one in changes_between(build, made)} == {
        ("Built on", "2024-06-10", "2024-06-01"),
        ("Front bearing, Bore 1a", "+1.5 thou", "+1.7 thou"),
    }
    # the newer one counts though it tells an earlier day
    assert as_built(build.unit).build == made
    assert is_as_signed(Build.objects.get(pk=build.pk))
    assert is_as_signed(Build.objects.get(pk=made.pk))
    with pytest.raises(Refused, match="corrected already"):
        correct_build(build=build, by=fitter, reason="again")


def test_second_pair_of_eyes(
    sheet: Build, fitter: Person, manager: Person, owner: Person, workshop: Organisation
) -> None:
    for person in (fitter, owner):
        with pytest.raises(NotAllowed):
            set_practice(workshop=workshop, by=person, second_look=True)
    set_practice(workshop=workshop, by=manager, second_look=True)
    write(sheet, fitter, "Thrust washer", end_float="4 thou")
    sign = partial(sign_build, build=sheet, by=fitter, confirm=True)
    with pytest.raises(Refused, match="somebody else to look through") as refused:
        sign()
    assert refused.value.code == "second_look"
    check_build(build=sheet, by=fitter)
    with pytest.raises(Refused, match="yourself"):
        sign()
    check_build(build=sheet, by=manager)
    write(sheet, manager, "Thrust washer", end_float="5 thou")
    with pytest.raises(Refused, match="changed since"):
        sign()
    check_build(build=sheet, by=manager)
    assert sign().checked_by == manager
    assert is_as_signed(Build.objects.get(pk=sheet.pk))


def test_sheet_is_read_in_as_many_queries_whatever_stands_on_it(
    sheet: Build, fitter: Person, django_assert_num_queries: object
) -> None:
    build = Build.objects.select_related("unit__design", "design").get(pk=sheet.pk)
    with django_assert_num_queries(3):  # type: ignore[operator]
        sheet_of(build)
    write(sheet, fitter, "Front bearing", **FRONT)
    with django_assert_num_queries(3):  # type: ignore[operator]
        sheet_of(build)


def test_sheet_keeps_the_version_it_is_of(sheet: Build, fitter: Person, design: object) -> None:
    assert sheet.design == sheet.unit.design
    write(sheet, fitter, "Front bearing", **FRONT)
    sheet.unit.design = design  # type: ignore[assignment]
    sheet.unit.save()
    again = Build.objects.get(pk=sheet.pk)
    assert {one.position.name for one in sheet_of(again).positions} >= {"Rear cover"}
    sign_build(build=again, by=fitter, confirm=True)
    record = as_built(again.unit)
    assert record.measured_rows[0].measurement is not None
    assert BuildMeasurement.objects.filter(build=again).exists()
    assert start_build(unit=again.unit, by=fitter, built_on=TODAY).design == design
