"""Reading on two connections at once, both of which see the database as it stood at one moment."""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import Any

from django.db import connection, transaction

# Takes what is to be read, and returns what to call for it when it is needed.
Beside = Callable[[Callable[[], Any]], Callable[[], Any]]


@contextmanager
def reading_beside() -> Iterator[Beside]:
    """Give a way to have something read on a second connection, while the first goes on reading.

    PostgreSQL works for each connection in a process of its own. Inside of a transaction, whose
    changes no other connection sees, and on SQLite, it is read when it is asked for instead.
    """
    if connection.vendor != "postgresql" or connection.in_atomic_block:
        yield lambda work: work
        return
    with transaction.atomic(), ThreadPoolExecutor(max_workers=1) as beside:
        _see_one_moment()
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_export_snapshot()")
            (moment,) = cursor.fetchone()

        def read(work: Callable[[], Any]) -> Any:
            try:
                with transaction.atomic():
                    _see_one_moment(moment)
                    return work()
            finally:
                connection.close()  # this thread's own

        yield lambda work: beside.submit(read, work).result


def _see_one_moment(moment: str | None = None) -> None:
    """Let the transaction that has just begun see one moment only, and change nothing."""
    with connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        if moment is not None:
            cursor.execute("SET TRANSACTION SNAPSHOT %s", [moment])
