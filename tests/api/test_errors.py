"""Errors of the API are problem objects that say what to do; nothing is half-saved."""

import json
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from rest_framework.test import APIClient

from advisory.findings.models import Finding
from advisory.people.models import Person
from advisory.register.models import Car, Unit
from advisory.usage.models import Reading

Calling = Callable[[Person | None], APIClient]


def problem_of(answer: Any, status: int) -> dict[str, Any]:
    """Check that an answer is a problem object (RFC 9457) and return it."""
    assert answer.status_code == status, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    problem: dict[str, Any] = answer.json()
    assert {"type", "title", "status", "detail", "errors"} <= set(problem)
    assert problem["status"] == status
    return problem


def test_unknown_row_and_somebody_elses_row_read_the_same(
    calling: Calling, whole_unit: Unit, stranger: Person
) -> None:
    client = calling(stranger)
    theirs = problem_of(client.get(f"/api/v1/units/{whole_unit.pk}/"), 404)
    assert theirs == problem_of(client.get("/api/v1/units/999999/"), 404)


@pytest.mark.parametrize("key", ["0", "abc", "-1", "9" * 40])
def test_key_that_is_none_is_not_found(calling: Calling, owner: Person, key: str) -> None:
    assert calling(owner).get(f"/api/v1/units/{key}/").status_code == 404


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"shown": "many"}, "shown"),
        ({"shown": -1}, "shown"),
        ({"shown": 10**12}, "shown"),
        ({"date": "31.2.2024"}, "date"),
        ({"date": str(timezone.localdate() + timedelta(9))}, "date"),
        ({"car": 999999}, "car"),
    ],
)
def test_bad_reading_names_the_field_and_saves_nothing(
    calling: Calling, whole_unit: Unit, car: Car, owner: Person, said: Any, field: str
) -> None:
    good = {"car": car.pk, "date": "2024-05-01", "shown": 42_000}
    answer = calling(owner).post("/api/v1/readings/", good | said, format="json")
    problem = problem_of(answer, answer.status_code)
    assert 400 <= answer.status_code < 500
    assert field in {error["field"] for error in problem["errors"]}
    assert not Reading.objects.exists()


def test_reading_that_nobody_believes_is_asked_about(
    calling: Calling, whole_unit: Unit, car: Car, owner: Person
) -> None:
    client = calling(owner)
    said = {"car": car.pk, "date": "2024-05-01", "shown": 45_210}
    assert client.post("/api/v1/readings/", said, format="json").status_code == 201
    said |= {"date": "2024-05-02", "shown": 45_120}
    problem_of(client.post("/api/v1/readings/", said, format="json"), 409)
    assert Reading.objects.count() == 1
    said["confirm"] = True
    assert client.post("/api/v1/readings/", said, format="json").status_code == 201


def test_bare_number_for_a_quantity_names_field_and_dimension(
    calling: Calling, whole_unit: Unit, owner: Person
) -> None:
    said = {"unit": whole_unit.pk, "from_date": "2024-05-01", "sump_volume": 3}
    answer = calling(owner).post("/api/v1/oil-arrangements/", said, format="json")
    (error,) = problem_of(answer, 400)["errors"]
    assert error["field"] == "sump_volume"
    assert "volume" in error["message"]


def test_broken_json_is_a_problem(calling: Calling, owner: Person) -> None:
    answer = calling(owner).post(
        "/api/v1/readings/", b'{"shown": ', content_type="application/json"
    )
    problem_of(answer, 400)


def test_list_where_an_object_belongs_is_a_problem(
    calling: Calling, whole_unit: Unit, owner: Person
) -> None:
    client = calling(owner)
    problem_of(client.post("/api/v1/readings/", [1, 2], format="json"), 400)
    problem_of(client.patch(f"/api/v1/units/{whole_unit.pk}/", [1], format="json"), 400)


def test_text_named_jpg_is_refused_and_no_finding_kept(
    calling: Calling, whole_unit: Unit, owner: Person
) -> None:
    photo = SimpleUploadedFile("pipe.jpg", b"this is no photo", content_type="image/jpeg")
    answer = calling(owner).post(
        "/api/v1/findings/",
        {"unit": whole_unit.pk, "seen_on": "2024-05-01", "text": "Weep", "photos": [photo]},
        format="multipart",
    )
    problem = problem_of(answer, 422)
    assert "photos" in {error["field"] for error in problem["errors"]}
    assert not Finding.objects.exists()


def test_unknown_route_of_the_api_is_a_problem(calling: Calling, owner: Person) -> None:
    problem_of(calling(owner).get("/api/v1/nothing-here/"), 404)


def test_wrong_method_is_a_problem(calling: Calling, whole_unit: Unit, owner: Person) -> None:
    problem_of(calling(owner).delete(f"/api/v1/units/{whole_unit.pk}/"), 405)


def test_odometer_that_is_half_described_names_what_is_missing(
    calling: Calling, whole_unit: Unit, car: Car, owner: Person
) -> None:
    said = {"car": car.pk, "fitted_on": None}
    problem = problem_of(calling(owner).post("/api/v1/odometers/", said, format="json"), 400)
    assert {error["field"] for error in problem["errors"]} == {"unit", "digits", "fitted_on"}
    assert car.odometers.count() == 1


def test_design_of_nobody_is_not_written(
    calling: Calling, whole_unit: Unit, manager: Person
) -> None:
    said = {"workshop": None, "kind": "engine", "name": "Two-stroke", "positions": []}
    problem = problem_of(calling(manager).post("/api/v1/designs/", said, format="json"), 400)
    assert "workshop" in {error["field"] for error in problem["errors"]}


def test_finding_asks_about_figure_and_reading_apart(
    calling: Calling, whole_unit: Unit, car: Car, owner: Person
) -> None:
    client = calling(owner)
    before = {"car": car.pk, "date": "2024-05-01", "shown": 45_210}
    assert client.post("/api/v1/readings/", before, format="json").status_code == 201
    place = whole_unit.design.positions.get(name="Floating thrust washer")
    said = {
        "unit": whole_unit.pk,
        "position": place.pk,
        "seen_on": "2024-05-02",
        "text": "It ticks.",
        "measured": "17 mm",
        "shown": 45_120,
    }
    for field, answer in (("measurement", "confirm"), ("shown", "confirm_shown")):
        problem = problem_of(client.post("/api/v1/findings/", said, format="json"), 409)
        assert [error["field"] for error in problem["errors"]] == [field]
        assert not Finding.objects.exists()
        said[answer] = True
    assert client.post("/api/v1/findings/", said, format="json").status_code == 201
    assert Reading.objects.get(shown=45_120).confirmed


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("consents", {"organisation": 1, "scope": "\\ud800"}),
        ("oil-arrangements", {"unit": 1, "from_date": "2024-05-01", "sump_volume": "\\ud800 l"}),
        ("calculations/viscosity", {"lubricant": "sae-40", "temperature": "\\ud800"}),
        ("calculations/viscosity", {"\\ud800": 1}),
        ("designs", {"kind": "\\ud800"}),
    ],
)
def test_half_a_character_is_told_of_and_not_choked_on(
    calling: Calling, whole_unit: Unit, owner: Person, path: str, said: dict[str, Any]
) -> None:
    body = json.dumps(said).replace("\\\\ud800", "\\ud800")
    assert "\\ud800" in body
    assert "\\\\ud800" not in body
    answer = calling(owner).post(f"/api/v1/{path}/", body, content_type="application/json")
    assert problem_of(answer, 400)["errors"]


def test_lay_up_over_which_it_was_driven_is_refused_at_its_day(
    calling: Calling, owner: Person, car: Car
) -> None:
    client = calling(owner)
    for day, shown in (("2024-03-01", 41_000), ("2024-06-01", 42_000)):
        said = {"car": car.pk, "date": day, "shown": shown}
        assert client.post("/api/v1/readings/", said, format="json").status_code == 201
    said = {"car": car.pk, "from_date": "2020-01-01"}
    problem = problem_of(client.post("/api/v1/lay-ups/", said, format="json"), 422)
    assert "41,000 on 1 March 2024 and 42,000 on 1 June 2024" in str(problem["errors"])
    said |= {"until_date": "2024-03-01"}
    assert client.post("/api/v1/lay-ups/", said, format="json").status_code == 201
