"""Photos that a workshop shows with its answer."""

import re

import pytest
from django.urls import reverse

from advisory.common.errors import NotAllowed, Refused
from advisory.findings.actions import answer_finding, keep_photos
from advisory.findings.models import Answer, FindingPhoto, WaitingPhoto
from tests.findings.pictures import encoded, jpeg, picture, upload, with_metadata

pytestmark = pytest.mark.django_db


def of_answers(finding):
    return FindingPhoto.objects.filter(finding=finding).exclude(answer=None)


def fetched(client, url: str) -> int:
    answer = client.get(url)
    if answer.streaming:
        b"".join(answer.streaming_content)
    return answer.status_code


def page_of(finding) -> str:
    return reverse("findings:finding", args=[finding.pk])


def test_an_answer_shows_its_photos_on_the_page_and_on_paper(
    finding, fitter, as_fitter, as_owner
) -> None:
    said = {"text": "It is this edge.", "client_key": "k", "photos": [jpeg()]}
    for _twice in range(2):
        assert as_fitter.post(page_of(finding), said | {"photos": [jpeg()]}).status_code == 302

    photo = of_answers(finding).get()
    url = reverse("findings:photo", args=[photo.pk])
    for name in ("finding", "print"):
        assert url in as_owner.get(reverse(f"findings:{name}", args=[finding.pk])).text
    assert fetched(as_owner, url) == 200
    assert Answer.objects.count() == 1


def test_what_the_telephone_told_of_itself_is_taken_out(finding, fitter) -> None:
    answer_finding(
        finding=finding, by=fitter, text="So.", photos=[upload(with_metadata(4000, 3000))]
    )
    kept = of_answers(finding).get()
    with kept.file.open("rb") as file:
        data = file.read()
    assert max(kept.width, kept.height) == 1600
    assert b"Telephone" not in data
    assert b"secret" not in data


@pytest.mark.parametrize(
    "data", [b"<svg/>", b"PK\x03\x04", encoded(picture()) + b"%PDF-1.4\n%%EOF"],
    ids=["svg", "archive", "two in one"],
)  # fmt: skip
def test_what_is_no_photo_alone_is_refused_and_nothing_is_said(finding, fitter, data) -> None:
    with pytest.raises(Refused) as refused:
        answer_finding(finding=finding, by=fitter, text="So.", photos=[upload(data)])
    assert refused.value.field == "photos"
    assert not Answer.objects.exists()


def test_no_file_is_left_where_the_answer_is_refused(finding, fitter, settings) -> None:
    type(finding).objects.filter(pk=finding.pk).update(state="closed")
    before = sorted(settings.MEDIA_ROOT.rglob("*.jpg"))
    with pytest.raises(Refused, match="closed"):
        answer_finding(finding=finding, by=fitter, text="So.", photos=[jpeg()])
    assert sorted(settings.MEDIA_ROOT.rglob("*.jpg")) == before


def test_a_form_that_was_not_accepted_keeps_its_photos(finding, as_fitter) -> None:
    bad = as_fitter.post(page_of(finding), {"text": "", "client_key": "k", "photos": [jpeg()]})
    assert bad.status_code == 422
    waiting = WaitingPhoto.objects.get()
    assert re.search(rf'name="waiting"[^>]*value="{waiting.pk}"', bad.text)
    assert fetched(as_fitter, reverse("findings:waiting_photo", args=[waiting.pk])) == 200

    as_fitter.post(page_of(finding), {"text": "So.", "client_key": "k", "waiting": [waiting.pk]})

    assert of_answers(finding).count() == 1


@pytest.mark.parametrize("who", ["stranger", "other_fitter", "officer", "second_owner"])
def test_nobody_else_adds_a_photo_or_sees_one(finding, fitter, client, request, who) -> None:
    answer_finding(finding=finding, by=fitter, text="So.", photos=[jpeg()])
    person = request.getfixturevalue(who)
    client.force_login(person)
    url = reverse("findings:photo", args=[of_answers(finding).get().pk])
    assert fetched(client, url) == 404
    with pytest.raises(NotAllowed):
        answer_finding(finding=finding, by=person, text="So.", photos=[jpeg()])
    with pytest.raises(NotAllowed):
        keep_photos(unit=finding.unit, by=person, client_key="k", photos=[jpeg()], answered=finding)
