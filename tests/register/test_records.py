"""A workshop's old records: read as they are kept, looked through, and all of it or nothing."""

import io
from datetime import date
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from advisory.common.csv_files import DateOrder, FileRefused
from advisory.common.errors import NotAllowed, Refused
from advisory.people.models import Organisation, Person
from advisory.register.actions import import_records, look_through
from advisory.register.enums import BuildState
from advisory.register.models import Build, BuildMeasurement, Design, SheetEntry, Unit
from advisory.register.records_csv import OldRecords, read_records

pytestmark = pytest.mark.django_db
TODAY = date(2024, 6, 10)
GOOD = """serial,design,built on,position,size,batch
0900,Pattern 4 blower,1998-03-14,Front bearing,1.8 thou,WM-12
0900,Pattern 4 blower,1998-03-14,Rear bearing,0.045 mm,
0900,Pattern 4 blower,2005-01-20,Front bearing,1.9 thou,WM-44
0901,pattern 4 BLOWER,2001-07-02,Front bearing,2 thou,
"""


def read(text: str, order: DateOrder | None = None) -> OldRecords:
    return read_records(text.encode(), today=TODAY, order=order)


@pytest.fixture
def shop(workshop: Organisation, design: Design) -> Organisation:
    return workshop


def test_units_and_their_signed_sheets_come_in(shop: Organisation, fitter: Person) -> None:
    done = import_records(workshop=shop, records=read(GOOD), by=fitter, sign=True)
    assert (done.units, done.builds, done.sizes, done.problems) == (2, 3, 4, [])
    builds = Build.objects.filter(unit__serial="0900").order_by("built_on")
    assert [build.built_on for build in builds] == [date(1998, 3, 14), date(2005, 1, 20)]
    assert {build.state for build in builds} == {BuildState.SIGNED}
    assert builds[0].signed_at.date() == date(1998, 3, 14)
    assert builds[0].digest
    sizes = BuildMeasurement.objects.filter(build=builds[0]).order_by("position__order")
    assert [row.value for row in sizes] == pytest.approx([1.8 * 25.4e-6, 4.5e-5])
    assert SheetEntry.objects.get(build=builds[0], name="batch").text == "WM-12"


def test_looking_through_does_the_same_and_keeps_nothing(
    shop: Organisation, fitter: Person
) -> None:
    seen = look_through(workshop=shop, records=read(GOOD), by=fitter, sign=True)
    assert (seen.units, seen.builds, seen.sizes) == (2, 3, 4)
    assert not Unit.objects.exists()


BAD = """serial,design,built on,position,size
0900,Pattern 4 blower,1998-03-14,Front bearing,1.8 mm
0901,Pattern 9,1998-03-14,Front bearing,1.8 thou
0902,Pattern 4 blower,1998-02-31,Front bearing,1.8 thou
0903,Pattern 4 blower,1998-03-14,Middle bearing,1.8 thou
0904,Pattern 4 blower,2030-03-14,Front bearing,1.8 thou
,Pattern 4 blower,1998-03-14,Front bearing,1.8 thou
0906,Pattern 4 blower,1998-03-14,Front bearing,1.8
"""


def test_each_doubtful_line_says_what_to_do_and_nothing_is_taken_in(
    shop: Organisation, fitter: Person
) -> None:
    records = read(BAD)
    seen = look_through(workshop=shop, records=records, by=fitter, sign=False)
    said = {problem.line.number: problem.message for problem in seen.problems}
    assert set(said) == set(range(2, 9))
    assert "thou" in said[2]  # did you mean thou?
    assert "Pattern 9" in said[3]
    assert "no day" in said[4]
    assert "Middle bearing" in said[5]
    assert "not come yet" in said[6]
    assert "serial" in said[7]
    assert "unit" in said[8]
    with pytest.raises(Refused, match="Nothing was taken in"):
        import_records(workshop=shop, records=records, by=fitter, sign=False)
    assert not Unit.objects.exists()


@pytest.mark.parametrize("wrong", [",", "Frnt bearing,1.8 thou"])
def test_what_is_wrong_with_a_sheet_stands_against_no_later_one(
    shop: Organisation, fitter: Person, wrong: str
) -> None:
    text = (
        "serial,design,built on,position,size\n"
        f"0900,Pattern 4 blower,1998-03-14,{wrong}\n"
        "0900,Pattern 4 blower,2005-01-20,Front bearing,1.9 thou\n"
    )
    seen = look_through(workshop=shop, records=read(text), by=fitter, sign=True)
    assert [problem.line.number for problem in seen.problems] == [2]
    with pytest.raises(Refused, match="Nothing was taken in"):
        import_records(workshop=shop, records=read(text), by=fitter, sign=True)
    assert not Unit.objects.exists()


def test_unit_that_is_there_is_left_as_it_is(
    unit: Unit, build: Build, workshop: Organisation, fitter: Person
) -> None:
    before = list(Build.objects.values()), list(BuildMeasurement.objects.values())
    text = GOOD.replace("0901", unit.serial)
    with pytest.raises(Refused):
        import_records(workshop=workshop, records=read(text), by=fitter, sign=True)
    seen = look_through(workshop=workshop, records=read(text), by=fitter, sign=True)
    assert [problem.line.serial for problem in seen.problems] == [unit.serial]
    assert "changes none of its sheets" in seen.problems[0].message
    assert (list(Build.objects.values()), list(BuildMeasurement.objects.values())) == before


def test_days_that_can_be_read_two_ways_are_asked_about() -> None:
    text = "serial;design;built on\n1;A;03/04/1998\n2;A;05/06/1999\n"
    assert set(read(text).orders) == {DateOrder.DAY_FIRST, DateOrder.MONTH_FIRST}
    assert read(text).example == "03/04/1998"
    assert read(text, DateOrder.MONTH_FIRST).lines[0].built_on == date(1998, 3, 4)


@pytest.mark.parametrize(
    "text", ["", "serial,built on\n1,1998-01-01\n", "serial,design,built on\n", "PK\x03\x04"]
)
def test_file_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(FileRefused):
        read(text)


def test_strangers_take_nothing_in(
    client: Client, shop: Organisation, other_fitter: Person, owner: Person
) -> None:
    for person in (other_fitter, owner):
        with pytest.raises(NotAllowed):
            look_through(workshop=shop, records=read(GOOD), by=person, sign=False)
        client.force_login(person)
        assert client.get(reverse("register:records", args=[shop.pk])).status_code == 404


def test_page_shows_what_it_would_do_then_does_it(
    client: Client, shop: Organisation, fitter: Person
) -> None:
    client.force_login(fitter)
    url = reverse("register:records", args=[shop.pk])
    assert client.post(url, {}).status_code == 422
    page = client.post(url, {"file": SimpleUploadedFile("old.csv", GOOD.encode())}).content.decode()
    assert "2 units, 3 sheets, 4 sizes" not in page  # two sheets of a unit need signing between
    said = {"file": SimpleUploadedFile("old.csv", GOOD.encode()), "sign": "on"}
    page = client.post(url, said).content.decode()
    assert "2 units, 3 sheets, 4 sizes" in page
    assert not Unit.objects.exists()
    answer = client.post(url, {"text": GOOD, "named": "old.csv", "sign": "on", "take-in": "1"})
    assert answer.status_code == 302
    assert Unit.objects.count() == 2
    again = client.post(url, {"text": GOOD, "named": "old.csv", "sign": "on", "take-in": "1"})
    assert again.status_code == 422
    assert "on the books already" in again.content.decode()


def test_programs_and_the_command_do_the_same(
    client: Client, shop: Organisation, fitter: Person, tmp_path: Path
) -> None:
    client.force_login(fitter)
    url = reverse("api:workshop-records", args=[shop.pk])
    answer = client.post(url, {"file": SimpleUploadedFile("a.csv", BAD.encode())})
    assert answer.status_code == 200
    assert len(answer.json()["problems"]) == 7
    file = tmp_path / "old.csv"
    file.write_text(GOOD)
    out = io.StringIO()
    told = {"workshop": shop.pk, "by": fitter.email, "sign": True}
    call_command("import_records", str(file), dry_run=True, stdout=out, **told)
    assert "2 units, 3 sheets, 4 sizes." in out.getvalue()
    assert not Unit.objects.exists()
    call_command("import_records", str(file), stdout=out, **told)
    assert Unit.objects.count() == 2
    with pytest.raises(CommandError):
        call_command("import_records", str(file), stdout=out, **told)
