"""The API keeps to its own description, whatever is sent to it.

Each operation is asked, by an owner and by a workshop's manager, with what it says it takes and
with what it says it does not. Half of what is sent names rows that are there, so that more than the
first check is passed. EXAMPLES=20 in the environment asks more of it.
"""

import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from drf_spectacular.generators import SchemaGenerator
from hypothesis import HealthCheck, Phase, given, settings
from rest_framework.authtoken.models import Token
from rest_framework.test import APIClient
from schemathesis import Case, GenerationMode
from schemathesis.checks import (
    content_type_conformance,
    not_a_server_error,
    response_schema_conformance,
    status_code_conformance,
)

from advisory.config.wsgi import application
from advisory.people.models import Person
from advisory.register.models import Position, Unit
from tests.api.rows import ADD

pytestmark = [pytest.mark.one_database, pytest.mark.django_db]

Calling = Callable[[Person | None], APIClient]

EXAMPLES = int(os.environ.get("EXAMPLES", "2"))
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,  # of an error: a problem object
    response_schema_conformance,
]
#: Fields of a body that name rows, and the list in which those stand.
NAMED = {
    "car": "cars",
    "design": "designs",
    "lubricant": "lubricants",
    "organisation": "organisations",
    "position": "positions",
    "unit": "units",
    "workshop": "organisations",
}


@pytest.fixture(scope="module")
def description() -> Any:
    """The description as anybody gets it."""
    said = SchemaGenerator().get_schema(request=None, public=True)
    described = schemathesis.openapi.from_dict(said)
    described.app = application
    return described


@pytest.fixture
def keys(calling: Calling, whole_unit: Unit, owner: Person, manager: Person) -> dict[str, Any]:
    """The keys of rows that the callers see, by the list that they stand in."""
    for number, add in enumerate(ADD.values(), start=1):
        add(whole_unit, number)
    found = {
        name: [
            row["id"]
            for person in (owner, manager)
            for row in calling(person).get(f"/api/v1/{name}/").json()["results"]
        ]
        for name in ADD
    }
    places = Position.objects.filter(design=whole_unit.design_id)
    return found | {"positions": list(places.values_list("pk", flat=True))}


@pytest.fixture
def connection_kept(keys: dict[str, Any]) -> Iterator[None]:
    """Keep the test's database connection over whole requests, as Django's test client does."""
    signals = (request_started, request_finished)
    for signal in signals:
        signal.disconnect(close_old_connections)
    yield
    for signal in signals:
        signal.connect(close_old_connections)


def name_real_rows(case: Case, keys: dict[str, Any]) -> None:
    """Put keys of rows that are there into every second case, in the place of made-up ones."""
    chosen = len(str(case.body)) + len(str(case.path_parameters))
    if chosen % 2:
        return
    rows = keys.get(case.operation.path.split("/")[3])
    if rows and "id" in case.path_parameters:
        case.path_parameters["id"] = str(rows[chosen % len(rows)])
    if isinstance(case.body, dict):
        for field, name in NAMED.items():
            if isinstance(case.body.get(field), int) and keys[name]:
                case.body[field] = keys[name][chosen % len(keys[name])]


@pytest.mark.parametrize(
    ("who", "mode"),
    [
        ("owner", GenerationMode.POSITIVE),
        ("manager", GenerationMode.POSITIVE),
        ("owner", GenerationMode.NEGATIVE),
    ],
)
def test_every_operation_keeps_to_the_description(
    who: str,
    mode: GenerationMode,
    description: Any,
    keys: dict[str, Any],
    connection_kept: None,
    request: pytest.FixtureRequest,
    subtests: pytest.Subtests,
) -> None:
    token = Token.objects.get(user=request.getfixturevalue(who)).key
    for found in description.get_all_operations():
        operation = found.ok()

        @settings(
            max_examples=EXAMPLES,
            deadline=None,
            derandomize=True,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy(generation_mode=mode))
        def ask(case: Case) -> None:
            name_real_rows(case, keys)
            case.call_and_validate(headers={"Authorization": f"Bearer {token}"}, checks=CHECKS)

        with subtests.test(operation.label):
            ask()
