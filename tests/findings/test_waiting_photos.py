"""Photos of a form that was not accepted: nobody has to choose them again."""

import re
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils import timezone

from advisory.common.errors import NotAllowed, Refused
from advisory.findings.actions import drop_waiting_photos, keep_photos, report_finding
from advisory.findings.models import Finding, WaitingPhoto
from tests.cast import make_unit
from tests.findings.conftest import SEEN_ON, filled, new_url
from tests.findings.pictures import jpeg, upload

pytestmark = pytest.mark.django_db


def stored() -> list[str]:
    return default_storage.listdir("findings")[1]


def keys() -> list[int]:
    return list(WaitingPhoto.objects.values_list("pk", flat=True))


def test_photos_go_with_the_form_once_it_is_put_right(as_owner, whole_unit) -> None:
    first = filled(whole_unit, text="", photos=[jpeg(60, 40), jpeg(30, 20)], photo_taken=jpeg())
    page = as_owner.post(new_url(whole_unit), first).text
    assert "Photos that are here already" in page
    assert page.count('name="waiting"') == page.count("photo-small") == 3

    again = filled(whole_unit, waiting=keys(), photos=[jpeg(20, 20)])
    sent = as_owner.post(new_url(whole_unit), again)

    finding = Finding.objects.get()
    assert sent.url == reverse("findings:finding", args=[finding.pk])
    assert [photo.width for photo in finding.photos.all()][1:] == [60, 30, 20]


def test_double_tap_with_kept_photos_makes_one_finding(as_owner, whole_unit) -> None:
    as_owner.post(new_url(whole_unit), filled(whole_unit, text="", photos=[jpeg()]))
    again = filled(whole_unit, waiting=keys())

    assert (
        as_owner.post(new_url(whole_unit), again).url
        == as_owner.post(new_url(whole_unit), again).url
    )
    assert Finding.objects.get().photos.count() == 1


def test_unticked_photo_is_left_out_and_stays_unticked(as_owner, whole_unit) -> None:
    as_owner.post(new_url(whole_unit), filled(whole_unit, text="", photos=[jpeg(), jpeg(30, 20)]))
    page = as_owner.post(new_url(whole_unit), filled(whole_unit, text="", waiting=keys()[:1])).text
    assert len(re.findall(r'<input[^>]*name="waiting"[^>]*checked', page)) == 1

    as_owner.post(new_url(whole_unit), filled(whole_unit, waiting=keys()[:1]))

    assert Finding.objects.get().photos.count() == 1


def test_bad_photo_takes_none_of_the_good_ones_with_it(as_owner, whole_unit) -> None:
    note = upload(b"Dear workshop", "note.jpg")
    page = as_owner.post(new_url(whole_unit), filled(whole_unit, photos=[jpeg(), note])).text

    assert "no photo that can be read" in page
    assert WaitingPhoto.objects.count() == 1
    assert not Finding.objects.exists()


def test_of_seven_photos_six_are_kept(as_owner, whole_unit) -> None:
    page = as_owner.post(
        new_url(whole_unit), filled(whole_unit, photos=[jpeg() for _ in range(7)])
    ).text

    assert "at most 6 photos; these are 7" in page
    assert WaitingPhoto.objects.count() == len(stored()) == 6


def test_kept_photo_is_seen_by_whoever_writes_and_nobody_else(
    as_owner, as_fitter, whole_unit
) -> None:
    as_owner.post(new_url(whole_unit), filled(whole_unit, text="", photos=[jpeg()]))
    path = reverse("findings:waiting_photo", args=keys())

    answer = as_owner.get(path)
    assert answer["Content-Type"] == "image/jpeg"
    assert b"".join(answer.streaming_content).startswith(b"\xff\xd8")
    assert as_fitter.get(path).status_code == 404


def test_kept_photo_of_another_form_or_unit_is_not_taken(
    as_owner, whole_unit, owner, second_owner, design
) -> None:
    (mine,) = keep_photos(unit=whole_unit, by=owner, client_key="k2", photos=[jpeg()]).kept
    answer = as_owner.post(new_url(whole_unit), filled(whole_unit, waiting=[mine.pk]))
    assert answer.status_code == 422
    assert "Choose it again" in answer.text

    said = {"text": "It ticks.", "seen_on": SEEN_ON, "waiting": [mine]}
    with pytest.raises(Refused):
        report_finding(unit=make_unit(owner, design, serial="2"), by=owner, **said)
    with pytest.raises(NotAllowed):
        report_finding(unit=make_unit(second_owner, design, serial="3"), by=second_owner, **said)
    assert not Finding.objects.exists()


def test_kept_photo_is_gone_after_a_day(
    whole_unit, owner, django_capture_on_commit_callbacks
) -> None:
    for key in ("old", "new"):
        keep_photos(unit=whole_unit, by=owner, client_key=key, photos=[jpeg()])
    old = WaitingPhoto.objects.get(client_key="old")
    WaitingPhoto.objects.filter(pk=old.pk).update(created_at=timezone.now() - timedelta(hours=25))

    with django_capture_on_commit_callbacks(execute=True):
        assert drop_waiting_photos() == 1

    assert stored() == [Path(WaitingPhoto.objects.get().file.name).name]
