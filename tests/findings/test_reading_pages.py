"""A finding and the lists of them: what each side sees and does."""

from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from advisory.findings.actions import answer_finding, report_finding
from advisory.findings.enums import FindingState
from advisory.findings.models import Answer, Finding
from advisory.people.models import Person
from advisory.register.models import Unit
from tests.findings.conftest import SEEN_ON
from tests.findings.pictures import jpeg

pytestmark = pytest.mark.django_db


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
    assert 'name="instruction"' not in as_owner.get(url).text


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
