"""The form on which an owner reports: what it takes, asks and keeps."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from advisory.findings.enums import FindingState
from advisory.findings.models import Finding, FindingPhoto, WaitingPhoto
from tests.findings.conftest import SEEN_ON, filled, new_url
from tests.findings.pictures import jpeg, upload

pytestmark = pytest.mark.django_db


def test_the_form_offers_the_units_own_places_and_the_owners_unit(as_owner, whole_unit) -> None:
    page = as_owner.get(new_url(whole_unit)).text

    for position in whole_unit.design.positions.all():
        assert position.name in page
    assert '<option value="thou" selected>' in page
    assert "Engine stopped, ignition off" in page
    assert "Sallow Lane Bearings" in page
    assert 'capture="environment"' in page


def test_a_finding_is_reported_with_figure_and_photos(as_owner, whole_unit, owner) -> None:
    response = as_owner.post(
        new_url(whole_unit), filled(whole_unit, photos=[jpeg(), jpeg(30, 20)], photo_taken=jpeg())
    )

    finding = Finding.objects.get()
    assert response.status_code == 302
    assert response.url == reverse("findings:finding", args=[finding.pk])
    assert finding.value == pytest.approx(0.4318e-3)
    assert finding.as_typed == "17 thou"
    assert (finding.shown, finding.seen_on) == (41_900, SEEN_ON)
    assert finding.photos.count() == 3
    assert finding.state == FindingState.SENT


@pytest.mark.parametrize(
    ("typed", "chosen", "metres", "kept"),
    [
        ("0.43", "mm", 0.43e-3, "0.43 mm"),
        ("0,43", "mm", 0.43e-3, "0,43 mm"),
        ("0.43 mm", "thou", 0.43e-3, "0.43 mm"),
        ("17 thou", "mm", 0.4318e-3, "17 thou"),
    ],
)
def test_the_figure_is_read_in_its_own_unit(
    as_owner, whole_unit, typed, chosen, metres, kept
) -> None:
    as_owner.post(
        new_url(whole_unit), filled(whole_unit, measurement=typed, measurement_unit=chosen)
    )

    finding = Finding.objects.get()
    assert finding.value == pytest.approx(metres)
    assert finding.as_typed == kept


def test_a_double_tap_makes_one_finding(as_owner, whole_unit) -> None:
    first = as_owner.post(new_url(whole_unit), filled(whole_unit))
    second = as_owner.post(new_url(whole_unit), filled(whole_unit))

    assert Finding.objects.count() == 1
    assert first.url == second.url


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"text": ""}, "Write what you saw"),
        ({"seen_on": "tomorrow"}, "year-month-day"),
        ({"seen_on": "2999-01-01"}, "not come yet"),
        ({"measurement": "much"}, "“much”"),
        ({"measurement": "-3"}, "zero or more"),
        ({"position": ""}, "Choose the position"),
        ({"shown": "many"}, "is not a number"),
        ({"photos": [upload(b"Dear workshop", "cover.jpg")]}, "no photo that can be read"),
        ({"photos": [jpeg()] * 7}, "at most 6 photos"),
    ],
)
def test_bad_input_says_what_to_do_and_keeps_all_that_was_typed(
    as_owner, whole_unit, fields, words
) -> None:
    data = filled(whole_unit, **{"text": "A tick & a groan"} | fields)

    response = as_owner.post(new_url(whole_unit), data)

    page = response.text
    assert response.status_code == 422
    assert words in page
    assert not Finding.objects.exists()
    assert not FindingPhoto.objects.exists()
    for name in ("text", "measurement", "shown"):
        typed = str(data[name]).replace("&", "&amp;")
        assert typed in page
    assert 'value="k1"' in page


def test_a_photo_of_thirty_megabytes_is_refused_and_the_rest_is_kept(as_owner, whole_unit) -> None:
    large = SimpleUploadedFile("cover.jpg", b"\xff\xd8" + bytes(30 * 1024 * 1024))

    response = as_owner.post(new_url(whole_unit), filled(whole_unit, photos=[large]))

    assert response.status_code == 422
    assert "has 30 MB; a photo may have 20 MB" in response.text
    assert "It ticks at idle." in response.text
    assert not Finding.objects.exists()
    assert not WaitingPhoto.objects.exists()


def test_a_figure_nobody_believes_is_asked_about_and_taken_with_a_tick(
    as_owner, whole_unit
) -> None:
    data = filled(whole_unit, measurement="17", measurement_unit="mm")
    asked = as_owner.post(new_url(whole_unit), data)
    assert asked.status_code == 422
    assert "17 mm is very much here" in asked.text
    assert 'name="confirm"' in asked.text

    as_owner.post(new_url(whole_unit), data | {"confirm": "on"})

    assert Finding.objects.get().value == pytest.approx(0.017)


def test_without_consent_the_owner_is_told_that_it_goes_to_nobody(as_owner, unit) -> None:
    page = as_owner.get(new_url(unit)).text
    assert "This goes to nobody yet" in page
    assert reverse("people:consents") in page

    told = as_owner.post(new_url(unit), filled(unit), follow=True).text

    assert Finding.objects.get().state == FindingState.KEPT
    assert "It went to nobody" in told
    assert "01632 960 114" in told


def test_what_was_kept_is_sent_with_one_tap_after_consent(as_owner, unit, owner, request) -> None:
    as_owner.post(new_url(unit), filled(unit))
    finding = Finding.objects.get()
    refused = as_owner.post(reverse("findings:send", args=[finding.pk]), follow=True)
    assert "Give your consent first" in refused.text
    request.getfixturevalue("consent")
    assert "Send it now" in as_owner.get(reverse("findings:finding", args=[finding.pk])).text

    as_owner.post(reverse("findings:send", args=[finding.pk]))

    finding.refresh_from_db()
    assert finding.state == FindingState.SENT
