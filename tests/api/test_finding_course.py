"""The exchange on a finding through the API, from both sides."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from advisory.findings.actions import answer_finding, report_finding, set_answering_aim
from advisory.findings.models import Finding
from tests.findings.conftest import SEEN_ON, _photos_go_elsewhere, finding
from tests.findings.pictures import jpeg

__all__ = ["_photos_go_elsewhere", "finding"]

pytestmark = pytest.mark.django_db


def client_of(person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def test_the_whole_course(whole_unit, owner, fitter, stranger) -> None:
    finding = report_finding(unit=whole_unit, by=owner, text="It ticks.", seen_on=SEEN_ON)
    bearing = whole_unit.design.positions.get(name="Front bearing")
    url = f"/api/v1/findings/{finding.pk}/"
    bench, garage, outside = map(client_of, (fitter, owner, stranger))

    def post(client, name, **said):
        return client.post(f"{url}{name}/", said, content_type="application/json")

    way = {"text": "New", "part": "made", "price": "380.50", "currency": "GBP", "days": 5}
    asked = post(
        bench, "answers", text="How wide?", measure={"position": bearing.pk, "how": "cold"}
    ).json()
    assert (asked["kind"], asked["asked"]["value"]) == ("question", None)
    assert garage.get(url).json()["whose_turn"] == "owner"

    value = {"asked": asked["asked"]["id"], "value": "0.2 mm", "measured_on": SEEN_ON.isoformat()}
    assert post(outside, "measured", **value).status_code == 404
    assert post(bench, "measured", **value).status_code == 404
    assert post(garage, "measured", **value).status_code == 201
    assert post(garage, "words", text="It is warm.").status_code == 201
    assert post(garage, "words").status_code == 422

    assert post(bench, "answers", text="So.", ways=[way | {"price": None}]).status_code == 400
    offered = post(bench, "answers", text="So.", instruction="stop", ways=[way]).json()["ways"][0]
    assert post(bench, "pick", way=offered["id"]).status_code == 404
    assert post(garage, "pick", way=offered["id"]).json()["kind"] == "picked"
    shown = bench.get(url).json()
    assert shown["state"] == "agreed"
    assert shown["agreed"] == offered["id"]
    assert shown["urgency"]["level"] == "now"
    assert shown["answers"][0]["asked"]["judgement"] == "stop"

    closing = {"cause": "wear", "found": "Worn."}
    assert post(garage, "close", **closing).status_code == 404
    assert post(bench, "close", **closing).status_code == 409
    closed = post(bench, "close", **closing, confirm=True).json()
    assert (closed["state"], closed["cause"], closed["whose_turn"]) == ("closed", "wear", "nobody")
    assert Finding.objects.get().closed_by == fitter


def test_the_aim_is_the_workshops_own(workshop, manager, fitter, officer) -> None:
    url = f"/api/v1/workshops/{workshop.pk}/answering/"
    said = {"days": 3}
    assert client_of(fitter).put(url, said, content_type="application/json").status_code == 404
    assert client_of(manager).put(url, said, content_type="application/json").json() == said
    assert client_of(fitter).get(url).json() == said
    assert client_of(officer).get(url).status_code == 404


def found(client, **asked) -> list[int]:
    rows = client.get("/api/v1/findings/", asked).json()["results"]
    return [row["id"] for row in rows]


def test_findings_are_narrowed_by_whose_turn_it_is(whole_unit, owner, fitter) -> None:
    sent = report_finding(unit=whole_unit, by=owner, text="It ticks.", seen_on=SEEN_ON)
    asked = report_finding(unit=whole_unit, by=owner, text="It weeps.", seen_on=SEEN_ON)
    answer_finding(finding=asked, by=fitter, text="Where?", asks=True)
    bench = client_of(fitter)
    assert found(bench, whose_turn="workshop") == [sent.pk]
    assert found(bench, whose_turn="owner") == [asked.pk]
    assert found(bench, whose_turn="nobody") == []
    assert bench.get("/api/v1/findings/?whose_turn=mine").status_code == 400


def test_late_is_what_waits_longer_than_the_callers_workshop_means(
    whole_unit, owner, fitter, manager, workshop, stranger
) -> None:
    old, new = (
        report_finding(unit=whole_unit, by=owner, text="It ticks.", seen_on=SEEN_ON)
        for _ in range(2)
    )
    Finding.objects.filter(pk=old.pk).update(sent_at=timezone.now() - timedelta(days=4))
    bench = client_of(fitter)
    assert found(bench, late="true") == []  # there is no aim

    set_answering_aim(workshop=workshop, by=manager, days=3)

    assert found(bench, late="true") == [old.pk]
    assert found(bench, late="false") == [new.pk]
    assert found(client_of(owner), late="true") == []  # the aim is the workshop's own
    assert found(client_of(stranger), late="true") == found(client_of(stranger)) == []
    answer_finding(finding=old, by=fitter, text="Leave it standing.")
    assert found(bench, late="true") == []


def test_photos_of_an_answer_come_as_files_and_are_its_own(finding, fitter, owner, stranger):
    url = f"/api/v1/findings/{finding.pk}/"
    said = {"text": "It is this edge.", "asks": "true", "client_key": "k"}
    for _twice in range(2):
        made = client_of(fitter).post(f"{url}answers/", said | {"photos": [jpeg(4000, 3000)]})

    assert made.status_code == 201
    (photo,) = made.json()["photos"]
    assert (photo["width"], photo["height"]) == (1600, 1200)
    assert finding.answers.get().kind == "question"
    shown = client_of(owner).get(url).json()
    assert [row["id"] for row in shown["answers"][0]["photos"]] == [photo["id"]]
    for person, status in ((owner, 200), (stranger, 404)):
        given = client_of(person).get(photo["url"])
        if given.streaming:
            b"".join(given.streaming_content)
        assert given.status_code == status
