"""What a connection to the database is told when it begins."""

from datetime import UTC, datetime
from functools import cache
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
        if connection.timezone == UTC:
            connection.connection.adapters.register_loader("timestamptz", _moments())


@cache
def _moments() -> Any:
    """Return what reads a moment in UTC as Python itself does.

    The driver's own takes it apart in fifteen steps, and nearly each row has a moment.
    """
    from psycopg.adapt import Loader  # here: on SQLite nobody needs the driver

    class Moments(Loader):
        timezone = UTC  # by this Django knows it as one that suits

        def load(self, data: Any) -> datetime:
            return datetime.fromisoformat(str(data, "ascii"))

    return Moments
