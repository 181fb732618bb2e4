"""The pages around a build sheet: without scripts, by places, photos, corrections, practice."""

from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse

from advisory.people.models import Organisation, Person
from advisory.register.actions import correct_build, sign_build, start_build, write_entry
from advisory.register.models import Build
from advisory.register.sheet import key_of
from tests.findings.pictures import jpeg, upload
from tests.register.bench_sheet import FRONT, TODAY, start_bench_sheet


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2024-06-10T12:00:00Z", tick=False):
        yield


@pytest.fixture
def sheet(workshop: Organisation, fitter: Person) -> Build:
    return start_bench_sheet(workshop, fitter)


@pytest.fixture
def as_fitter(client: Client, fitter: Person) -> Client:
    client.force_login(fitter)
    return client


def url(name: str, *args: object) -> str:
    return reverse(f"register:{name}", args=args)


def key(build: Build, where: str, name: str) -> str:
    return key_of(build.unit.design.positions.get(name=where).pk, name)


def signed(build: Build, by: Person) -> Build:
    position = build.unit.design.positions.get(name="Front bearing")
    for name, text in FRONT.items():
        write_entry(build=build, by=by, position=position, name=name, text=text)
    return sign_build(build=build, by=by, confirm=True)


def test_page_without_scripts_asks_and_keeps_what_was_typed(
    as_fitter: Client, sheet: Build
) -> None:
    page, washer = url("build", sheet.pk), key(sheet, "Thrust washer", "end_float")
    journal, bore = (key(sheet, "Front bearing", name) for name in ("journal_1a", "bore_1a"))
    typed = {f"t-{washer}": "0.1", f"t-{journal}": "1.5", f"t-{bore}": "1.4985"}
    asked = as_fitter.post(page, typed)
    assert asked.status_code == 422
    said = asked.content.decode()
    assert "Did you mean 0.1 mm?" in said
    assert "The bore is smaller than its journal." in said
    for value in typed.values():
        assert f'value="{value}"' in said
    assert not sheet.entries.exists()
    typed[f"t-{bore}"] = "1.5015"
    as_fitter.post(page, {**typed, "mean": f"{washer}|0.1 mm"})
    assert sheet.measurements.get(quantity="end_float").as_typed == "0.1 mm"
    as_fitter.post(page, {f"t-{washer}": "0.1", "right": washer})
    assert sheet.measurements.get(quantity="end_float").as_typed == "0.1 thou"


def test_page_without_scripts_shows_both_figures_of_a_clash(
    as_fitter: Client, sheet: Build, manager: Person
) -> None:
    page, washer = url("build", sheet.pk), key(sheet, "Thrust washer", "end_float")
    position = sheet.unit.design.positions.get(name="Thrust washer")
    write_entry(build=sheet, by=manager, position=position, name="end_float", text="4 thou")
    stale = {f"t-{washer}": "5", f"seen-{washer}": "0", f"was-{washer}": ""}
    said = as_fitter.post(page, stale).content.decode()
    assert "Maud Tregear wrote “4 thou” here meanwhile." in said
    assert 'value="5"' in said
    # what this page never touched is no clash
    as_fitter.post(page, {**stale, f"t-{washer}": ""})
    assert sheet.measurements.get().as_typed == "4 thou"
    as_fitter.post(page, {**stale, "theirs": washer})
    assert sheet.measurements.get().as_typed == "4 thou"
    as_fitter.post(page, {**stale, "over": washer})
    assert sheet.measurements.get().as_typed == "5 thou"


def test_one_place_is_kept_and_answered_with_what_follows(
    as_fitter: Client, sheet: Build, fitter: Person
) -> None:
    put = url("build_entry", sheet.pk)
    journal, bore = (key(sheet, "Front bearing", name) for name in ("journal_1a", "bore_1a"))
    as_fitter.post(put, {"place": journal, "text": "1.5", "seen": "0"})
    said = as_fitter.post(put, {"place": bore, "text": "1.5015", "seen": "0"}).content.decode()
    assert "1.5 thou" in said
    assert "within the limits" in said
    assert f'id="seen-{bore}"' in said
    said = as_fitter.post(put, {"place": bore, "text": "wide", "seen": "1"}).content.decode()
    assert "no quantity" in said
    assert sheet.entries.get(name="bore_1a").text == "wide"
    assert as_fitter.post(put, {"place": "p1-nothing", "text": "1"}).status_code == 404
    signed_by_now = start_build(unit=signed(sheet_of_another(sheet, fitter), fitter).unit,
                                by=fitter, built_on=TODAY)  # fmt: skip
    sign = signed(signed_by_now, fitter)
    late = as_fitter.post(url("build_entry", sign.pk), {"place": "h-notes", "text": "late"})
    assert late.status_code == 409
    assert "signed meanwhile" in late.content.decode()


def sheet_of_another(sheet: Build, by: Person) -> Build:
    unit = sheet.unit
    unit.pk, unit.serial = None, "B-2"
    unit.save()
    return start_build(unit=unit, by=by, built_on=TODAY)


def test_others_writing_is_told_and_one_own_is_not(
    as_fitter: Client, sheet: Build, fitter: Person, manager: Person
) -> None:
    ask = url("build_others", sheet.pk)
    write_entry(build=sheet, by=fitter, name="notes", text="mine")
    assert as_fitter.get(ask).status_code == 204
    write_entry(build=sheet, by=manager, name="outside_off", text="0.1")
    said = as_fitter.get(ask, {"since": "2024-06-10T11:59:00+00:00"}).content.decode()
    assert "Maud Tregear wrote this." in said
    assert 'id="others"' in said
    assert as_fitter.get(ask, {"since": "2024-06-10T13:00:00+00:00"}).status_code == 204
    for odd in ("", "soon", "2024-99-99T00:00:00Z", "2024-06-10"):
        assert as_fitter.get(ask, {"since": odd}).status_code == 200


def test_signed_sheet_is_read_corrected_and_its_old_revision_stays(
    as_fitter: Client, sheet: Build, fitter: Person, owner: Person
) -> None:
    build = signed(sheet, fitter)
    page = as_fitter.get(url("build", build.pk)).content.decode()
    assert build.digest in page
    assert "the digest made anew is the same" in page
    assert as_fitter.post(url("build_correct", build.pk), {"reason": ""}).status_code == 422
    given = {"reason": "Read in the wrong line"}
    response = as_fitter.post(url("build_correct", build.pk), given)
    made = Build.objects.get(corrects=build)
    assert response.headers["Location"] == url("build", made.pk)
    again = as_fitter.post(url("build_correct", build.pk), given)
    assert "being written already" in again.content.decode()
    bore = key(made, "Front bearing", "bore_1a")
    as_fitter.post(url("build_entry", made.pk), {"place": bore, "text": "+1.7", "seen": "1"})
    page = as_fitter.get(url("build_sign", made.pk)).content.decode()
    assert "Read in the wrong line" in page
    as_fitter.post(url("build_sign", made.pk))
    page = as_fitter.get(url("build", made.pk)).content.decode()
    assert "+1.5 thou" in page
    assert "+1.7 thou" in page
    old = as_fitter.get(url("build", build.pk)).content.decode()
    assert "A newer revision stands above this sheet" in old
    as_fitter.force_login(owner)
    assert as_fitter.get(url("build_correct", build.pk)).status_code == 404


def test_manager_wants_a_second_pair_of_eyes(
    client: Client, sheet: Build, fitter: Person, manager: Person, workshop: Organisation
) -> None:
    page, sign = url("practice", workshop.pk), url("build_sign", sheet.pk)
    write_entry(build=sheet, by=fitter, name="notes", text="x")
    position = sheet.unit.design.positions.get(name="Thrust washer")
    write_entry(build=sheet, by=fitter, position=position, name="end_float", text="4 thou")
    client.force_login(fitter)
    assert "Your manager decides that." in client.get(page).content.decode()
    assert client.post(page, {"second_look": "on"}).status_code == 404
    client.force_login(manager)
    client.post(page, {"second_look": "on"})
    client.post(sign, {"look": "1"})
    assert client.post(sign).status_code == 422
    client.force_login(fitter)
    client.post(sign)
    sheet.refresh_from_db()
    assert (sheet.signed_by, sheet.checked_by) == (fitter, manager)
    assert "Looked through by Maud Tregear" in client.get(url("build", sheet.pk)).content.decode()


def test_photos_go_on_the_sheet_and_are_signed_with_it(
    as_fitter: Client, sheet: Build, fitter: Person, stranger: Person, tmp_path: Path,
    settings: Any,
) -> None:  # fmt: skip
    settings.MEDIA_ROOT = tmp_path
    page = url("build_photos", sheet.pk)
    assert "Choose a photo first." in as_fitter.post(page, {}).content.decode()
    bad = as_fitter.post(page, {"photos": upload(b"no photo", "x.jpg")})
    assert "is no photo that can be read here" in bad.content.decode()
    position = sheet.unit.design.positions.get(name="Rear cover")
    given = {"photos": [jpeg(640, 480), jpeg(320, 240)], "position": position.pk,
             "words": "Where it was repaired"}  # fmt: skip
    as_fitter.post(page, given)
    first, second = sheet.photos.all()
    assert (first.width, first.words, len(first.digest)) == (640, "Where it was repaired", 64)
    assert "Where it was repaired" in as_fitter.get(url("build", sheet.pk)).content.decode()
    picture = as_fitter.get(url("build_photo", first.pk))
    assert picture.headers["Content-Type"] == "image/jpeg"
    assert picture.getvalue().startswith(b"\xff\xd8")  # as every JPEG begins
    kept = as_fitter.get(url("build_photo", first.pk), headers={"If-None-Match": picture["ETag"]})
    assert kept.status_code == 304
    build = signed(sheet, fitter)
    made = correct_build(build=build, by=fitter, reason="The second photo is of another unit")
    shared = made.photos.get(digest=second.digest)
    as_fitter.post(url("build_photos", made.pk), {"remove": shared.pk})
    assert made.photos.count() == 1
    # the signed sheet still shows it
    assert default_storage.exists(second.file.name)
    as_fitter.post(url("build_photos", build.pk), {"remove": first.pk})
    assert build.photos.count() == 2
    as_fitter.force_login(stranger)
    for address in (url("build_photo", first.pk), url("build_photos", made.pk)):
        assert as_fitter.get(address).status_code == 404
