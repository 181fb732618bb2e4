"""What a connection is told when it begins."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from django.db import DataError, connection

from tests.databases import on_postgresql

pytestmark = [on_postgresql, pytest.mark.django_db]


def test_statements_are_not_compiled() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SHOW jit")
        assert cursor.fetchone() == ("off",)


@pytest.mark.parametrize(
    "moment",
    [
        datetime(2026, 5, 4, 2, 10, tzinfo=UTC),
        datetime(2026, 5, 4, 2, 10, 0, 500_000, tzinfo=UTC),
        datetime(2026, 5, 4, 2, 10, 0, 123_456, tzinfo=UTC),
        datetime(1, 1, 1, tzinfo=UTC),
        datetime.max.replace(tzinfo=UTC),
        datetime(2026, 7, 1, 3, 0, tzinfo=timezone(timedelta(hours=5, minutes=45))),
    ],
)
def test_a_moment_comes_back_as_it_went(moment: datetime) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT %s::timestamptz, NULL::timestamptz", [moment])
        found, nothing = cursor.fetchone()
    assert (found, found.utcoffset(), nothing) == (moment, timedelta(0), None)
    assert found.tzinfo is UTC


def test_what_is_no_moment_of_a_calendar_is_said_so() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 'infinity'::timestamptz")
        with pytest.raises((DataError, ValueError)):
            cursor.fetchone()
