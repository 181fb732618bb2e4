"""What a connection to the database is told when it begins."""

from typing import Any

from django.db.backends.signals import connection_created


def listen() -> None:
    """Tell each connection from now on."""
    connection_created.connect(_begin, dispatch_uid="advisory.common.connecting")


def _begin(connection: Any, **_kwargs: Any) -> None:
    """Have PostgreSQL not compile statements: for ours it takes longer than it saves.

    Figures in `tests/benchmarks/REPORT.md`, the fleet report of 100 000 units.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SET jit = off")
