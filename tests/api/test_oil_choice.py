"""The choice of oil over the API, and the history of advice."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from advisory.lubrication.actions import add_lubricant
from advisory.lubrication.choice.judging import choose_for
from advisory.lubrication.enums import OilFamily
from advisory.lubrication.models import OilAdvice
from advisory.people.models import Person
from advisory.register.models import Unit

Calling = Callable[[Person | None], APIClient]


def test_choice_is_what_the_page_shows(
    calling: Calling, whole_unit: Unit, owner: Person, fitter: Person
) -> None:
    whole_unit.design.lubricant_code = "sae-40"
    whole_unit.design.save()
    answer = calling(owner).get(f"/api/v1/units/{whole_unit.pk}/oil-choice/").json()
    chosen = choose_for(whole_unit, owner)
    assert answer["windows"] == chosen.result["windows"]
    assert answer["oils"] == chosen.result["oils"]
    assert (answer["prescribed"], answer["in_use"]) == ("sae-40", None)
    assert (answer["method"], answer["method_version"]) == ("oil-choice", "1")
    assert answer["left_out"] == [{"name": "Floating thrust washer", "missing": ["load"]}]
    assert calling(fitter).get(f"/api/v1/units/{whole_unit.pk}/oil-choice/").status_code == 200


@pytest.mark.parametrize("who", ["stranger", "other_fitter", "officer"])
def test_others_find_nothing(
    calling: Calling, whole_unit: Unit, who: str, request: pytest.FixtureRequest
) -> None:
    client = calling(request.getfixturevalue(who))
    assert client.get(f"/api/v1/units/{whole_unit.pk}/oil-choice/").status_code == 404
    assert calling(None).get(f"/api/v1/units/{whole_unit.pk}/oil-choice/").status_code == 401


def test_choice_takes_the_same_number_of_queries_for_one_can_and_three(
    calling: Calling, whole_unit: Unit, owner: Person
) -> None:
    client, counts = calling(owner), []
    for number in range(3):
        add_lubricant(
            by=owner, name=f"Can {number}", family=OilFamily.ENGINE,
            kinematic_viscosity_40=100e-6, kinematic_viscosity_100=11e-6,
        )  # fmt: skip
        client.get(f"/api/v1/units/{whole_unit.pk}/oil-choice/")
        with CaptureQueriesContext(connection) as queries:
            client.get(f"/api/v1/units/{whole_unit.pk}/oil-choice/")
        counts.append(len(queries))
    assert len(set(counts)) == 1


def test_history_of_advice_is_filtered(calling: Calling, whole_unit: Unit, owner: Person) -> None:
    figures = {"unit": whole_unit, "inputs": {}, "result": {}, "digest": "0"}
    for method, version, day in (
        ("oil-change", "1", 1), ("oil-change", "2", 5), ("oil-choice", "1", 9),
    ):  # fmt: skip
        OilAdvice.objects.create(
            method=method,
            method_version=version,
            computed_at=datetime(2024, 5, day, tzinfo=UTC),
            moved_by=[{"name": "method", "before": "0", "after": version}],
            **figures,
        )
    list_url, client = "/api/v1/oil-advice/", calling(owner)

    def found(**asked: str) -> list[tuple[str, str]]:
        rows = client.get(list_url, asked).json()["results"]
        return [(row["method"], row["method_version"]) for row in rows]

    assert len(found()) == 3
    assert found(method="oil-change") == [("oil-change", "2"), ("oil-change", "1")]
    assert found(method_version="2") == [("oil-change", "2")]
    assert found(computed_at__gte="2024-05-04", computed_at__lt="2024-05-08") == [
        ("oil-change", "2")
    ]
    row = client.get(list_url, {"method": "oil-choice"}).json()["results"][0]
    assert row["moved_by"] == [{"name": "method", "before": "0", "after": "1"}]


def test_what_the_owner_alone_was_told_is_the_owners(
    calling: Calling, whole_unit: Unit, owner: Person, fitter: Person
) -> None:
    OilAdvice.objects.create(
        unit=whole_unit, method="oil-choice", method_version="1", inputs={}, result={},
        digest="0", owner_alone=True,
    )  # fmt: skip
    assert calling(owner).get("/api/v1/oil-advice/").json()["count"] == 1
    assert calling(fitter).get("/api/v1/oil-advice/").json()["count"] == 0
