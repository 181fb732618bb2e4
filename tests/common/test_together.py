"""Rows of several tables in one statement: each is what it is by itself."""

from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.db.models import F, QuerySet
from django.db.models.functions import Now
from django.test.utils import CaptureQueriesContext

from advisory.common.models import AuditEntry
from advisory.common.together import fetch_together
from advisory.lubrication.models import Lubricant, OilArrangement
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import BuildMeasurement, Car, Fitting, Odometer, Position, Unit
from advisory.usage.models import HourReading, LayUp

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(whole_unit: Unit, car: Car, odometer: Odometer) -> list[QuerySet[Any]]:
    LayUp.objects.create(car=car, from_date=date(2023, 11, 1))
    HourReading.objects.create(unit=whole_unit, date=date(2024, 1, 1), shown=0.1 + 0.2, anew=True)
    tables = (
        Car, Fitting, Odometer, LayUp, HourReading, OilArrangement, Lubricant, Position,
        BuildMeasurement,
    )  # fmt: skip
    return [table.objects.all() for table in tables]


def plain(rows: list[Any]) -> list[dict[str, Any]]:
    fields = [field.attname for field in rows[0]._meta.concrete_fields]
    return [{name: getattr(row, name) for name in fields} for row in rows]


def test_rows_fetched_together_are_those_of_their_own_queries(
    asked: list[QuerySet[Any]],
) -> None:
    with CaptureQueriesContext(connection) as queries:
        found = fetch_together(*asked)
    assert len(queries) == 1
    assert [plain(rows) for rows in found] == [plain(list(rows.order_by("pk"))) for rows in asked]


def test_types_are_kept_to_the_last_bit(asked: list[QuerySet[Any]]) -> None:
    rows = next(rows for rows in fetch_together(*asked) if isinstance(rows[0], HourReading))
    assert (rows[0].shown, rows[0].anew, rows[0].date) == (0.1 + 0.2, True, date(2024, 1, 1))
    assert rows[0].created_at.tzinfo is not None


def test_what_was_annotated_is_left_out(asked: list[QuerySet[Any]]) -> None:
    annotated = [rows.annotate(twice=F("pk") * 2, day=Now()) for rows in asked]
    assert [plain(rows) for rows in fetch_together(*annotated)] == [
        plain(rows) for rows in fetch_together(*asked)
    ]


def test_many_are_fetched_each_by_itself(asked: list[QuerySet[Any]]) -> None:
    with CaptureQueriesContext(connection) as queries:
        found = fetch_together(*asked, few=False)
    assert len(queries) == len(asked)
    assert [plain(rows) for rows in found] == [plain(rows) for rows in fetch_together(*asked)]


@pytest.mark.parametrize("reader", ["stranger", "owner"])
def test_each_arm_is_as_narrow_as_by_itself(
    request: pytest.FixtureRequest, asked: list[QuerySet[Any]], owner: Person, reader: str
) -> None:
    person = request.getfixturevalue(reader)
    narrow = [
        rules.scope(person, Permission.VIEW_USE, table.objects.all())
        for table in (Car, LayUp, HourReading)
    ]
    counts = [len(rows) for rows in fetch_together(*narrow)]
    assert counts == ([0, 0, 0] if reader == "stranger" else [1, 1, 1])


def test_column_of_an_unknown_kind_is_refused(asked: list[QuerySet[Any]]) -> None:
    with pytest.raises(TypeError, match="fetched together"):
        fetch_together(AuditEntry.objects.all())
