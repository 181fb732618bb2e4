"""Every list of the API: pages, a constant number of queries, and nothing for strangers."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from advisory.people.models import Organisation, Person
from advisory.register.models import Unit
from api.v1.urls import router
from tests.api.rows import ADD, SHARED
from tests.cast import make_car, make_unit

Calling = Callable[[Person | None], APIClient]


def test_every_list_is_tested() -> None:
    assert {prefix for prefix, _view, _name in router.registry} == set(ADD)


@pytest.mark.parametrize("name", sorted(ADD))
def test_list_takes_the_same_number_of_queries(
    name: str, calling: Calling, whole_unit: Unit, owner: Person
) -> None:
    client = calling(owner)
    ADD[name](whole_unit, 1)
    client.get(f"/api/v1/{name}/")
    with CaptureQueriesContext(
        connection,
    ) as one:
        before = client.get(f"/api/v1/{name}/").json()["count"]
    ADD[name](whole_unit, 2)
    ADD[name](whole_unit, 3)
    with CaptureQueriesContext(connection) as three:
        after = client.get(f"/api/v1/{name}/").json()["count"]
    assert after == before + 2
    assert len(three) == len(one), [query["sql"][:200] for query in three]


@pytest.mark.parametrize("name", sorted(ADD))
def test_list_shows_a_stranger_nothing_of_others(
    name: str, calling: Calling, whole_unit: Unit, stranger: Person, other_fitter: Person
) -> None:
    assert isinstance(whole_unit.workshop, Organisation)
    ADD[name](whole_unit, 1)
    for person in (stranger, other_fitter):
        answer = calling(person).get(f"/api/v1/{name}/").json()
        if name in SHARED:
            rows = answer["results"]
            assert not any(row.get("name", "").startswith("Can ") for row in rows)
            assert whole_unit.design_id not in {row["id"] for row in rows if "positions" in row}
        elif name == "organisations":
            assert whole_unit.workshop_id not in {row["id"] for row in answer["results"]}
        else:
            assert answer["count"] == 0


@pytest.mark.parametrize("name", sorted(ADD))
def test_list_asks_who_calls(name: str, calling: Calling) -> None:
    answer = calling(None).get(f"/api/v1/{name}/")
    assert answer.status_code == 401
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json()["status"] == 401


def test_list_comes_in_pages(calling: Calling, whole_unit: Unit, owner: Person) -> None:
    for number in range(3):
        make_unit(owner, whole_unit.design, serial=f"N{number}", car=make_car(owner))
    answer = calling(owner).get("/api/v1/units/?page_size=2").json()
    assert answer["count"] == 4
    assert len(answer["results"]) == 2
    assert answer["next"].endswith("page=2&page_size=2")


def test_list_is_filtered(calling: Calling, whole_unit: Unit, owner: Person) -> None:
    make_unit(owner, whole_unit.design, serial="N1")
    answer = calling(owner).get("/api/v1/units/?serial=N1").json()
    assert [row["serial"] for row in answer["results"]] == ["N1"]
