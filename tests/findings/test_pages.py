"""The pages: what each side sees and does, and what nobody else sees."""

from datetime import UTC, date, datetime

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from advisory.findings.actions import answer_finding, report_finding
from advisory.findings.enums import FindingState
from advisory.findings.models import Answer, Finding, FindingPhoto
from advisory.people.models import Person
from advisory.register.models import Unit
from tests.findings.pictures import jpeg, upload

pytestmark = pytest.mark.django_db

SEEN_ON = date(2024, 5, 1)


@pytest.fixture(autouse=True)
def _photos_go_elsewhere(settings, tmp_path) -> None:
    settings.MEDIA_ROOT = tmp_path / "photos"


@pytest.fixture
def as_owner(client: Client, owner: Person) -> Client:
    client.force_login(owner)
    return client


@pytest.fixture
def as_fitter(fitter: Person) -> Client:
    client = Client()
    client.force_login(fitter)
    return client


@pytest.fixture
def finding(whole_unit: Unit, owner: Person) -> Finding:
    washer = whole_unit.design.positions.get(name="Floating thrust washer")
    return report_finding(
        unit=whole_unit,
        by=owner,
        text="It ticks at idle, bright flakes in the strainer.",
        seen_on=SEEN_ON,
        position=washer,
        value=0.4318e-3,
        as_typed="17 thou",
        photos=[jpeg()],
    )


def filled(unit: Unit, **fields: object) -> dict[str, object]:
    washer = unit.design.positions.get(name="Floating thrust washer")
    return {
        "position": washer.pk,
        "text": "It ticks at idle.",
        "seen_on": "2024-05-01",
        "measurement": "17",
        "measurement_unit": "thou",
        "shown": "41,900",
        "client_key": "k1",
    } | fields


def new_url(unit: Unit) -> str:
    return reverse("findings:new", args=[unit.pk])


# Reporting ----------------------------------------------------------------------------------------


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
    assert "Choose your photos again" in response.text
    assert not Finding.objects.exists()


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


# Reading and answering ----------------------------------------------------------------------------


def test_the_workshop_sees_the_figure_beside_the_build_record(as_fitter, finding) -> None:
    page = as_fitter.get(reverse("findings:finding", args=[finding.pk])).text

    assert "It ticks at idle, bright flakes" in page
    assert "17 thou" in page  # as measured
    assert "5 thou" in page  # as built
    assert "9.8 thou" in page  # the limit, 0.25 mm
    assert "Stop. Leave the unit standing" in page
    assert "Your turn" in page
    assert reverse("findings:photo", args=[finding.photos.get().pk]) in page


def test_each_side_reads_in_its_own_units(as_fitter, fitter, finding) -> None:
    fitter.small_length_unit = "mm"
    fitter.save()

    page = as_fitter.get(reverse("findings:finding", args=[finding.pk])).text

    assert "0.432 mm" in page
    assert "0.127 mm" in page
    assert "typed as 17 thou" in page


def test_opening_it_marks_it_seen_for_the_owner(as_owner, as_fitter, finding) -> None:
    url = reverse("findings:finding", args=[finding.pk])
    assert "have not opened it yet" in as_owner.get(url).text
    finding.refresh_from_db()
    assert finding.state == FindingState.SENT

    as_fitter.head(url)
    finding.refresh_from_db()
    assert finding.state == FindingState.SENT
    as_fitter.get(url)

    finding.refresh_from_db()
    assert finding.state == FindingState.SEEN
    assert "opened it on" in as_owner.get(url).text


def test_the_workshop_answers_and_the_owner_reads_it(as_owner, as_fitter, finding) -> None:
    url = reverse("findings:finding", args=[finding.pk])

    response = as_fitter.post(url, {"text": "Leave it. <b>Ring us</b>.", "client_key": "k"})

    assert response.status_code == 302
    page = as_owner.get(url).text
    assert "Leave it. &lt;b&gt;Ring us&lt;/b&gt;." in page
    assert "It is your turn" in page
    assert "Felix Addle" in page
    assert "An answer from afar" in page


def test_an_empty_answer_is_refused_with_what_to_do(as_fitter, finding) -> None:
    response = as_fitter.post(reverse("findings:finding", args=[finding.pk]), {"client_key": "k"})

    assert response.status_code == 422
    assert "Write the answer" in response.text
    assert not Answer.objects.exists()


def test_the_owner_cannot_answer(as_owner, finding) -> None:
    url = reverse("findings:finding", args=[finding.pk])

    assert as_owner.post(url, {"text": "So?", "client_key": "k"}).status_code == 404
    assert 'name="text"' not in as_owner.get(url).text


# Lists --------------------------------------------------------------------------------------------


def many(unit: Unit, owner: Person, count: int) -> list[Finding]:
    return [
        report_finding(
            unit=unit, by=owner, text=f"Finding {number}", seen_on=SEEN_ON, photos=[jpeg()]
        )
        for number in range(count)
    ]


def test_the_inbox_shows_new_ones_first_then_the_newest(
    as_fitter, fitter, whole_unit, owner
) -> None:
    first, second, third = many(whole_unit, owner, 3)
    answer_finding(finding=third, text="Fine.", by=fitter)

    page = as_fitter.get(reverse("findings:inbox")).text

    order = [page.index(finding.text) for finding in (second, first, third)]
    assert order == sorted(order)
    assert owner.name in page


def test_the_inbox_is_narrowed_by_state(as_fitter, fitter, whole_unit, owner) -> None:
    first, second = many(whole_unit, owner, 2)
    answer_finding(finding=second, text="Fine.", by=fitter)

    page = as_fitter.get(reverse("findings:inbox"), {"state": "answered"}).text

    assert second.text in page
    assert first.text not in page


def test_a_state_that_does_not_exist_shows_all(as_fitter, finding) -> None:
    response = as_fitter.get(reverse("findings:inbox"), {"state": "' OR 1=1", "page": "x"})

    assert response.status_code == 200
    assert "It ticks at idle" in response.text


def test_what_was_kept_is_not_in_the_inbox(as_fitter, unit, owner, request) -> None:
    report_finding(unit=unit, by=owner, text="For myself alone.", seen_on=SEEN_ON)
    request.getfixturevalue("consent")

    assert "For myself alone." not in as_fitter.get(reverse("findings:inbox")).text


def test_an_owner_is_led_from_the_inbox_to_their_own(as_owner, finding) -> None:
    page = as_owner.get(reverse("findings:inbox"), follow=True)

    assert page.redirect_chain == [(reverse("findings:own"), 302)]
    assert "It ticks at idle" in page.text


@pytest.mark.parametrize(("who", "route"), [("fitter", "inbox"), ("owner", "own")])
def test_a_list_takes_the_same_queries_with_one_row_and_with_three(
    whole_unit, owner, request, who, route
) -> None:
    client = Client()
    client.force_login(request.getfixturevalue(who))
    url = reverse(f"findings:{route}")

    def queries() -> int:
        with CaptureQueriesContext(connection) as caught:
            assert client.get(url).status_code == 200
        return len(caught)

    many(whole_unit, owner, 1)
    queries()
    one = queries()
    many(whole_unit, owner, 2)

    assert queries() == one


def test_a_finding_takes_the_same_queries_with_one_photo_and_answer_and_with_three(
    as_owner, whole_unit, owner, fitter
) -> None:
    def queries(count: int) -> int:
        row = report_finding(
            unit=whole_unit, by=owner, text=f"{count}", seen_on=SEEN_ON, photos=[jpeg()] * count
        )
        for number in range(count):
            answer_finding(finding=row, text=f"Answer {number}", by=fitter)
        with CaptureQueriesContext(connection) as caught:
            as_owner.get(reverse("findings:finding", args=[row.pk]))
        return len(caught)

    queries(1)
    assert queries(1) == queries(3)


def test_the_inbox_is_cut_into_pages(as_fitter, whole_unit, owner) -> None:
    for number in range(21):
        Finding.objects.create(
            unit=whole_unit,
            text=f"Number {number:02}",
            seen_on=SEEN_ON,
            state=FindingState.SENT,
            sent_at=datetime(2024, 5, 1, number, tzinfo=UTC),
            reported_by=owner,
        )

    assert "Number 00" not in as_fitter.get(reverse("findings:inbox")).text
    assert "Number 00" in as_fitter.get(reverse("findings:inbox"), {"page": 2}).text


# Photos -------------------------------------------------------------------------------------------


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


# Nobody else --------------------------------------------------------------------------------------

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
