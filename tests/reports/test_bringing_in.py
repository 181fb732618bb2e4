"""What was taken along gives the same pages in an empty service, or nothing at all."""

import csv
import io
import re
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.urls import reverse

from advisory.common.errors import Refused
from advisory.findings.actions import answer_finding, report_finding
from advisory.findings.models import FindingPhoto
from advisory.lubrication.models import Lubricant
from advisory.notices.models import Mail
from advisory.people.models import Membership, Organisation, Person
from advisory.plans.actions import mark_done, refresh_plan
from advisory.plans.actions.bulletins import mark_read, send_bulletin, write_bulletin
from advisory.plans.models import PlanItem
from advisory.plans.models.bulletins import Bulletin
from advisory.register.actions import (
    add_photos,
    correct_build,
    sign_build,
    start_build,
    write_entry,
)
from advisory.register.digest import is_as_signed
from advisory.register.enums import PositionKind, WorkKind
from advisory.register.models import (
    Build,
    Car,
    Design,
    DismantlingStep,
    MaintenanceInstruction,
    Position,
    Unit,
)
from advisory.reports.archive import archive_of, archive_of_workshop, bring_in
from advisory.reports.archive.opened import OpenedArchive
from advisory.usage.actions import record_reading
from tests.cast import make_unit
from tests.findings.pictures import jpeg

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
DAY = date(2024, 5, 1)


@pytest.fixture
def lived(whole_unit: Unit, car: Car, owner: Person, fitter: Person) -> Unit:
    """Give a unit a life: a sheet with a correction and a photo, use, work, a finding."""
    unit = whole_unit
    sheet = start_build(unit=unit, by=fitter, built_on=date(2023, 9, 1))
    place = unit.design.positions.get(kind=PositionKind.THRUST_WASHER)
    for name, text in (("end_float", "5 thou"), ("batch", "=WM-7")):
        write_entry(build=sheet, position=place, name=name, text=text, by=fitter)
    add_photos(build=sheet, by=fitter, photos=[jpeg()], position=place, words="As it left")
    sheet = sign_build(build=sheet, by=fitter, confirm=True)
    fixed = correct_build(build=sheet, by=fitter, reason="The batch was another")
    write_entry(build=fixed, position=place, name="batch", text="WM-8", by=fitter, seen=1)
    sign_build(build=fixed, by=fitter, confirm=True)
    record_reading(car=car, date=DAY, shown=43_500, by=owner, note="after the tour", confirm=True)
    refresh_plan(unit=unit)
    work = PlanItem.objects.filter(unit=unit).values_list("work", flat=True)[0]
    mark_done(unit=unit, work=work, date=DAY, by=owner, note="drained warm")
    finding = report_finding(
        unit=unit, by=owner, text="A groove", seen_on=DAY, position=place, photos=[jpeg()]
    )
    answer_finding(finding=finding, text="Send it in.", by=fitter, photos=[jpeg()])
    # an oil of the catalogue is nobody's own
    unit.oil_arrangements.update(lubricant=Lubricant.objects.get(code="sae-40"))
    unit.follow_ups.create(
        person=unit.owner,
        reason="silent",
        occasion="since-2024",
        kind="call",
        by=fitter,
        note="Away",
    )
    return unit


def packed(pieces: object) -> bytes:
    return b"".join(pieces)  # type: ignore[arg-type]


def emptied() -> None:
    """Take everything out that a new service has not; keys are checked at the end only."""
    kept = {Design: "workshop_id IS NULL", Lubricant: "code <> ''"}
    of_design = "design_id IN (SELECT id FROM register_design)"
    kept |= dict.fromkeys((Position, MaintenanceInstruction, DismantlingStep), of_design)
    with connection.cursor() as cursor:
        for model in sorted(apps.get_models(), key=lambda one: one is not Design):
            if model._meta.app_label not in {"contenttypes", "auth"} and model._meta.managed:
                stays = kept.get(model, "1 = 0")
                cursor.execute(f"DELETE FROM {model._meta.db_table} WHERE NOT ({stays})")


def brought(held: bytes) -> None:
    bring_in(archive=OpenedArchive(io.BytesIO(held)))


def words_of(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, address
    # messages and the seal are the service's own
    page = answer.content.decode().partition("<main")[2].partition("</main>")[0]
    page = re.sub(r"\b[0-9a-f]{64}\b", "", page)
    page = re.sub(r"<svg.*?</svg>|<script.*?</script>", "", page, flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


def pages_of(client: Client, person: Person, unit: Unit) -> list[str]:
    client.force_login(person)
    car = unit.fittings.get().car
    addresses = [
        reverse("plans:unit", args=[unit.pk]),
        reverse("plans:history", args=[unit.pk]),
        reverse("usage:logbook", args=[car.pk]),
        *(reverse("register:build", args=[row.pk]) for row in unit.builds.order_by("pk")),
        *(reverse("findings:finding", args=[row.pk]) for row in unit.findings.order_by("pk")),
    ]
    return [words_of(client, address) for address in addresses]


def test_owners_pages_are_the_same(client: Client, lived: Unit, owner: Person) -> None:
    before = pages_of(client, owner, lived)
    held = packed(archive_of(owner))
    emptied()
    brought(held)
    (unit,) = Unit.objects.all()
    new = Person.objects.get(email=owner.email)
    assert new.pk != owner.pk
    assert pages_of(client, new, unit) == before
    assert [row.note for row in unit.follow_ups.filter(person=new)] == ["Away"]
    assert not new.has_usable_password()  # opened by "Lost the password?"
    sealed = Build.objects.exclude(digest="")
    assert sealed.count() == 2
    assert all(is_as_signed(build) for build in sealed)
    (reported, answered) = FindingPhoto.objects.order_by("answer_id")
    assert all(default_storage.exists(photo.file.name) for photo in (reported, answered))
    assert {reported.answer, answered.answer} == {None, unit.findings.get().answers.get()}
    assert unit.oil_arrangements.get().lubricant.code == "sae-40"
    assert packed(archive_of(new))  # and it can be taken along again


def test_workshops_pages_are_the_same(
    client: Client, lived: Unit, workshop: Organisation, manager: Person, fitter: Person,
    second_owner: Person, design: Design,
) -> None:  # fmt: skip
    hidden = make_unit(second_owner, design, serial="0999")
    before = pages_of(client, fitter, lived)
    held = packed(archive_of_workshop(workshop, manager))
    assert second_owner.name.encode() not in held
    emptied()
    brought(held)
    new = Person.objects.get(email=fitter.email)
    assert pages_of(client, new, Unit.objects.get(serial="0417")) == before
    assert Unit.objects.get(serial=hidden.serial).owner is None
    assert Membership.objects.count() == 2
    # whoever is only known by name has an account that nobody can open, and gets no mail
    assert Person.objects.get(name="Orla Penhallow").email.endswith(".invalid")


def test_a_workshops_bulletins_go_along_with_who_read_and_did_them(
    client: Client, lived: Unit, workshop: Organisation, manager: Person, fitter: Person,
    owner: Person, second_owner: Person, design: Design,
) -> None:  # fmt: skip
    hidden = make_unit(second_owner, design, serial="0999")
    said = {"text": "Two have come loose.", "asks": "Nip them", "before_it_runs": True}
    sent = write_bulletin(organisation=workshop, by=fitter, title="Cover bolts", **said)
    send_bulletin(bulletin=sent, by=fitter)
    sent.units.create(unit=hidden)  # whose owner lets the workshop see nothing any more
    mark_read(bulletin=sent, by=owner)
    mark_done(unit=lived, work=WorkKind.BULLETIN, date=DAY, by=owner)
    oil = Lubricant.objects.get(code="sae-30")
    write_bulletin(organisation=workshop, by=fitter, title="Draft", text="Look.", lubricant=oil)
    client.force_login(fitter)
    before = words_of(client, reverse("plans:bulletin", args=[sent.pk]))
    held = packed(archive_of_workshop(workshop, manager))
    assert b"Cover bolts" not in zipfile.ZipFile(io.BytesIO(packed(archive_of(owner)))).read(
        "bulletin.csv"
    )

    emptied()
    brought(held)

    came = Bulletin.objects.get(title="Cover bolts")
    (row,) = came.units.all()
    assert row.read_at is not None
    assert row.work_done == row.unit.work_done.get(work=WorkKind.BULLETIN)
    client.force_login(Person.objects.get(email=fitter.email))
    assert words_of(client, reverse("plans:bulletin", args=[came.pk])) == before
    draft = Bulletin.objects.get(title="Draft")
    assert (draft.sent_at, draft.lubricant.code) == (None, "sae-30")
    assert not Mail.objects.exists()


def test_what_is_not_empty_is_left_alone(lived: Unit, owner: Person) -> None:
    held = packed(archive_of(owner))
    with pytest.raises(Refused, match="empty service"):
        brought(held)
    assert Unit.objects.count() == 1


def changed(held: bytes, name: str, change: Callable[[bytes], bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(held)) as old, zipfile.ZipFile(out, "w") as new:
        for info in old.infolist():
            content = old.read(info)
            new.writestr(info.filename, change(content) if info.filename == name else content)
    return out.getvalue()


def with_cell(column: str, value: str) -> Callable[[bytes], bytes]:
    def change(content: bytes) -> bytes:
        lines = list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))
        lines[-1][column] = value
        out = io.StringIO()
        writer = csv.DictWriter(out, list(lines[0]))
        writer.writeheader()
        writer.writerows(lines)
        return out.getvalue().encode()

    return change


@pytest.mark.parametrize(
    ("name", "change", "said"),
    [
        ("build.csv", with_cell("notes", "Better than it was"), "changed since it was signed"),
        ("buildmeasurement.csv", with_cell("value", "nan"), "value"),
        ("reading.csv", with_cell("shown", "-4"), "shown"),
        ("reading.csv", with_cell("odometer", "99999"), "not there"),
        ("unit.csv", with_cell("id", "seven"), "key"),
        ("finding.csv", with_cell("state", "burnt"), "state"),
        ("unit.csv", lambda content: content[:-20], "Nothing was taken in|contradict|broken"),
        ("archive.json", lambda _content: b'{"format": 1}', "no archive of this service"),
    ],
)
def test_archive_that_was_changed_leaves_nothing(
    name: str, change: Callable[[bytes], bytes], said: str, lived: Unit, owner: Person
) -> None:
    held = changed(packed(archive_of(owner)), name, change)
    emptied()
    with pytest.raises(Refused, match=said):
        brought(held)
    assert not Unit.objects.exists()
    assert not Person.objects.exists()
    assert not Position.objects.exclude(design__workshop=None).exists()


def test_photo_of_a_signed_sheet_must_be_the_one_that_was_signed(
    lived: Unit, owner: Person
) -> None:
    held = packed(archive_of(owner))
    with zipfile.ZipFile(io.BytesIO(held)) as archive:
        name = next(one for one in archive.namelist() if one.startswith("photos/buildphoto"))
    emptied()
    with pytest.raises(Refused, match="not the photo that was signed"):
        brought(changed(held, name, lambda _content: jpeg(30, 30).read()))
    with pytest.raises(Refused, match="no photo"):
        brought(changed(held, name, lambda _content: b"<svg/>"))


def zipped(*files: tuple[str, bytes]) -> io.BytesIO:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files:
            archive.writestr(name, content)
    out.seek(0)
    return out


@pytest.mark.parametrize(
    "file",
    [
        io.BytesIO(b"no archive at all"),
        zipped(("../../etc/cron.d/x", b"x")),
        zipped(("photos/../../x.jpg", b"x")),
        zipped(("photos/unit-1.jpg", b"x")),
        zipped(("unit.csv", b"0" * 30_000_000)),  # it bursts when unpacked
        zipped(("archive.json", b'{"format": 2}')),
    ],
    ids=["no zip", "way out", "way out by a photo", "no picture", "bomb", "no person"],
)
def test_what_is_no_archive_is_not_unpacked(file: io.BytesIO) -> None:
    with pytest.raises(Refused):
        OpenedArchive(file)


@pytest.mark.parametrize("name", ["unit.csv", "archive.json"])
@pytest.mark.parametrize("how", ["damaged", "unknown packing"])
def test_archive_that_came_broken_is_refused(
    how: str, name: str, lived: Unit, owner: Person
) -> None:
    held = bytearray(packed(archive_of(owner)))
    emptied()
    with zipfile.ZipFile(io.BytesIO(held)) as archive:
        info = archive.getinfo(name)
    if how == "damaged":
        begin = info.header_offset + 30 + len(name)
        held[begin : begin + 12] = b"\xff" * 12
    else:  # in the list at the end: another way of packing than there is
        place = held.rindex(name.encode()) - 46
        held[place + 10 : place + 12] = (77).to_bytes(2, "little")
    with pytest.raises(Refused):
        brought(bytes(held))
    assert not Unit.objects.exists()


def test_command_says_what_came_or_why_not(
    lived: Unit, owner: Person, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "all.zip"
    path.write_bytes(packed(archive_of(owner)))
    with pytest.raises(CommandError, match="empty service"):
        call_command("bring_in", str(path))
    emptied()
    call_command("bring_in", str(path))
    said = capsys.readouterr().out
    assert "4 photos" in said  # the corrected sheet has its own
    assert owner.email in said
