"""The exchange on a finding through the API, from both sides."""

import pytest
from django.test import Client

from advisory.findings.actions import report_finding
from advisory.findings.models import Finding
from tests.findings.conftest import SEEN_ON

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
