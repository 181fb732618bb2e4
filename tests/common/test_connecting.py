"""What a connection is told when it begins."""

import pytest
from django.db import connection

from tests.databases import on_postgresql


@on_postgresql
@pytest.mark.django_db
def test_statements_are_not_compiled() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SHOW jit")
        assert cursor.fetchone() == ("off",)
