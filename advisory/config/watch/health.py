"""Whether the service can do its work: the database, its tables, the broker where one is set."""

from collections.abc import Callable, Mapping
from functools import cache

import redis
from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

SECONDS_TO_ANSWER = 2


class Unwell(Exception):
    """What is wrong with a part, in words that tell no address and no secret."""


def database() -> None:
    """Ask the database for anything."""
    try:
        connection.ensure_connection()
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError as error:
        connection.close()
        raise Unwell("does not answer") from error


@cache
def _migrations_here() -> frozenset[tuple[str, str]]:
    """Return the migrations that this code comes with; they don't change while it runs."""
    loader = MigrationLoader(None)
    replaced = {key for each in loader.disk_migrations.values() for key in each.replaces}
    return frozenset(key for key in loader.disk_migrations if key not in replaced)


def migrations() -> None:
    """See whether the tables are those of this code: one query."""
    try:
        applied = MigrationRecorder(connection).applied_migrations()
    except DatabaseError as error:
        connection.close()
        raise Unwell("could not be read") from error
    missing = sorted(".".join(key) for key in _migrations_here() - set(applied))
    if missing:
        raise Unwell(f"{len(missing)} to be applied, the first is {missing[0]}")


def broker_client() -> redis.Redis:
    """Return a client that waits no longer than whoever watches."""
    return redis.Redis.from_url(
        settings.BROKER_URL.replace("redis+socket://", "unix://", 1),
        socket_connect_timeout=SECONDS_TO_ANSWER,
        socket_timeout=SECONDS_TO_ANSWER,
    )


def broker() -> None:
    """Ask the broker for a sign of life."""
    try:
        with broker_client() as client:
            client.ping()
    except redis.RedisError as error:
        raise Unwell("does not answer") from error


def parts() -> Mapping[str, Callable[[], None]]:
    """Return what is asked, by name."""
    asked = {"database": database, "migrations": migrations}
    return asked | ({"broker": broker} if settings.BROKER_URL else {})


def state_of_parts() -> dict[str, str]:
    """Return how each part is: `ok`, or what is wrong with it."""
    states = {}
    for name, ask in parts().items():
        try:
            ask()
        except Unwell as wrong:
            states[name] = str(wrong)
        else:
            states[name] = "ok"
    return states
