"""Photos and pages: who gets them, and who finds nothing."""

from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse

from advisory.findings.models import Finding
from tests.findings.conftest import new_url

pytestmark = pytest.mark.django_db


def photo_url(finding: Finding) -> str:
    return reverse("findings:photo", args=[finding.photos.get().pk])


@pytest.mark.parametrize("who", ["owner", "fitter", "manager"])
def test_a_photo_is_given_to_who_sees_its_finding(finding, request, who) -> None:
    client = Client()
    client.force_login(request.getfixturevalue(who))

    response = client.get(photo_url(finding))

    assert b"".join(response).startswith(b"\xff\xd8\xff")
    assert response["Content-Type"] == "image/jpeg"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Content-Disposition"].startswith("inline; filename=")
    assert response["Cache-Control"] == "private, no-cache"


def test_a_kept_copy_of_a_photo_is_asked_about_each_time(as_fitter, finding, consent) -> None:
    url = photo_url(finding)
    first = as_fitter.get(url)
    assert b"".join(first)
    etag = first["ETag"]
    assert as_fitter.get(url, headers={"If-None-Match": etag}).status_code == 304

    consent.withdrawn_at = datetime.now(UTC)
    consent.save()

    assert as_fitter.get(url, headers={"If-None-Match": etag}).status_code == 404


def test_a_photo_whose_file_is_gone_is_not_found(as_owner, finding) -> None:
    finding.photos.get().file.storage.delete(finding.photos.get().file.name)

    assert as_owner.get(photo_url(finding)).status_code == 404


OUTSIDERS = ["stranger", "other_fitter", "officer", "club_member", "second_owner"]


def everything_of(finding: Finding) -> list[str]:
    return [
        new_url(finding.unit),
        reverse("findings:finding", args=[finding.pk]),
        photo_url(finding),
    ]


@pytest.mark.parametrize("who", OUTSIDERS)
def test_an_outsider_finds_nothing(finding, request, who, club_consent) -> None:
    client = Client()
    client.force_login(request.getfixturevalue(who))

    for url in everything_of(finding):
        assert client.get(url).status_code == 404
        if "photos" not in url:
            assert client.post(url, {"text": "So?"}).status_code == 404
    assert client.post(reverse("findings:send", args=[finding.pk])).status_code == 404
    for route in ("inbox", "own"):
        assert finding.text not in client.get(reverse(f"findings:{route}"), follow=True).text


def test_a_former_owner_finds_nothing(as_owner, finding, second_owner) -> None:
    finding.unit.owner = second_owner
    finding.unit.save()

    for url in everything_of(finding):
        assert as_owner.get(url).status_code == 404
    assert finding.text not in as_owner.get(reverse("findings:own")).text


def test_the_workshop_finds_nothing_after_the_consent_is_withdrawn(
    as_fitter, finding, consent
) -> None:
    consent.withdrawn_at = datetime.now(UTC)
    consent.save()

    for url in everything_of(finding):
        assert as_fitter.get(url).status_code == 404
    assert finding.text not in as_fitter.get(reverse("findings:inbox")).text


def test_nobody_signed_in_is_led_to_sign_in(client, finding) -> None:
    for url in [*everything_of(finding), reverse("findings:inbox"), reverse("findings:own")]:
        response = client.get(url)
        assert response.status_code == 302
        assert response.url.startswith(reverse("account_login"))
