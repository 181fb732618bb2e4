"""Everything of one's own to take along, and nothing of anybody else's."""

import csv
import io
import zipfile
from collections.abc import Iterator
from datetime import date

import pytest
from django.apps import apps
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from advisory.common.errors import NotAllowed
from advisory.findings.models import Finding, FindingPhoto
from advisory.lubrication.enums import ServiceKind
from advisory.lubrication.models import OilService
from advisory.people.models import Consent, Organisation, Person
from advisory.register.models import Build, Car, Design, Unit
from advisory.reports.archive import TABLES, archive_of, archive_of_workshop
from advisory.reports.csv_tables import as_typed, harmless
from advisory.usage.models import Reading
from tests.cast import make_car, make_unit

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
NOTE = "=2+3, 'quoted', \"said\"\nand a second line"


@pytest.fixture
def lived(whole_unit: Unit, car: Car, owner: Person, second_owner: Person, design: Design) -> Unit:
    day = date(2024, 5, 1)
    Reading.objects.create(odometer=car.odometers.get(), date=day, shown=43_000, note=NOTE)
    OilService.objects.create(
        unit=whole_unit, date=day, kind=ServiceKind.CHANGE, note=NOTE, entered_by=owner
    )
    finding = Finding.objects.create(
        unit=whole_unit, seen_on=day, text="For me alone", reported_by=owner
    )
    photo = FindingPhoto(finding=finding, width=1, height=1)
    photo.file.save("one.jpg", ContentFile(b"picture"))
    theirs = make_car(second_owner, "Quarley")
    foreign = make_unit(second_owner, design, serial="FOREIGN-77", car=theirs)
    Finding.objects.create(unit=foreign, seen_on=day, text="Nobody else's business")
    return whole_unit


def opened(pieces: Iterator[bytes]) -> zipfile.ZipFile:
    return zipfile.ZipFile(io.BytesIO(b"".join(pieces)))


def rows(archive: zipfile.ZipFile, name: str) -> list[dict[str, str]]:
    text = archive.read(f"{name}.csv").decode("utf-8-sig")
    found = list(csv.DictReader(io.StringIO(text)))
    return [{key: as_typed(cell) for key, cell in row.items()} for row in found]


def test_owner_takes_everything_and_nobody_elses(lived: Unit, owner: Person, build: Build) -> None:
    with opened(archive_of(owner)) as archive:
        assert len(archive.namelist()) == len(TABLES) + 6  # a README, a head, people, a photo
        assert [row["serial"] for row in rows(archive, "unit")] == ["0417"]
        assert [row["note"] for row in rows(archive, "reading")] == [NOTE]
        (service,) = rows(archive, "oilservice")
        assert (service["note"], service["entered_by"]) == (NOTE, str(owner.pk))
        (finding,) = rows(archive, "finding")
        assert finding["text"] == "For me alone"
        (photo,) = rows(archive, "findingphoto")
        assert archive.read(photo["file"]) == b"picture"
        values = {float(row["value"]) for row in rows(archive, "buildmeasurement")}
        assert values == set(build.measurements.values_list("value", flat=True))
        (signed,) = rows(archive, "build")
        named = {row["id"]: row for row in rows(archive, "person")}
        assert named[signed["signed_by"]]["name"] == build.signed_by.name  # as its page says
        assert named[signed["signed_by"]]["email"] == ""
        assert named[str(owner.pk)]["email"] == owner.email
        said = b"".join(archive.read(name) for name in archive.namelist())
    assert b"Nobody else" not in said
    assert b"FOREIGN-77" not in said


def test_workshop_takes_what_owners_let_it_see(
    lived: Unit,
    workshop: Organisation,
    manager: Person,
    fitter: Person,
    stranger: Person,
    second_owner: Person,
) -> None:
    with opened(archive_of_workshop(workshop, manager)) as archive:
        assert {row["serial"] for row in rows(archive, "unit")} == {"0417", "FOREIGN-77"}
        assert len(rows(archive, "reading")) == 1
        assert rows(archive, "finding") == []  # it was never sent
        assert {row["name"]: row["email"] for row in rows(archive, "person")} == {
            "Orla Penhallow": "",
            fitter.name: fitter.email,
            manager.name: manager.email,
        }
        said = b"".join(archive.read(name) for name in archive.namelist())
        assert second_owner.name.encode() not in said  # who lets it see nothing
    Consent.objects.all().delete()
    with opened(archive_of_workshop(workshop, manager)) as archive:
        assert rows(archive, "reading") == []
        assert rows(archive, "build")
    for person in (fitter, stranger):
        with pytest.raises(NotAllowed):
            archive_of_workshop(workshop, person)


def test_doors(
    client: Client, lived: Unit, workshop: Organisation, owner: Person, manager: Person
) -> None:
    client.force_login(owner)
    for name in ("reports:own_archive", "api:me-archive"):
        answer = client.get(reverse(name))
        assert zipfile.is_zipfile(io.BytesIO(b"".join(answer.streaming_content)))
    for name in ("reports:workshop_archive", "api:workshop-archive"):
        assert client.get(reverse(name, args=[workshop.pk])).status_code == 404
    client.force_login(manager)
    for name in ("reports:workshop_archive", "api:workshop-archive"):
        answer = client.get(reverse(name, args=[workshop.pk]))
        assert answer.status_code == 200


@given(st.text(max_size=40))
def test_what_was_typed_comes_back_and_no_formula_goes_out(text: str) -> None:
    out = harmless(text)
    assert as_typed(str(out)) == text
    assert not str(out).startswith(("=", "+", "-", "@", "\t", "\r"))


# What is no record of a unit: messages and letters, keys and links, what is reckoned anew, and what
# a form holds until it is sent. People and organisations have files of their own.
STAYS = {
    "AnsweringAim", "BulletinNotice", "CalendarEntry", "CalendarFeed",
    "FindingNotice", "FleetReport", "FleetReportPart", "HandOver", "Invitation", "LogbookUpload",
    "Mail", "Membership", "NoticePreference", "OilAdvice", "Organisation", "Person",
    "ReadingRequest", "Reminder", "Snooze", "WaitingPhoto", "WearMark", "Webhook",
    "WebhookMessage", "WorkshopPractice",
}  # fmt: skip


def test_whatever_is_somebodys_goes_along_or_is_named_here() -> None:
    taken = {model.__name__ for model, _permission in TABLES}
    theirs = {model.__name__ for model in apps.get_models() if hasattr(model, "access")}
    assert theirs == taken | STAYS
    assert not taken & STAYS
