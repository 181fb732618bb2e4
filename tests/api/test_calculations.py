"""The calculators over the API: the same JSON as on the command line."""

import json
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from rest_framework.test import APIClient

from advisory.common.calculation import read_json, registry
from advisory.people.models import Person

Calling = Callable[[Person | None], APIClient]

CASES: dict[str, dict[str, Any]] = {
    "viscosity": {"lubricant": "sae-30", "temperature": ["40 degC", "100 degC"]},
    "dirt-balance": {
        "sump_volume": "5 litre",
        "ingress_rate": "10 mg/hour",
        "duration": "40 hour",
    },
    "oil-change": {
        "filtration": "bypass",
        "sump_volume": "3.2 litre",
        "mean_speed": "45 km/hour",
    },
    "journal-bearing": {
        "diameter": "2 inch",
        "length": "1.5 inch",
        "running_clearance": "2 thou",
        "speed": "3000 rpm",
        "load": "300 lbf",
        "lubricant": "sae-30",
        "cooling": "oil-flow",
        "supply_temperature": "60 degC",
    },
    "thrust-washer": {
        "inner_diameter": "30 mm",
        "outer_diameter": "50 mm",
        "load": "300 N",
        "speed": "3000 rpm",
    },
    "feed-pipe": {
        "bore": "6 mm",
        "length": "1 m",
        "pressure_difference": "1 bar",
        "lubricant": "sae-30",
        "temperature": "5 degC",
        "flattened_to": "3 mm",
    },
    "coolant": {"glycol": "propylene", "volume_fraction": 0.4, "lowest_temperature": "-15 degC"},
    "tolerance": {"size": "40 mm", "tolerance_class": "H7"},
    "press-fit": {
        "interface_diameter": "50 mm",
        "sleeve_outer_diameter": "80 mm",
        "length": "40 mm",
        "interference": "40 um",
        "sleeve_material": "steel",
        "shaft_material": "steel",
    },
    "wear": {
        "measurements": [
            {"distance": "0 km", "value": "0.05 mm"},
            {"distance": "12000 km", "value": "0.06 mm"},
        ],
        "limit": "0.1 mm",
    },
    "due-date": {
        "today": "2025-06-01",
        "cars": [
            {
                "id": "a",
                "limit": "42000 km",
                "readings": [{"date": "2025-05-01", "distance": "40000 km"}],
            }
        ],
    },
    "survival": {"lives": [{"duration": 5, "failed": True}, {"duration": 8, "failed": False}]},
}


def test_every_calculator_has_a_case_here() -> None:
    assert sorted(CASES) == registry.names()


@pytest.mark.parametrize("name", sorted(CASES))
def test_answers_as_the_command_does(
    name: str, calling: Calling, owner: Person, tmp_path: Path
) -> None:
    client = calling(owner)
    answer = client.post(f"/api/v1/calculations/{name}/", CASES[name], format="json")
    assert answer.status_code == 200, answer.content
    file = tmp_path / "case.json"
    file.write_text(json.dumps(CASES[name]))
    out = StringIO()
    call_command("calculate", name, str(file), stdout=out)
    assert answer.json() == read_json(out.getvalue().encode())


def test_lists_and_describes_all(calling: Calling, owner: Person) -> None:
    client = calling(owner)
    listed = client.get("/api/v1/calculations/").json()
    assert [entry["name"] for entry in listed] == registry.names()
    for name in registry.names():
        assert client.get(f"/api/v1/calculations/{name}/").json()["$defs"]["answer"]


def test_bad_input_is_a_problem_with_its_fields(calling: Calling, owner: Person) -> None:
    said = CASES["dirt-balance"] | {"duration": 40, "colour": "black"}
    answer = calling(owner).post("/api/v1/calculations/dirt-balance/", said, format="json")
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"
    assert {error["field"] for error in answer.json()["errors"]} == {"duration", "colour"}


def test_array_keeps_each_error_in_its_place(calling: Calling, owner: Person) -> None:
    good = CASES["dirt-balance"]
    answer = calling(owner).post(
        "/api/v1/calculations/dirt-balance/",
        [good, good | {"sump_volume": "-1 litre"}, good],
        format="json",
    )
    first, bad, last = answer.json()
    assert first == last
    assert first["concentration"]["value"] == pytest.approx(
        80.0
    )  # mass balance by hand: 400 mg/5 l
    assert bad["errors"][0]["field"] == "sump_volume"


@pytest.mark.parametrize("body", [b"", b"{", b"NaN", b'"text"', b"\xff\xfe"])
def test_body_that_is_no_json_is_a_problem(calling: Calling, owner: Person, body: bytes) -> None:
    answer = calling(owner).post(
        "/api/v1/calculations/viscosity/", body, content_type="application/json"
    )
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"


def test_asks_who_calls(calling: Calling) -> None:
    answer = calling(None).post("/api/v1/calculations/viscosity/", {}, format="json")
    assert answer.status_code == 401
