"""A whole sheet over the API: place by place, a clash, signed, put right."""

from typing import Any

import pytest
import time_machine
from rest_framework.test import APIClient

from advisory.people.models import Organisation, Person
from advisory.register.models import Build
from tests.register.bench_sheet import FRONT, start_bench_sheet


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2024-06-10T12:00:00Z", tick=False):
        yield


@pytest.fixture
def sheet(workshop: Organisation, fitter: Person) -> Build:
    return start_bench_sheet(workshop, fitter)


def ask(person: Person, build: Build, what: str, **said: object) -> Any:
    client = APIClient()
    client.force_authenticate(person)
    return client.post(f"/api/v1/builds/{build.pk}/{what}/", said, format="json")


def test_sheet_is_written_signed_and_put_right(
    sheet: Build, fitter: Person, manager: Person, owner: Person
) -> None:
    front = sheet.unit.design.positions.get(name="Front bearing").pk
    for name, text in FRONT.items():
        answer = ask(fitter, sheet, "entries", position=front, name=name, text=text)
        assert answer.status_code == 200
    assert {row["quantity"]: row["reckoned"] for row in answer.json()["measurements"]} == {
        "running_clearance": True, "undersize": True,
    }  # fmt: skip
    stale = ask(manager, sheet, "entries", position=front, name="bore_1a", text="+2", seen=0)
    assert stale.status_code == 422
    assert stale.json()["type"].endswith("written-by-other")
    slip = ask(fitter, sheet, "entries", position=front, name="bore_1a", text="38.1 thou")
    assert slip.status_code == 409
    assert "Did you mean 38.1 mm?" in slip.json()["detail"]
    assert ask(fitter, sheet, "entries", name="colour", text="red").status_code == 422
    assert ask(manager, sheet, "check").json()["checked_at"]
    signed = ask(fitter, sheet, "sign", confirm=True).json()
    assert len(signed["digest"]) == 64
    late = ask(fitter, sheet, "entries", position=front, name="bore_1a", text="+2")
    assert late.status_code == 422
    assert late.json()["type"].endswith("signed")
    for what, said in (("entries", {"name": "notes", "text": "x"}), ("check", {}),
                       ("correct", {"reason": "x"})):  # fmt: skip
        assert ask(owner, sheet, what, **said).status_code == 404
    made = ask(fitter, sheet, "correct", reason="Read in the wrong line")
    assert made.status_code == 201
    assert (made.json()["corrects"], made.json()["revision"]) == (sheet.pk, 2)
    assert len(made.json()["entries"]) == len(FRONT)


def test_design_tells_the_api_all_that_its_page_tells(
    workshop: Organisation, fitter: Person
) -> None:
    client = APIClient()
    client.force_authenticate(fitter)
    position = {"kind": "journal_bearing", "name": "Front", "diameter": "40 mm",
                "limits_as": "classes", "bore_class": "H7", "journal_class": "f7",
                "planes": 2, "directions": 2}  # fmt: skip
    made = client.post(
        "/api/v1/designs/",
        {"workshop": workshop.pk, "kind": "engine", "name": "By classes", "oil_feed": "pressure",
         "positions": [position]},
        format="json",
    )  # fmt: skip
    assert made.status_code == 201, made.json()
    told = made.json()["positions"][0]
    # ISO 286-2 (read): at 40 mm H7 is 0/+25 um and f7 -25/-50
    assert told["as_built_least"]["value"] == pytest.approx(0.025)
    assert told["as_built_most"]["value"] == pytest.approx(0.075)
    assert made.json()["dismantling"] == []
